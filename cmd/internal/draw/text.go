package draw

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Align says which end of a line of text its place is.
type Align uint8

// The alignments.
const (
	Start Align = iota
	Middle
	End
)

// TextStyle is how a line of text is set.
type TextStyle struct {
	Size   float64 // em height in sheet units
	Face   Face
	Colour Colour
	Align  Align
}

// LineSpacing is the distance of two baselines as a share of the size: the Go
// fonts' own line gap is 1.16, and WCAG 2.1 criterion 1.4.12 asks that a
// layout bear 1.5; 1.35 reads calmly and keeps panels short.
const LineSpacing = 1.35

// Measure returns the width of s set in face at size, in sheet units. The Go
// fonts have no kerning, so it is the sum of the advances: the same on every
// machine and proportional to size.
func Measure(s string, face Face, size float64) float64 {
	m := metricsOf(face)
	var sum float64 // whole font units: exact
	for _, r := range s {
		a, _ := m.units(printable(r))
		sum += a
	}
	return sum / m.upem * size
}

// Ascent returns how far the letters of face at size reach above the baseline.
func Ascent(face Face, size float64) float64 { m := metricsOf(face); return m.ascent / m.upem * size }

// Descent returns how far the letters of face at size reach below the baseline.
func Descent(face Face, size float64) float64 { m := metricsOf(face); return m.descent / m.upem * size }

// CapHeight returns the height of a capital letter of face at size.
func CapHeight(face Face, size float64) float64 {
	m := metricsOf(face)
	return m.capHeight / m.upem * size
}

// LineHeight returns the distance of two baselines of text of face at size.
func LineHeight(_ Face, size float64) float64 { return LineSpacing * size }

// Baseline returns the baseline at which capitals of face and size stand in the
// vertical middle of r.
func Baseline(r Rect, face Face, size float64) float64 {
	return r.Y + r.H/2 + CapHeight(face, size)/2
}

// TextBounds returns the box of the letters of s at baseline place at: as wide
// as Measure says, from ascent to descent.
func TextBounds(at Point, s string, st TextStyle) Rect {
	w := Measure(s, st.Face, st.Size)
	a := Ascent(st.Face, st.Size)
	return Rect{alignedX(at.X, w, st.Align), at.Y - a, w, a + Descent(st.Face, st.Size)}
}

func alignedX(x, w float64, a Align) float64 {
	switch a {
	case Middle:
		return x - w/2
	case End:
		return x - w
	}
	return x
}

// Wrap breaks s into lines no wider than width, at spaces, after hyphens and
// slashes, and inside a word only when the word alone is too wide. Line breaks
// in s are kept, spaces at a break are dropped, no-break spaces hold a value to
// its unit. It returns at least one line; a line holds at least one character
// however small width is.
func Wrap(s string, face Face, size, width float64) []string {
	var out []string
	for para := range strings.SplitSeq(strings.ReplaceAll(s, "\r\n", "\n"), "\n") {
		out = wrapParagraph(out, para, face, size, width)
	}
	return out
}

func wrapParagraph(out []string, para string, face Face, size, width float64) []string {
	// fits forgives the rounding of a width that was itself measured.
	fits := func(s string) bool { return Measure(s, face, size) <= width+1e-6 }
	line := ""
	for para != "" {
		n := nextBreak(para)
		word := para[:n]
		para = para[n:]
		if line == "" {
			word = strings.TrimLeft(word, " ")
		}
		if fits(strings.TrimRight(line+word, " ")) {
			line += word
			continue
		}
		if t := strings.TrimRight(line, " "); t != "" {
			out = append(out, t)
		}
		line = strings.TrimLeft(word, " ")
		for !fits(strings.TrimRight(line, " ")) {
			k := fitting(line, face, size, width)
			if k >= len(line) {
				break
			}
			out = append(out, line[:k])
			line = line[k:]
		}
	}
	return append(out, strings.TrimRight(line, " "))
}

// nextBreak returns how many bytes of s come before the next place where a line
// may end: after a run of spaces, or after a hyphen or slash inside a word.
func nextBreak(s string) int {
	var prev rune
	for i, r := range s {
		if prev == ' ' && r != ' ' && i > 0 {
			return i
		}
		if (prev == '-' || prev == '/') && i > 1 && unicode.IsLetter(r) {
			return i
		}
		prev = r
	}
	return len(s)
}

// fitting returns how many bytes of s fit in width, at least one character.
func fitting(s string, face Face, size, width float64) int {
	m := metricsOf(face)
	var sum float64
	for i, r := range s {
		a, _ := m.units(printable(r))
		sum += a
		if i > 0 && sum/m.upem*size > width+1e-6 {
			return i
		}
	}
	return len(s)
}

// Ellipsize returns s if it fits in width, else as much of its start as fits
// with "…" after it, else "".
func Ellipsize(s string, face Face, size, width float64) string {
	if Measure(s, face, size) <= width+1e-6 {
		return s
	}
	const dots = "…"
	room := width - Measure(dots, face, size)
	if room < 0 {
		return ""
	}
	n := fitting(s, face, size, room)
	for n > 0 && Measure(s[:n], face, size) > room+1e-6 {
		_, k := utf8.DecodeLastRuneInString(s[:n])
		n -= k
	}
	return strings.TrimRight(s[:n], " ") + dots
}

// Paragraph appends the lines of s, wrapped to width, with the first baseline
// one ascent below at, and returns the height they take.
func (l *List) Paragraph(at Point, s string, width float64, st TextStyle) float64 {
	lines := Wrap(s, st.Face, st.Size, width)
	lh := LineHeight(st.Face, st.Size)
	// Half of the extra spacing goes above the letters, half below.
	a, d := Ascent(st.Face, st.Size), Descent(st.Face, st.Size)
	y := at.Y + (lh-a-d)/2 + a
	x := at.X
	switch st.Align {
	case Middle:
		x += width / 2
	case End:
		x += width
	case Start:
	}
	for i, line := range lines {
		l.Text(Point{x, y + float64(float64(i)*lh)}, line, st)
	}
	return float64(len(lines)) * lh
}

// ParagraphHeight returns the height that Paragraph would take.
func ParagraphHeight(s string, width float64, st TextStyle) float64 {
	return float64(len(Wrap(s, st.Face, st.Size, width))) * LineHeight(st.Face, st.Size)
}

// printable maps what cannot stand in one line of text to what is drawn in its
// place: breaks and tabs to a space, other control characters, lone surrogates
// and non-characters to U+FFFD, the mark for "unreadable".
func printable(r rune) rune {
	switch {
	case r == '\t' || r == '\n' || r == '\r':
		return ' '
	case r < 0x20, r >= 0x7f && r < 0xa0, r >= 0xd800 && r < 0xe000, r > unicode.MaxRune, r&0xfffe == 0xfffe:
		return unicode.ReplacementChar
	}
	return r
}
