package scenarios

import (
	"math"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"faultloom/sim/device"
)

// conform checks v against a shape and records all that does not fit. about names what v belongs to, such as
// `wire "31b": size`; it begins every message.
func (l *loader) conform(v val, s *shape, about string) {
	n := v.node
	if n.Kind == yaml.ScalarNode && n.Value == "" && n.Tag == "!!null" && s.is != isName {
		l.say(v, "%s: nothing is written here; it wants %s, or leave the key out", about, s.wants())
		return
	}
	switch s.is {
	case isText:
		l.conformText(v, about)
	case isName:
		if l.scalar(v, s, about) {
			if c := s.rule.check(n.Value); c != "" {
				l.say(v, "%s: %s %s", about, quote(n.Value), c)
			}
		}
	case isNumber, isQuantity:
		l.conformNumber(v, s, about)
	case isChoice:
		if l.scalar(v, s, about) && !contains(s.words, n.Value) {
			l.say(v, "%s: %s is not known%s", about, quote(n.Value), instead(n.Value, s.words))
		}
	case isYes:
		if l.scalar(v, s, about) {
			if _, ok := yesNo(n.Value); !ok {
				l.say(v, "%s: %s must be yes or no", about, quote(n.Value))
			}
		}
	case isList:
		l.conformList(v, s, about)
	case isTable:
		l.conformTable(v, s, about)
	case isRecord:
		l.conformRecord(v, s.keys, about)
	case isPart:
		l.conformPart(v, s, about)
	}
}

// scalar reports whether v is a single value; if not, that is recorded.
func (l *loader) scalar(v val, s *shape, about string) bool {
	if v.node.Kind == yaml.ScalarNode {
		return true
	}
	l.say(v, "%s: wants %s, not %s", about, s.wants(), describe(v.node))
	return false
}

func (l *loader) conformText(v val, about string) {
	if !l.scalar(v, text(), about) {
		return
	}
	switch {
	case strings.TrimSpace(v.node.Value) == "":
		l.say(v, "%s: is empty; write words, or leave the key out", about)
	case len(v.node.Value) > maxText:
		l.say(v, "%s: is longer than %d letters", about, maxText)
	}
}

func (l *loader) conformNumber(v val, s *shape, about string) {
	if !l.scalar(v, s, about) {
		return
	}
	x, complaint := parseQuantity(v.node.Value, s.dim)
	switch {
	case complaint != "":
		l.say(v, "%s: %s %s", about, quote(v.node.Value), complaint)
	case s.whole && x != math.Trunc(x):
		l.say(v, "%s: must be a whole number (got %s)", about, v.node.Value)
	case s.above && x <= s.min:
		l.say(v, "%s: must be above %s (got %s)", about, showQuantity(s.min, s.dim), v.node.Value)
	case x < s.min || x > s.max:
		l.say(v, "%s: must be from %s to %s (got %s)", about, showQuantity(s.min, s.dim), showQuantity(s.max, s.dim), v.node.Value)
	}
}

func (l *loader) conformList(v val, s *shape, about string) {
	if v.node.Kind != yaml.SequenceNode {
		if s.alone {
			l.conform(v, s.item, about)
			return
		}
		l.say(v, "%s: wants %s, not %s", about, s.wants(), describe(v.node))
		return
	}
	count := len(v.node.Content)
	switch {
	case count < s.least:
		l.say(v, "%s: has %d items, but needs at least %d", about, count, s.least)
	case count > s.most:
		l.say(v, "%s: has %d items, but may have at most %d", about, count, s.most)
		return
	}
	for i, c := range v.node.Content {
		l.conform(v.in(c), s.item, about+" "+strconv.Itoa(i+1))
	}
}

func (l *loader) conformTable(v val, s *shape, about string) {
	if !l.mapping(v, s.wants(), about) {
		return
	}
	if n := len(v.node.Content) / 2; n > s.most {
		l.say(v, "%s: has %d entries, but may have at most %d", about, n, s.most)
		return
	}
	for _, e := range l.pairs(v, about) {
		id := e.key.node.Value
		noun := s.noun + " " + quote(id)
		if c := s.rule.check(id); c != "" {
			l.say(e.key, "%s: %s", noun, c)
		}
		within := noun
		if s.item.is != isRecord && s.item.is != isPart {
			within = about + ": " + id
		}
		l.conform(e.value, s.item, within)
	}
}

// mapping reports whether v is a block of keys; if not, that is recorded.
func (l *loader) mapping(v val, wants, about string) bool {
	if v.node.Kind == yaml.MappingNode {
		return true
	}
	hint := ""
	if v.node.Kind == yaml.SequenceNode {
		hint = " (take the dashes away and begin each line with its id and a colon)"
	}
	l.say(v, "%s: wants %s, not %s%s", about, wants, describe(v.node), hint)
	return false
}

func (l *loader) conformRecord(v val, keys []key, about string) {
	if !l.mapping(v, "a block of keys ("+andList(names(keys))+")", about) {
		return
	}
	there := map[string]bool{}
	for _, e := range l.pairs(v, about) {
		there[e.key.node.Value] = true
		k, ok := find(keys, e.key.node.Value)
		if !ok {
			l.say(e.key, "%s: unknown key %s%s", about, quote(e.key.node.Value), instead(e.key.node.Value, names(keys)))
			continue
		}
		l.conform(e.value, k.shape, about+": "+k.name)
	}
	for _, k := range keys {
		if k.must && !there[k.name] {
			l.say(v, "%s: the key %s is missing; it wants %s", about, k.name, k.shape.wants())
		}
	}
}

// conformPart checks a component against the keys that all have and those of its kind.
func (l *loader) conformPart(v val, s *shape, about string) {
	if !l.mapping(v, "a block of keys", about) {
		return
	}
	word := l.get(v, "kind")
	kind, known := device.Kind{}, false
	if word.ok() {
		kind, known = l.forms.kind(word.node.Value)
	}
	if known {
		l.conformRecord(v, l.forms.ofKind[kind.Name], about)
		return
	}
	// Of an unknown kind only the common keys can be judged; the others may be right.
	for _, e := range l.pairs(v, about) {
		if k, ok := find(s.keys, e.key.node.Value); ok {
			l.conform(e.value, k.shape, about+": "+k.name)
		}
	}
	if !word.ok() {
		l.say(v, "%s: the key kind is missing; it can be %s", about, orList(s.keys[0].shape.words))
	}
}

// kind looks a kind up by its name in files.
func (f forms) kind(name string) (device.Kind, bool) {
	for _, k := range f.kinds {
		if k.Name == name {
			return k, true
		}
	}
	return device.Kind{}, false
}

// keysOf works out all keys that a component of a kind may have: the common ones that make sense for it, then its numbers.
func keysOf(kind device.Kind, common []key) []key {
	var keys []key
	for _, k := range common {
		switch k.name {
		case "terminals":
			if !kind.OwnTerminals || kind.Logic {
				continue
			}
		case "positions", "control":
			if !kind.Table {
				continue
			}
		case "mount", "cavities", "plug-contact":
			if !kind.Plugged {
				continue
			}
		}
		keys = append(keys, k)
	}
	for _, p := range kind.Params {
		keys = append(keys, paramKey(p))
	}
	if kind.Logic {
		keys = append(keys, logicKeys()...)
	}
	return keys
}

func paramKey(p device.Param) key {
	s := number(p.Min, p.Max)
	if p.Dim != device.None {
		s = quantity(p.Dim, p.Min, p.Max)
	}
	show := showQuantity(p.Default, p.Dim)
	switch {
	case p.Required:
		show = ""
	case p.Key == ratedVolts:
		show = "the vehicle's"
	}
	return key{name: p.Key, shape: s, must: p.Required, doc: p.Doc, show: show}
}

// entry is one key with its value.
type entry struct{ key, value val }

// pairs returns the entries of a block of keys in the order of the file, without repeats, which are recorded.
func (l *loader) pairs(v val, about string) []entry {
	if v.node == nil || v.node.Kind != yaml.MappingNode {
		return nil
	}
	first := map[string]*yaml.Node{}
	var out []entry
	for i := 0; i+1 < len(v.node.Content); i += 2 {
		k := v.node.Content[i]
		if k.Kind != yaml.ScalarNode || strings.TrimSpace(k.Value) == "" {
			l.say(v.in(k), "%s: a key must be one word, not %s", about, describe(k))
			continue
		}
		if old := first[k.Value]; old != nil {
			l.say(v.in(k), "%s: %s stands here twice; it is on line %d already", about, quote(k.Value), old.Line)
			continue
		}
		first[k.Value] = k
		out = append(out, entry{v.in(k), v.in(v.node.Content[i+1])})
	}
	return out
}

func find(keys []key, name string) (key, bool) {
	for _, k := range keys {
		if k.name == name {
			return k, true
		}
	}
	return key{}, false
}

func contains(words []string, word string) bool {
	for _, w := range words {
		if w == word {
			return true
		}
	}
	return false
}

// yesNo reads a yes or no as people write it.
func yesNo(s string) (value, ok bool) {
	switch s {
	case "yes", "true":
		return true, true
	case "no", "false":
		return false, true
	}
	return false, false
}

// The accessors below read values that conform has judged. What does not fit was recorded there, so here it is simply
// absent.

// get returns the value of a key, not ok when there is none.
func (l *loader) get(v val, name string) val {
	if v.node != nil && v.node.Kind == yaml.MappingNode {
		for i := 0; i+1 < len(v.node.Content); i += 2 {
			if v.node.Content[i].Value == name && v.node.Content[i].Kind == yaml.ScalarNode {
				return v.in(v.node.Content[i+1])
			}
		}
	}
	return val{file: v.file}
}

// entries returns the distinct entries of a block of keys without recording repeats again.
func (l *loader) entries(v val) []entry {
	silent := loader{}
	return silent.pairs(v, "")
}

// words returns the text of a key, "" when there is none.
func (l *loader) words(v val, name string) string { return scalarText(l.get(v, name)) }

func scalarText(v val) string {
	if v.node == nil || v.node.Kind != yaml.ScalarNode {
		return ""
	}
	return strings.Join(strings.Fields(v.node.Value), " ")
}

// amount returns the number of a key, or the fallback when there is none or it was not right.
func (l *loader) amount(v val, name string, dim device.Dim, fallback float64) float64 {
	n := l.get(v, name)
	if n.node == nil || n.node.Kind != yaml.ScalarNode {
		return fallback
	}
	x, complaint := parseQuantity(n.node.Value, dim)
	if complaint != "" || math.IsNaN(x) {
		return fallback
	}
	return x
}

// items returns the items of a list; a single value counts as a list of one.
func (l *loader) items(v val) []val {
	if v.node == nil {
		return nil
	}
	if v.node.Kind != yaml.SequenceNode {
		return []val{v}
	}
	out := make([]val, len(v.node.Content))
	for i, c := range v.node.Content {
		out[i] = v.in(c)
	}
	return out
}

// yes returns the answer of a key, no when there is none.
func (l *loader) yes(v val, name string) bool {
	answer, _ := yesNo(scalarText(l.get(v, name)))
	return answer
}

// numbers returns the plain numbers of a list; ok is false when one of them is not.
func (l *loader) numbers(v val) (out []float64, ok bool) {
	for _, it := range l.items(v) {
		if it.node.Kind != yaml.ScalarNode {
			return nil, false
		}
		x, complaint := parseQuantity(it.node.Value, device.None)
		if complaint != "" {
			return nil, false
		}
		out = append(out, x)
	}
	return out, v.ok()
}
