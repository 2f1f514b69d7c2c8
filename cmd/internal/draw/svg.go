package draw

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// SVGOptions says what goes round the picture in WriteSVG.
type SVGOptions struct {
	Title string // short name of the picture, read out in its place; "Drawing" if empty
	Desc  string // longer description for people who cannot see it; left out if empty
	// PageMillimetres is the printed width and height; 0, 0 gives the size in
	// sheet units at 96 per inch.
	PageMillimetres Point
	// Background is painted under everything; alpha 0 leaves it transparent.
	Background Colour
	// IDPrefix goes before every id in the file, so that several pictures can
	// stand in one HTML page. Letters, digits, "-" and "_" are kept.
	IDPrefix string
	// Lang is the language tag of the texts; "en" if empty.
	Lang string
}

// WriteSVG writes l as one self-contained SVG 1.1 document whose view box is
// 0,0 to size (sheet units, both above 0). Nothing is fetched and nothing is
// embedded: text asks for the Go fonts by name, falls back to the reader's sans
// or mono, and carries its measured length, so that a substitute font takes
// the same room. Groups become <g data-id> with their label as <title>. The
// same list gives the same bytes everywhere. It returns l.Err, an error for a
// size that is not above 0, or the writer's error; on the first two nothing is
// written.
func WriteSVG(w io.Writer, l *List, size Point, opts SVGOptions) error {
	if err := l.Err(); err != nil {
		return fmt.Errorf("svg: the display list is not sound: %w", err)
	}
	if !size.finite() || size.X <= 0 || size.Y <= 0 {
		return fmt.Errorf("svg: size must be above 0 and finite (got %v × %v)", size.X, size.Y)
	}
	if mm := opts.PageMillimetres; !mm.finite() || mm.X < 0 || mm.Y < 0 || (mm.X == 0) != (mm.Y == 0) {
		return fmt.Errorf("svg: page must be a width and a height above 0 mm, or 0, 0 (got %v × %v)", mm.X, mm.Y)
	}
	s := svgWriter{w: bufio.NewWriter(w), prefix: safeID(opts.IDPrefix)}
	s.head(size, opts)
	for _, o := range l.Ops() {
		s.op(o)
	}
	s.str("</svg>\n")
	return s.w.Flush()
}

type svgWriter struct {
	w      *bufio.Writer
	prefix string
	clips  int
}

func (s *svgWriter) str(v string) { _, _ = s.w.WriteString(v) } // bufio keeps the first error for Flush

func (s *svgWriter) head(size Point, o SVGOptions) {
	s.str(`<svg xmlns="http://www.w3.org/2000/svg" role="img"`)
	lang := o.Lang
	if lang == "" {
		lang = "en"
	}
	s.text("xml:lang", lang)
	s.attr("aria-labelledby", s.prefix+"title")
	if o.Desc != "" {
		s.attr("aria-describedby", s.prefix+"desc")
	}
	if mm := o.PageMillimetres; mm.X > 0 {
		s.attr("width", number(mm.X)+"mm")
		s.attr("height", number(mm.Y)+"mm")
	} else {
		s.attr("width", number(size.X))
		s.attr("height", number(size.Y))
	}
	s.attr("viewBox", "0 0 "+number(size.X)+" "+number(size.Y))
	s.str(">\n")
	title := o.Title
	if title == "" {
		title = "Drawing"
	}
	s.str("<title")
	s.attr("id", s.prefix+"title")
	s.str(">" + escape(title) + "</title>\n")
	if o.Desc != "" {
		s.str("<desc")
		s.attr("id", s.prefix+"desc")
		s.str(">" + escape(o.Desc) + "</desc>\n")
	}
	if o.Background.A > 0 {
		s.str("<rect")
		s.attr("width", number(size.X))
		s.attr("height", number(size.Y))
		s.fill(o.Background)
		s.str("/>\n")
	}
}

func (s *svgWriter) op(o Op) {
	switch o := o.(type) {
	case *RectOp:
		s.str("<rect")
		s.box(o.Rect)
		if o.Radius > 0 {
			s.attr("rx", number(o.Radius))
		}
		s.paint(o.Fill, o.Stroke)
		s.str("/>\n")
	case *PolylineOp:
		s.str("<polyline")
		s.points(o.Points)
		s.paint(Colour{}, o.Stroke)
		s.str("/>\n")
	case *PolygonOp:
		s.str("<polygon")
		s.points(o.Points)
		s.paint(o.Fill, o.Stroke)
		s.str("/>\n")
	case *CircleOp:
		s.str("<circle")
		s.attr("cx", number(o.Center.X))
		s.attr("cy", number(o.Center.Y))
		s.attr("r", number(o.Radius))
		s.paint(o.Fill, o.Stroke)
		s.str("/>\n")
	case *ArcOp:
		s.arc(o)
	case *PathOp:
		s.str("<path")
		s.path(o.Path)
		s.paint(o.Fill, o.Stroke)
		s.str("/>\n")
	case *TextOp:
		s.textOp(o)
	case *HitAreaOp:
		s.str("<rect")
		s.box(o.Rect)
		s.str(` fill="none" pointer-events="all"/>` + "\n")
	case *PushClipOp:
		s.clips++
		id := s.prefix + "clip" + strconv.Itoa(s.clips)
		s.str("<clipPath")
		s.attr("id", id)
		s.str("><rect")
		s.box(o.Rect)
		s.str("/></clipPath>\n<g")
		s.attr("clip-path", "url(#"+id+")")
		s.str(">\n")
	case *PushTransformOp:
		s.str("<g")
		t := "translate(" + number(o.Offset.X) + " " + number(o.Offset.Y) + ")"
		if o.Scale != 1 {
			t += " scale(" + strconv.FormatFloat(o.Scale, 'g', 6, 64) + ")"
		}
		s.attr("transform", t)
		s.str(">\n")
	case *BeginGroupOp:
		s.str("<g")
		s.text("data-id", o.ID)
		s.str(">\n")
		if o.Label != "" {
			s.str("<title>" + escape(o.Label) + "</title>\n")
		}
	case PopClipOp, PopTransformOp, EndGroupOp:
		s.str("</g>\n")
	}
}

func (s *svgWriter) textOp(o *TextOp) {
	s.str("<text")
	s.attr("x", number(o.At.X))
	s.attr("y", number(o.At.Y))
	family := "Go,'Go Regular',sans-serif"
	if o.Style.Face == Mono || o.Style.Face == MonoBold {
		family = "'Go Mono',ui-monospace,monospace"
	}
	s.attr("font-family", family)
	if o.Style.Face == Bold || o.Style.Face == MonoBold {
		s.attr("font-weight", "700")
	}
	s.attr("font-size", number(o.Style.Size))
	switch o.Style.Align {
	case Middle:
		s.attr("text-anchor", "middle")
	case End:
		s.attr("text-anchor", "end")
	case Start:
	}
	if w := Measure(o.Text, o.Style.Face, o.Style.Size); w > 0 {
		s.attr("textLength", number(w))
		s.str(` lengthAdjust="spacingAndGlyphs"`)
	}
	s.fill(o.Style.Colour)
	if strings.HasPrefix(o.Text, " ") || strings.HasSuffix(o.Text, " ") || strings.Contains(o.Text, "  ") {
		s.str(` xml:space="preserve"`)
	}
	s.str(">" + escape(o.Text) + "</text>\n")
}

func (s *svgWriter) arc(o *ArcOp) {
	if math.Abs(o.Sweep) >= 360 {
		s.op(&CircleOp{o.Center, o.Radius, Colour{}, o.Stroke})
		return
	}
	a, b := onCircle(o.Center, o.Radius, o.Start), onCircle(o.Center, o.Radius, o.Start+o.Sweep)
	large, dir := "0", "0"
	if math.Abs(o.Sweep) > 180 {
		large = "1"
	}
	if o.Sweep > 0 {
		dir = "1"
	}
	r := number(o.Radius)
	s.str("<path")
	s.attr("d", "M"+pair(a)+"A"+r+" "+r+" 0 "+large+" "+dir+" "+pair(b))
	s.paint(Colour{}, o.Stroke)
	s.str("/>\n")
}

func (s *svgWriter) path(p Path) {
	s.str(` d="`)
	for _, g := range p.Segs {
		switch g.Verb {
		case MoveTo:
			s.str("M" + pair(g.A))
		case LineTo:
			s.str("L" + pair(g.A))
		case QuadTo:
			s.str("Q" + pair(g.A) + " " + pair(g.B))
		case CubicTo:
			s.str("C" + pair(g.A) + " " + pair(g.B) + " " + pair(g.C))
		case Close:
			s.str("Z")
		}
	}
	s.str(`"`)
}

func (s *svgWriter) points(pts []Point) {
	s.str(` points="`)
	for i, p := range pts {
		if i > 0 {
			s.str(" ")
		}
		s.str(pair(p))
	}
	s.str(`"`)
}

func (s *svgWriter) box(r Rect) {
	s.attr("x", number(r.X))
	s.attr("y", number(r.Y))
	s.attr("width", number(r.W))
	s.attr("height", number(r.H))
}

func (s *svgWriter) paint(fill Colour, st Stroke) {
	s.fill(fill)
	if !st.Visible() {
		return
	}
	s.attr("stroke", st.Colour.Hex())
	if st.Colour.A < 255 {
		s.attr("stroke-opacity", number(float64(st.Colour.A)/255))
	}
	s.attr("stroke-width", number(st.Width))
	if st.Cap == CapRound {
		s.attr("stroke-linecap", "round")
	}
	if st.Join == JoinRound {
		s.attr("stroke-linejoin", "round")
	}
	if d := st.dashes(); d != nil {
		parts := make([]string, len(d))
		for i, v := range d {
			parts[i] = number(v)
		}
		s.attr("stroke-dasharray", strings.Join(parts, " "))
		if st.DashOffset != 0 {
			s.attr("stroke-dashoffset", number(st.DashOffset))
		}
	}
}

func (s *svgWriter) fill(c Colour) {
	if c.A == 0 {
		s.str(` fill="none"`)
		return
	}
	s.attr("fill", c.Hex())
	if c.A < 255 {
		s.attr("fill-opacity", number(float64(c.A)/255))
	}
}

// attr writes an attribute whose value is made here and needs no escaping.
func (s *svgWriter) attr(name, value string) { s.str(" " + name + `="` + value + `"`) }

// text writes an attribute whose value comes from outside.
func (s *svgWriter) text(name, value string) { s.attr(name, escape(value)) }

// number writes v with at most three decimals: a thousandth of a unit is far
// below what print or screen can show, and rounding hides last-bit differences
// between processors.
func number(v float64) string {
	v = math.Round(v*1000) / 1000
	if v == 0 {
		return "0" // no minus zero
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func pair(p Point) string { return number(p.X) + "," + number(p.Y) }

// escape makes s safe as XML text and as a quoted attribute: markup is escaped
// and what XML 1.0 forbids becomes U+FFFD (production 2, "Char").
func escape(s string) string {
	var b strings.Builder
	for _, r := range s { // invalid UTF-8 comes as U+FFFD
		switch r {
		case '&':
			b.WriteString("&amp;")
		case '<':
			b.WriteString("&lt;")
		case '>':
			b.WriteString("&gt;")
		case '"':
			b.WriteString("&quot;")
		case '\'':
			b.WriteString("&#39;")
		default:
			b.WriteRune(printable(r))
		}
	}
	return b.String()
}

func safeID(s string) string {
	return strings.Map(func(r rune) rune {
		if r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '_') {
			return r
		}
		return -1
	}, s)
}
