package scenarios

import (
	"regexp"
	"strings"

	"faultloom/sim/device"
)

// is says what sort of thing a value is in the file.
type is int

const (
	isText     is = iota // free words
	isName               // one word under a rule: ids, terminals, colours, wire ends
	isNumber             // a plain number
	isQuantity           // a number with its unit
	isChoice             // one of a closed list of words
	isYes                // yes or no
	isList               // a list of one shape
	isTable              // any keys, each with a value of one shape
	isRecord             // fixed keys
	isPart               // a component: fixed keys, and those of its kind
)

// shape says what a value in a file must look like. It is the one description behind the loader's structural checks, the
// JSON Schema and the guide's tables.
type shape struct {
	is       is
	rule     *rule      // isName; isTable: of its keys
	dim      device.Dim // isQuantity
	min, max float64    // isNumber, isQuantity: inclusive
	above    bool       // min itself is not allowed
	whole    bool       // isNumber: no fraction
	words    []string   // isChoice
	item     *shape     // isList, isTable
	least    int        // isList: fewest items
	most     int        // isList, isTable: most items
	alone    bool       // isList: a single item may stand without brackets
	noun     string     // isTable: what an entry is called, "wire"
	keys     []key      // isRecord, isPart
}

// key is one key of a record.
type key struct {
	name  string
	shape *shape
	must  bool
	doc   string // one sentence for guide and editors
	show  string // example as it stands in a file; "" to have it made from the shape
}

// rule is what one word must look like.
type rule struct {
	noun    string // what it is called in messages: "a colour"
	pattern string // anchored regular expression, also for the schema
	like    string // what would be right, in words
	form    *regexp.Regexp
	// more looks at a word that fits the pattern and returns a complaint, or "".
	more func(word string) string
}

// newRule compiles a rule.
func newRule(noun, pattern, like string) *rule {
	return &rule{noun: noun, pattern: pattern, like: like, form: regexp.MustCompile(pattern)}
}

// check returns a complaint about word, or "".
func (r *rule) check(word string) string {
	if !r.form.MatchString(word) {
		if r.more != nil {
			if c := r.more(word); c != "" {
				return c
			}
		}
		return "is not " + r.noun + ": " + r.like
	}
	if r.more != nil {
		return r.more(word)
	}
	return ""
}

// Shapes are built with these; they exist to keep the table in form.go readable.

func text() *shape                  { return &shape{is: isText} }
func name(r *rule) *shape           { return &shape{is: isName, rule: r} }
func choice(words ...string) *shape { return &shape{is: isChoice, words: words} }
func yes() *shape                   { return &shape{is: isYes} }
func number(min, max float64) *shape {
	return &shape{is: isNumber, min: min, max: max}
}
func whole(min, max float64) *shape {
	return &shape{is: isNumber, min: min, max: max, whole: true}
}
func quantity(dim device.Dim, min, max float64) *shape {
	return &shape{is: isQuantity, dim: dim, min: min, max: max}
}
func over(dim device.Dim, max float64) *shape {
	return &shape{is: isQuantity, dim: dim, min: 0, max: max, above: true}
}
func list(item *shape, least, most int) *shape {
	return &shape{is: isList, item: item, least: least, most: most}
}
func listOrOne(item *shape, most int) *shape {
	return &shape{is: isList, item: item, least: 1, most: most, alone: true}
}
func table(noun string, r *rule, item *shape, most int) *shape {
	return &shape{is: isTable, noun: noun, rule: r, item: item, most: most}
}
func record(keys ...key) *shape { return &shape{is: isRecord, keys: keys} }

// names returns the names of keys.
func names(keys []key) []string {
	out := make([]string, len(keys))
	for i, k := range keys {
		out[i] = k.name
	}
	return out
}

// wants says in words what a shape takes, for messages and the guide.
func (s *shape) wants() string {
	switch s.is {
	case isText:
		return "words"
	case isName:
		return s.rule.noun
	case isNumber:
		if s.whole {
			return "a whole number"
		}
		return "a number"
	case isQuantity:
		return "a quantity in " + orList(spellings(s.dim)[:1])
	case isChoice:
		return orList(s.words)
	case isYes:
		return "yes or no"
	case isList:
		if s.alone {
			return s.item.wants() + ", or a list of them"
		}
		if s.least == s.most && s.least > 0 {
			return "a list of " + countWord(s.least) + " such as [" + strings.TrimSuffix(strings.Repeat("20, ", s.least), ", ") + "]"
		}
		return "a list"
	case isTable:
		if s.noun != "" {
			return "a table with one line per " + s.noun
		}
		return "a table"
	}
	return "a block of keys"
}

func countWord(n int) string {
	switch n {
	case 2:
		return "two"
	case 3:
		return "three"
	}
	return "several"
}
