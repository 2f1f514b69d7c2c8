package draw

import (
	"fmt"
	"strings"
)

// wireColour is one row of IEC 60757 table 1 and how we print it.
type wireColour struct {
	code, name string
	colour     Colour
}

// wireColours returns the codes in the order of the table. The standard fixes
// codes and names, not shades: the shades are ours, chosen to stay apart on
// the sheet.
func wireColours() [14]wireColour {
	return [14]wireColour{
		{"BK", "black", RGB(0x1c1c1e)},
		{"BN", "brown", RGB(0x7a4318)},
		{"RD", "red", RGB(0xd0201d)},
		{"OG", "orange", RGB(0xf07a13)},
		{"YE", "yellow", RGB(0xf5d21a)},
		{"GN", "green", RGB(0x1f8f45)},
		{"BU", "blue", RGB(0x1f5fc4)},
		{"VT", "violet", RGB(0x7c3db0)},
		{"GY", "grey", RGB(0x81868a)},
		{"WH", "white", RGB(0xffffff)},
		{"PK", "pink", RGB(0xf59cbc)},
		{"GD", "gold", RGB(0xb38a2e)},
		{"TQ", "turquoise", RGB(0x2fb8b4)},
		{"SR", "silver", RGB(0xc6ccd1)},
	}
}

// WireCodes returns the letter codes of IEC 60757 table 1 in its order,
// without the compound GNYE.
func WireCodes() []string {
	all := wireColours()
	out := make([]string, len(all))
	for i, c := range all {
		out[i] = c.code
	}
	return out
}

// Wire returns the colours of a wire's insulation from its code: a code of IEC
// 60757 ("RD"), or base, slash, tracer ("RD/WH"), or "GNYE" for green and
// yellow. Lower case is allowed, as in the standard. tracer has alpha 0 when
// there is none.
func Wire(code string) (base, tracer Colour, err error) {
	b, t, err := parseWire(code)
	if err != nil {
		return Colour{}, Colour{}, err
	}
	if t != nil {
		tracer = t.colour
	}
	return b.colour, tracer, nil
}

// WireName returns the code in words, for people and for screen readers: "red",
// "red with a white tracer", "green and yellow".
func WireName(code string) (string, error) {
	b, t, err := parseWire(code)
	switch {
	case err != nil:
		return "", err
	case t == nil:
		return b.name, nil
	case strings.EqualFold(code, greenYellow):
		return "green and yellow", nil
	}
	return fmt.Sprintf("%s with a %s tracer", b.name, t.name), nil
}

// greenYellow is the compound code of IEC 60757 for the protective conductor.
const greenYellow = "GNYE"

func parseWire(code string) (base, tracer *wireColour, err error) {
	up := strings.ToUpper(code)
	all := wireColours()
	find := func(s string) *wireColour {
		for i := range all {
			if all[i].code == s {
				return &all[i]
			}
		}
		return nil
	}
	if up == greenYellow {
		return find("GN"), find("YE"), nil
	}
	b, t, striped := strings.Cut(up, "/")
	if base = find(b); base == nil {
		return nil, nil, wireError(code, b)
	}
	if !striped {
		return base, nil, nil
	}
	if tracer = find(t); tracer == nil {
		return nil, nil, wireError(code, t)
	}
	if tracer == base {
		return nil, nil, fmt.Errorf("wire colour %q: the tracer is the base colour (want another colour, or %q alone)", code, b)
	}
	return base, tracer, nil
}

func wireError(code, part string) error {
	if len(part) == 4 && len(code) == 4 {
		return fmt.Errorf("wire colour %.20q: not a code of IEC 60757 (want base, slash, tracer, such as %q)", code, part[:2]+"/"+part[2:])
	}
	return fmt.Errorf("wire colour %.20q: %.20q is not a code of IEC 60757 (want one of %s)", code, part, strings.Join(WireCodes(), ", "))
}

// WireStyle is how one wire is drawn.
type WireStyle struct {
	Base    Colour
	Tracer  Colour // alpha 0 for none
	Outline Colour // thin rim along both sides; alpha 0 for none
	Width   float64
	Radius  float64 // of the corners
	// Halo is drawn under the wire, HaloWidth wider on each side: the sheet's
	// colour parts crossing wires, the accent marks a chosen one. Alpha 0 for
	// none. HaloTrim is how much of it is left out at both ends, so that a wire
	// does not cut into what it joins.
	Halo      Colour
	HaloWidth float64
	HaloTrim  float64
}

// The usual measures of a wire on the sheet, in sheet units.
const (
	WireWidth  = 5.0 // insulation
	WireRadius = 8.0 // corners
	wireRim    = 1.0 // outline on each side
)

// WireStyle returns the usual style of a wire with insulation code on the
// sheet, or the error of Wire.
func (t Theme) WireStyle(code string) (WireStyle, error) {
	base, tracer, err := Wire(code)
	if err != nil {
		return WireStyle{}, err
	}
	return WireStyle{
		Base: base, Tracer: tracer, Outline: Rim(base, t.Paper, t.Ink),
		Width: WireWidth, Radius: WireRadius,
		Halo: t.Paper, HaloWidth: 2, HaloTrim: 2 * WireWidth,
	}, nil
}

// Rim returns the colour of the thin outline of something coloured base on
// ground: base darkened towards ink until it stands out from the ground by 3 to
// 1 and from base visibly, or, for a base that is nearly black already, a grey
// that parts it from ink lines.
func Rim(base, ground, ink Colour) Colour {
	const dark = 0.02 // luminance under which darkening no longer shows
	if base.Luminance() < dark {
		return base.Mix(ground, 0.42)
	}
	for t := 0.35; t < 1; t += 0.05 {
		if c := base.Mix(ink, t); Contrast(c, ground) >= 3 {
			return c
		}
	}
	return ink
}

// AppendWire appends the wire through pts (at least two points): halo, rim,
// insulation with rounded corners, and the tracer as slanted bars along it, as
// a spiral stripe looks from the side.
func AppendWire(l *List, pts []Point, s WireStyle) {
	if !l.pointsOK("wire", pts) || len(pts) < 2 {
		return
	}
	var p Path
	p.Rounded(pts, s.Radius)
	pen := func(c Colour, w float64) Stroke { return Stroke{Colour: c, Width: w, Join: JoinRound} }
	full := s.Width
	if s.Outline.A > 0 {
		full += 2 * wireRim
	}
	if s.Halo.A > 0 && s.HaloWidth > 0 {
		l.halo(p, pen(s.Halo, full+2*s.HaloWidth), s.HaloTrim)
	}
	if s.Outline.A > 0 {
		l.Path(p, Colour{}, pen(s.Outline, full))
	}
	l.Path(p, Colour{}, pen(s.Base, s.Width))
	if s.Tracer.A > 0 {
		l.Path(tracerBars(p, s.Width), s.Tracer, Stroke{})
	}
}

// halo strokes p but for trim units at both ends.
func (l *List) halo(p Path, pen Stroke, trim float64) {
	if !(trim > 0) {
		l.Path(p, Colour{}, pen)
		return
	}
	for _, c := range flatten(p, FlatTolerance) {
		length := runLength(c.pts)
		if length <= 2*trim {
			continue
		}
		from, _ := along(c.pts, trim)
		to, _ := along(c.pts, length-trim)
		run := []Point{from}
		done := 0.0
		for i := 1; i < len(c.pts); i++ {
			done += c.pts[i-1].Dist(c.pts[i])
			if done > trim && done < length-trim {
				run = append(run, c.pts[i])
			}
		}
		l.Polyline(append(run, to), pen)
	}
}

func runLength(pts []Point) float64 {
	var sum float64
	for i := 1; i < len(pts); i++ {
		sum += pts[i-1].Dist(pts[i])
	}
	return sum
}

// Measures of the tracer as shares of the wire's width: bars as long as the wire
// is thick, leaning by as much, three widths apart.
const (
	tracerBar   = 1.1
	tracerSlant = 1.0
	tracerEvery = 3.2
)

func tracerBars(p Path, width float64) Path {
	var out Path
	if !(width > 0) {
		return out
	}
	every, bar, slant := width*tracerEvery, width*tracerBar, width*tracerSlant
	for _, c := range flatten(p, width/20) {
		total := runLength(c.pts)
		if total/every > maxDashes {
			continue
		}
		// Centre the pattern so that both ends look alike.
		n := int(max(total/every, 1))
		first := (total - float64(n-1)*every) / 2
		for i := range n {
			mid := first + float64(i)*every
			a, da := along(c.pts, mid-bar/2)
			b, db := along(c.pts, mid+bar/2)
			na, nb := Point{-da.Y, da.X}.Mul(width/2), Point{-db.Y, db.X}.Mul(width/2)
			sa, sb := da.Mul(slant/2), db.Mul(slant/2)
			out.MoveTo(a.Sub(na).Add(sa))
			out.LineTo(b.Sub(nb).Add(sb))
			out.LineTo(b.Add(nb).Sub(sb))
			out.LineTo(a.Add(na).Sub(sa))
			out.Close()
		}
	}
	return out
}

// along returns the point at distance s along pts and the direction there.
func along(pts []Point, s float64) (at, dir Point) {
	for i := 1; i < len(pts); i++ {
		d := pts[i-1].Dist(pts[i])
		if d == 0 {
			continue
		}
		dir = pts[i].Sub(pts[i-1]).Mul(1 / d)
		if s <= d || i == len(pts)-1 {
			return pts[i-1].Add(dir.Mul(s)), dir
		}
		s -= d
	}
	return pts[len(pts)-1], dir
}
