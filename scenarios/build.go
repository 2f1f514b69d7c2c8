package scenarios

import (
	"path"
	"strings"

	"gopkg.in/yaml.v3"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// builder puts the pieces of one harness together, out of one file and those it includes.
type builder struct {
	*loader
	h     *harness.Harness
	root  val   // the block of the main file
	files []val // the blocks of all files, in the order in which they count: included ones first
	seen  map[string]bool

	vehicle val
	taken   map[string]val // where each id of a component, connector, splice or ground point stands
	nouns   map[string]string
	parts   map[string]part
	inline  map[string]*harness.Connector
	wires   map[string]val
	plugged map[string]int // cavities in use: point -> index of the wire
	lost    bool           // some wire's end is not known, so nobody can say what has no wire
}

// part is a component while it is being put together.
type part struct {
	at      val // its block
	index   int // in h.Components
	kind    device.Kind
	known   bool
	plug    int // index in h.Connectors, -1 when it has studs
	control val // the value of its key control, if any
}

// load reads and builds the harness in file; asked is where it was named, if in another file. The result is nil if
// anything at all was wrong.
func (l *loader) load(file string, asked val) *harness.Harness {
	before := len(l.bad)
	b := &builder{
		loader: l, h: &harness.Harness{}, seen: map[string]bool{},
		taken: map[string]val{}, nouns: map[string]string{}, parts: map[string]part{},
		inline: map[string]*harness.Connector{}, wires: map[string]val{}, plugged: map[string]int{},
	}
	b.root = l.read(file, asked)
	if !b.root.ok() {
		return nil
	}
	if !b.isFile(b.root, "harness", asked) {
		return nil
	}
	l.conform(b.root, l.forms.harness, "harness")
	b.gather(b.root, []string{file})
	b.build()
	if len(l.bad) > before {
		return nil
	}
	return b.h
}

// fileKinds are the keys that say what a file is; an exercise has a key harness too, so it is looked for first.
var fileKinds = [3]string{"exercise", "harness", "shared"}

// kindOf returns which of fileKinds a block has, "" for none.
func (l *loader) kindOf(root val) string {
	for _, k := range fileKinds {
		if l.get(root, k).ok() {
			return k
		}
	}
	return ""
}

// isFile reports whether a block is a file of the kind wanted; if not, that is recorded, at asked if it was named there.
func (l *loader) isFile(root val, want string, asked val) bool {
	got := l.kindOf(root)
	if got == want {
		return true
	}
	at := root
	if asked.ok() {
		at = asked
	}
	switch got {
	case "":
		var there []string
		for _, e := range l.entries(root) {
			there = append(there, e.key.node.Value)
		}
		hint := ""
		for _, k := range there {
			if n := nearest(k, fileKinds[:]); n != "" {
				hint = "; did you mean " + quote(n) + " where " + quote(k) + " stands?"
				break
			}
		}
		l.say(at, "file %q has no key %s: with its id, so it is not %s file%s", root.file, want, article(want), hint)
	default:
		l.say(at, "file %q is %s file, but %s file is wanted here", root.file, article(got), article(want))
	}
	return false
}

func article(word string) string {
	if strings.ContainsAny(word[:1], "aeiou") {
		return "an " + word
	}
	return "a " + word
}

// gather follows the includes of a block, depth first, and adds the block after them.
func (b *builder) gather(v val, chain []string) {
	for _, it := range b.items(b.get(v, "include")) {
		name := scalarText(it)
		if name == "" || pathRule().check(name) != "" {
			continue
		}
		file, ok := b.resolveFile(it, v.file, name)
		if !ok {
			continue
		}
		if i := index(chain, file); i >= 0 {
			round := append(append([]string{}, chain[i:]...), file)
			b.say(it, "include: %s goes round in a circle: %s", quote(name), strings.Join(round, " includes "))
			continue
		}
		if b.seen[file] {
			continue
		}
		if len(b.seen) >= maxFiles {
			b.say(it, "include: more than %d files in one harness", maxFiles)
			return
		}
		b.seen[file] = true
		inner := b.read(file, it)
		if !inner.ok() || !b.isFile(inner, "shared", it) {
			continue
		}
		b.conform(inner, b.forms.shared, "shared")
		b.gather(inner, append(append([]string{}, chain...), file))
	}
	b.files = append(b.files, v)
}

// resolveFile turns a path as written in a file into one from the root of the file system.
func (l *loader) resolveFile(at val, from, name string) (string, bool) {
	file := path.Join(path.Dir(from), name)
	if strings.HasPrefix(name, "/") || file == ".." || strings.HasPrefix(file, "../") {
		l.say(at, "%s leads out of the folder that holds the scenarios; write a path from the folder of this file", quote(name))
		return "", false
	}
	return file, true
}

func index(words []string, word string) int {
	for i, w := range words {
		if w == word {
			return i
		}
	}
	return -1
}

// section returns the entries of a table from all files, in order.
func (b *builder) section(name string) []entry {
	var out []entry
	for _, f := range b.files {
		out = append(out, b.entries(b.get(f, name))...)
	}
	return out
}

// lines returns the items of a list from all files, in order.
func (b *builder) lines(name string) []val {
	var out []val
	for _, f := range b.files {
		out = append(out, b.items(b.get(f, name))...)
	}
	return out
}

// build goes through the sections in the order in which they refer to one another.
func (b *builder) build() {
	b.h.ID = b.words(b.root, "harness")
	b.h.Title = b.words(b.root, "title")
	b.buildVehicle()
	for _, e := range b.section("components") {
		b.addComponent(e)
	}
	for _, e := range b.section("connectors") {
		b.addConnector(e)
	}
	for _, e := range b.section("splices") {
		if b.take(e.key, "splice") {
			spot := b.spotOf(e.value)
			b.h.Splices = append(b.h.Splices, harness.Splice{ID: e.key.node.Value, Where: b.words(e.value, "where"),
				Spot: spot, Access: b.amount(e.value, "access", device.Second, spliceAccess)})
		}
	}
	for _, e := range b.section("grounds") {
		if b.take(e.key, "ground point") {
			title := b.words(e.value, "title")
			if title == "" {
				title = "Ground point " + e.key.node.Value
			}
			b.h.Grounds = append(b.h.Grounds, harness.GroundPoint{ID: e.key.node.Value, Title: title, Where: b.words(e.value, "where"),
				Spot: b.spotOf(e.value), Access: b.amount(e.value, "access", device.Second, groundAccess)})
		}
	}
	b.buildControls()
	for _, f := range b.files {
		wires := b.get(f, "wires")
		list := b.entries(wires)
		b.lost = b.lost || wires.ok() && len(list)*2 != len(wires.node.Content)
		for _, e := range list {
			b.addWire(e)
		}
	}
	b.spread()
	b.buildCheck()
	b.buildWords()
	b.buildSheet()
	b.lookOver()
}

// take claims an id for a thing that points can name and reports whether it was free.
func (b *builder) take(at val, noun string) bool {
	id := at.node.Value
	if old, taken := b.taken[id]; taken {
		where := ""
		if old.file != at.file {
			where = old.file + " "
		}
		b.say(at, "%s %s: the id is taken by the %s on %sline %d; ids of components, connectors, splices and ground points must all differ",
			noun, quote(id), b.nouns[id], where, old.node.Line)
		return false
	}
	b.taken[id], b.nouns[id] = at, noun
	return true
}

func (b *builder) buildVehicle() {
	for _, f := range b.files {
		v := b.get(f, "vehicle")
		if !v.ok() {
			continue
		}
		if b.vehicle.ok() {
			b.say(v, "vehicle: described twice; it is in %s on line %d already", b.vehicle.file, b.vehicle.node.Line)
			continue
		}
		b.vehicle = v
		b.h.Vehicle = harness.Vehicle{
			Fleet: b.words(v, "fleet"), Title: b.words(v, "title"), Outline: b.words(v, "outline"),
			Volts:   b.amount(v, "supply", device.Volt, 12),
			Celsius: b.amount(v, "ambient", device.Celsius, 20),
		}
		if b.h.Vehicle.Outline == "" {
			b.h.Vehicle.Outline = "plain"
		}
		if s := b.get(v, "supply"); s.ok() && b.h.Vehicle.Volts != 12 && b.h.Vehicle.Volts != 24 {
			b.say(s, "vehicle: supply: must be 12 V or 24 V (got %s)", scalarText(s))
		}
	}
	if !b.vehicle.ok() {
		b.say(b.root, "harness: the key vehicle is missing; it wants a block with fleet, title and supply")
		b.h.Vehicle.Volts, b.h.Vehicle.Celsius = 12, 20
	}
}

// noSpot marks a thing that has no spot yet.
var noSpot = harness.Spot{X: -1, Y: -1}

// spotOf reads a spot, noSpot when there is none.
func (b *builder) spotOf(v val) harness.Spot {
	xy, ok := b.numbers(b.get(v, "spot"))
	if !ok || len(xy) != 2 {
		return noSpot
	}
	return harness.Spot{X: xy[0], Y: xy[1]}
}

// buildWords copies notes, hints and the symptom guide.
func (b *builder) buildWords() {
	for _, v := range b.lines("notes") {
		b.h.Notes = append(b.h.Notes, paragraphs(v)...)
	}
	for _, v := range b.lines("hints") {
		b.h.Hints = append(b.h.Hints, paragraphs(v)...)
	}
	for _, v := range b.lines("symptoms") {
		s := harness.Symptom{Seen: b.words(v, "seen")}
		for _, it := range b.items(b.get(v, "think")) {
			s.Think = append(s.Think, scalarText(it))
		}
		b.h.Symptoms = append(b.h.Symptoms, s)
	}
}

// paragraphs splits a text at its blank lines. In a folded text (>) YAML has already made one line of each paragraph.
func paragraphs(v val) []string {
	if v.node == nil || v.node.Kind != yaml.ScalarNode {
		return nil
	}
	gap := "\n\n"
	if v.node.Style&yaml.FoldedStyle != 0 {
		gap = "\n"
	}
	var out []string
	for _, p := range strings.Split(v.node.Value, gap) {
		if t := strings.Join(strings.Fields(p), " "); t != "" {
			out = append(out, t)
		}
	}
	return out
}

// buildSheet copies the author's places on the sheet.
func (b *builder) buildSheet() {
	for _, e := range b.section("sheet") {
		id := e.key.node.Value
		if _, ok := b.taken[id]; !ok {
			b.say(e.key, "sheet: there is no component, connector, splice or ground point %s%s", quote(id), instead(id, b.ids()))
			continue
		}
		xy, ok := b.numbers(e.value)
		if !ok || len(xy) < 2 {
			continue
		}
		p := harness.Placement{ID: id, Column: xy[0], Row: xy[1]}
		if len(xy) > 2 {
			p.Turn = int(xy[2])
			if p.Turn < 0 || p.Turn > 3 || float64(p.Turn) != xy[2] {
				b.say(e.value, "sheet: %s: quarter turns must be 0, 1, 2 or 3", id)
			}
		}
		for _, old := range b.h.Sheet {
			if old.ID == id {
				b.say(e.key, "sheet: %s has a place already", quote(id))
			}
		}
		b.h.Sheet = append(b.h.Sheet, p)
	}
}

// ids returns all ids that points can begin with, in the order of the harness.
func (b *builder) ids() []string {
	var out []string
	for _, c := range b.h.Components {
		out = append(out, c.ID)
	}
	for _, c := range b.h.Connectors {
		if c.Component == "" {
			out = append(out, c.ID)
		}
	}
	for _, s := range b.h.Splices {
		out = append(out, s.ID)
	}
	for _, g := range b.h.Grounds {
		out = append(out, g.ID)
	}
	return out
}
