package scenarios

import (
	"errors"
	"hash/fnv"
	"io/fs"
	"path"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// DefaultWeights are the points of an exercise that names none: finding the cause by tests is worth most, and the plan's other
// stages share the rest. They sum to 100.
func DefaultWeights() attempt.Weights {
	return attempt.Weights{Confirm: 15, Isolate: 35, Repair: 15, Retest: 15, Safety: 10, Economy: 10}
}

// weightsTotal is what the weights of an exercise sum to.
const weightsTotal = 100

// toolWords lists the instruments that an exercise may name.
func toolWords() []string { return words(meter.Tools()) }

// words returns texts as plain strings.
func words[T ~string](list []T) []string {
	var out []string
	for _, t := range list {
		out = append(out, string(t))
	}
	return out
}

// functionWords lists the functions of the multimeter that an exercise may name; off is always there.
func functionWords() []string {
	var out []string
	for _, f := range meter.Functions() {
		if f != meter.Off {
			out = append(out, string(f))
		}
	}
	return out
}

// loadExercise reads one exercise and its harness. harnesses keeps what was read before, by file, so that many exercises of one
// harness read it once; nil in it means that it was wrong, which was recorded then.
func (l *loader) loadExercise(file string, harnesses map[string]*harness.Harness) *attempt.Exercise {
	before := len(l.bad)
	v := l.read(file, val{})
	if !v.ok() || !l.isFile(v, "exercise", val{}) {
		return nil
	}
	l.conform(v, l.forms.exercise, "exercise")
	ex := &attempt.Exercise{
		ID:           l.words(v, "exercise"),
		Title:        l.words(v, "title"),
		Complaint:    strings.Join(paragraphs(l.get(v, "complaint")), "\n"),
		VehicleState: strings.Join(paragraphs(l.get(v, "state")), "\n"),
		Mode:         attempt.Mode(l.words(v, "mode")),
		Minutes:      l.amount(v, "minutes", device.None, 0),
		Weights:      l.weights(v),
	}
	if ex.Mode == "" {
		ex.Mode = attempt.Drill
	}
	ex.Seed = l.seed(v, ex.ID)
	for _, w := range l.choices(v, "tools", words(meter.UsualTools())) {
		ex.Tools = append(ex.Tools, meter.Tool(w))
	}
	for _, w := range l.choices(v, "functions", words(meter.UsualFunctions())) {
		ex.Functions = append(ex.Functions, meter.Function(w))
	}
	at := l.get(v, "harness")
	name := scalarText(at)
	if name == "" || pathRule().check(name) != "" {
		return nil
	}
	harnessFile, ok := l.resolveFile(at, v.file, name)
	if !ok {
		return nil
	}
	h, read := harnesses[harnessFile]
	if !read {
		h = l.load(harnessFile, at)
		harnesses[harnessFile] = h
	}
	if h == nil {
		return nil
	}
	ex.Harness = h
	ex.Faults = l.faults(v, h)
	ex.Sealed = l.get(v, "sealed").ok()
	if len(l.bad) > before {
		return nil
	}
	return ex
}

// weights reads the weights and checks their sum.
func (l *loader) weights(v val) attempt.Weights {
	at := l.get(v, "weights")
	if !at.ok() {
		return DefaultWeights()
	}
	w := attempt.Weights{
		Confirm: l.amount(at, "confirm", device.None, 0), Isolate: l.amount(at, "isolate", device.None, 0),
		Repair: l.amount(at, "repair", device.None, 0), Retest: l.amount(at, "retest", device.None, 0),
		Safety: l.amount(at, "safety", device.None, 0), Economy: l.amount(at, "economy", device.None, 0),
	}
	if sum := w.Sum(); sum != weightsTotal {
		l.say(at, "exercise: weights: must sum to %d (got %g)", weightsTotal, sum)
	}
	return w
}

// seed reads the seed; without one it follows from the id, so that two exercises do not share their instruments.
func (l *loader) seed(v val, id string) uint64 {
	at := l.get(v, "seed")
	if !at.ok() {
		f := fnv.New64a()
		f.Write([]byte(id))
		return f.Sum64()
	}
	return l.whole(v, "seed")
}

// whole reads a number that has no fraction.
func (l *loader) whole(v val, name string) uint64 {
	return uint64(max(l.amount(v, name, device.None, 0), 0))
}

// choices reads a list of words without repeats; the usual ones when the key is left out.
func (l *loader) choices(v val, name string, usual []string) []string {
	at := l.get(v, name)
	if !at.ok() {
		return usual
	}
	var out []string
	for _, it := range l.items(at) {
		if w := scalarText(it); contains(out, w) {
			l.say(it, "exercise: %s: %s is listed twice", name, quote(w))
		} else {
			out = append(out, w)
		}
	}
	return out
}

// faults reads or draws the faults of an exercise.
func (l *loader) faults(v val, h *harness.Harness) []fault.Fault {
	one, many, drawn, sealed := l.get(v, "fault"), l.get(v, "faults"), l.get(v, "draw"), l.get(v, "sealed")
	var given []string
	for _, k := range []struct {
		name string
		at   val
	}{{"fault", one}, {"faults", many}, {"draw", drawn}, {"sealed", sealed}} {
		if k.at.ok() {
			given = append(given, k.name)
		}
	}
	switch {
	case len(given) == 0:
		l.say(v, "exercise: has no fault; write fault: with place and kind (cavity X1.3 backed-out), or draw: {seed: 7} to have one drawn")
		return nil
	case len(given) > 1:
		l.say(v, "exercise: has %s; use one of them", andList(given))
		return nil
	case drawn.ok():
		return l.draw(drawn, h)
	case sealed.ok():
		return l.unsealed(sealed, l.words(v, "exercise"), h)
	}
	at := one
	if many.ok() {
		at = many
	}
	var out []fault.Fault
	for _, it := range l.items(at) {
		if f, ok := l.fault(it, h); ok {
			out = append(out, f)
		}
	}
	return out
}

// fault reads one fault and tries whether it can be put into the harness.
func (l *loader) fault(at val, h *harness.Harness) (fault.Fault, bool) {
	word := scalarText(at)
	book := l.book(h)
	f, err := book.Parse(word)
	if err != nil {
		l.say(at, "exercise: %v", err)
		return f, false
	}
	if err = l.fits(h, f); err != nil {
		l.say(at, "exercise: %v", err)
		return f, false
	}
	return f, true
}

// unsealed reads the faults that were sealed for an exercise. What is wrong with one is not said in a way that tells it.
func (l *loader) unsealed(at val, id string, h *harness.Harness) []fault.Fault {
	faults, err := unseal(id, scalarText(at))
	if err != nil {
		l.say(at, "exercise: sealed: %v", err)
		return nil
	}
	for _, f := range faults {
		if l.fits(h, f) != nil {
			l.say(at, "exercise: sealed: the fault does not fit this harness; was the harness changed since it was drawn?")
			return nil
		}
	}
	return faults
}

// fits returns an error for a fault that the harness cannot have, or that nobody would suspect of it.
func (l *loader) fits(h *harness.Harness, f fault.Fault) error {
	book := l.book(h)
	if err := book.Check(f); err != nil {
		return err
	}
	if err := book.CheckRange(f); err != nil {
		return err
	}
	if l.listed[h] == nil {
		l.listed[h] = book.Catalogue()
	}
	return book.CheckListed(l.listed[h], f)
}

// book returns the book of a harness.
func (l *loader) book(h *harness.Harness) *fault.Book {
	book, made := l.books[h]
	if !made {
		book = fault.NewBook(h)
		l.books[h] = book
	}
	return book
}

// draw draws the faults of an exercise that leaves them to the program.
func (l *loader) draw(at val, h *harness.Harness) []fault.Fault {
	seed := l.whole(at, "seed")
	count := int(l.amount(at, "count", device.None, 1))
	var kinds []fault.Kind
	for _, it := range l.items(l.get(at, "from")) {
		kinds = append(kinds, fault.Kind(scalarText(it)))
	}
	faults, err := Draw(h, seed, count, kinds...)
	if err != nil {
		var unknown *UnknownKindError
		if errors.As(err, &unknown) {
			for _, it := range l.items(l.get(at, "from")) {
				if fault.Kind(scalarText(it)) == unknown.Kind {
					at = it
				}
			}
		}
		l.say(at, "exercise: draw: %v", err)
		return nil
	}
	return faults
}

// Load reads the harness in a file of fsys, with the files that it includes. The error is of type Problems and holds
// everything that is wrong.
func Load(fsys fs.FS, file string) (*harness.Harness, error) {
	l := newLoader(fsys)
	h := l.load(path.Clean(file), val{})
	return h, l.bad.tidy().orNil()
}

// LoadExercise reads the exercise in a file of fsys, with its harness. A fault left to be drawn is drawn by simulation.
// The error is of type Problems and holds everything that is wrong, in the harness too.
func LoadExercise(fsys fs.FS, file string) (*attempt.Exercise, error) {
	l := newLoader(fsys)
	ex := l.loadExercise(path.Clean(file), map[string]*harness.Harness{})
	return ex, l.bad.tidy().orNil()
}

func newLoader(fsys fs.FS) *loader {
	return &loader{fsys: fsys, forms: newForms(device.Kinds()), books: map[*harness.Harness]*fault.Book{},
		listed: map[*harness.Harness][]fault.Entry{}}
}
