package scenarios

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// val is a piece of a file: its node and the file that it stands in.
type val struct {
	file string
	node *yaml.Node
}

// ok reports whether there is anything there.
func (v val) ok() bool { return v.node != nil }

// in returns another node of the same file.
func (v val) in(n *yaml.Node) val { return val{v.file, n} }

// loader reads files and collects what is wrong in them.
type loader struct {
	fsys   fs.FS
	forms  forms
	bad    Problems
	books  map[*harness.Harness]*fault.Book   // of harnesses that exercises put faults into
	listed map[*harness.Harness][]fault.Entry // their catalogues
}

// say records a problem at a place.
func (l *loader) say(at val, format string, args ...any) {
	p := Problem{File: at.file, Message: fmt.Sprintf(format, args...)}
	if at.node != nil {
		p.Line, p.Column = at.node.Line, at.node.Column
	}
	l.bad = append(l.bad, p)
}

// read returns the one block of keys that a file holds, or a val that is not ok when it holds none; what is wrong was
// recorded. asked is where the file was named, not ok when the caller named it.
func (l *loader) read(file string, asked val) val {
	none := val{file: file}
	data, err := l.bytes(file)
	if err != nil {
		at := none
		if asked.ok() {
			at = asked
		}
		l.say(at, "%s", l.missing(file, err))
		return none
	}
	if len(data) > maxFileBytes {
		l.say(none, "is larger than %d KiB; a harness of a thousand wires is smaller", maxFileBytes>>10)
		return none
	}
	if !l.characters(file, data) {
		return none
	}
	doc, err := parse(data)
	if err != nil {
		l.syntax(file, data, err)
		return none
	}
	if doc == nil || len(doc.Content) == 0 {
		l.say(none, "holds nothing; see the guide for how to begin")
		return none
	}
	root := none.in(doc.Content[0])
	if !l.scan(root, 1) {
		return none
	}
	if root.node.Kind != yaml.MappingNode {
		l.say(root, "begins with %s; it should begin with a key such as harness: or exercise:", describe(root.node))
		return none
	}
	return root
}

// bytes reads at most one byte more than a file may have.
func (l *loader) bytes(file string) ([]byte, error) {
	f, err := l.fsys.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxFileBytes+1))
}

// missing says that a file cannot be read, and which file there was perhaps meant.
func (l *loader) missing(file string, err error) string {
	if !errors.Is(err, fs.ErrNotExist) {
		var pe *fs.PathError
		if errors.As(err, &pe) {
			err = pe.Err
		}
		return fmt.Sprintf("file %q cannot be read: %v", file, err)
	}
	var there []string
	if entries, err := fs.ReadDir(l.fsys, path.Dir(file)); err == nil {
		for _, e := range entries {
			if !e.IsDir() && isYAML(e.Name()) {
				there = append(there, path.Join(path.Dir(file), e.Name()))
			}
		}
	}
	return fmt.Sprintf("there is no file %q%s", file, instead(file, there))
}

func isYAML(name string) bool {
	return strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".yml")
}

// characters reports what no text file should hold, and tabs where YAML wants blanks; both are hard to see.
func (l *loader) characters(file string, data []byte) bool {
	good := true
	for i, line := range bytes.Split(data, []byte("\n")) {
		line = bytes.TrimSuffix(line, []byte("\r"))
		at := func(column int) val { return val{file, &yaml.Node{Line: i + 1, Column: column}} }
		if !utf8.Valid(line) {
			l.say(at(1), "this line is not UTF-8 text; save the file as UTF-8")
			good = false
			continue
		}
		column := 0
		indent := true
		for _, r := range string(line) {
			column++
			if r == '\t' && indent {
				l.say(at(column), "a tab in the indentation; use blanks")
				good = false
				break
			}
			if r < ' ' && r != '\t' || r == 0x7f || r == 0xfffe || r == 0xffff {
				l.say(at(column), "the character U+%04X does not belong in a text file", r)
				good = false
				break
			}
			indent = indent && (r == ' ' || r == '-')
		}
		if len(l.bad) > maxProblems {
			return false
		}
	}
	return good
}

// parse reads one YAML document. The library is trusted with well-meant files only: what it cannot digest becomes an error.
func parse(data []byte) (doc *yaml.Node, err error) {
	defer func() {
		if r := recover(); r != nil {
			doc, err = nil, errors.New("cannot be read as YAML")
		}
	}()
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var first, second yaml.Node
	if err := dec.Decode(&first); err != nil {
		if errors.Is(err, io.EOF) {
			return nil, nil
		}
		return nil, err
	}
	if err := dec.Decode(&second); err == nil {
		return nil, fmt.Errorf("yaml: line %d: a second document begins after ---; one file holds one", second.Line)
	}
	return &first, nil
}

var yamlError = regexp.MustCompile(`^yaml: (?:line (\d+): )?(.*)$`)

// syntax records an error of the YAML library, which knows the line (give or take one) but not the column.
func (l *loader) syntax(file string, data []byte, err error) {
	at := &yaml.Node{Line: 1, Column: 1}
	message := err.Error()
	if m := yamlError.FindStringSubmatch(message); m != nil {
		if n, err := strconv.Atoi(m[1]); err == nil && n > 0 {
			at.Line = n
		}
		message = m[2]
	}
	if lines := bytes.Split(data, []byte("\n")); at.Line <= len(lines) {
		line := lines[at.Line-1]
		at.Column = len(line) - len(bytes.TrimLeft(line, " ")) + 1
	}
	hint := ""
	switch {
	case strings.Contains(message, "mapping values are not allowed"):
		hint = " (a colon inside words must stand in quotes: \"lamp: left\")"
	case strings.Contains(message, "did not find expected"):
		hint = " (look here and on the lines around for a missing bracket, comma, quote or blank after a colon, and for indentation)"
	case strings.Contains(message, "unknown anchor"):
		hint = " (a word that begins with * must stand in quotes)"
	}
	l.say(val{file, at}, "this is not well-formed YAML: %s%s", message, hint)
}

// scan walks a whole document and refuses what these files have no use for: aliases, which can blow up a small file into
// a huge one, tags, and deep nesting. It reports whether the rest may be looked at.
func (l *loader) scan(v val, depth int) bool {
	if depth > maxDepth {
		l.say(v, "is nested more than %d deep; nothing in these files needs that", maxDepth)
		return false
	}
	n := v.node
	good := true
	if n.Kind == yaml.AliasNode {
		l.say(v, "*%s: aliases are not used in these files; write the value out", n.Value)
		return false
	}
	if n.Anchor != "" {
		l.say(v, "&%s: anchors are not used in these files; take it out", n.Anchor)
		good = false
	}
	if n.Style&yaml.TaggedStyle != 0 {
		l.say(v, "%s: tags are not used in these files; take it out", n.Tag)
		good = false
	}
	for _, c := range n.Content {
		if !l.scan(v.in(c), depth+1) {
			good = false
		}
		if len(l.bad) > maxProblems {
			return false
		}
	}
	return good
}

// describe says what a node is, for people.
func describe(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a block of keys"
	case yaml.SequenceNode:
		return "a list"
	case yaml.ScalarNode:
		if n.Value == "" {
			return "nothing"
		}
		return quote(n.Value)
	}
	return "something else"
}

// quote shows a value in a message, cut to a readable length.
func quote(s string) string {
	const longest = 60
	r := []rune(s)
	if len(r) > longest {
		s = string(r[:longest]) + "…"
	}
	return strconv.Quote(s)
}
