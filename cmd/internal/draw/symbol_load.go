package draw

import "math"

// lamp draws a circle with a cross. Light fills it and throws rays, longer the
// brighter it is, so that brightness is also a shape.
func (k *sketch) lamp(level float64) {
	const r = 14
	level = min(max(level, 0), 1)
	fill := k.fill
	if level > 0 {
		fill = k.fill.Mix(k.th.Glow, 0.25+0.75*level)
	}
	if level > 0 {
		k.l.Circle(k.p.Map(Point{}), (r+4+6*level)*k.p.scale(), k.th.Glow.WithAlpha(uint8(40+70*level)), Stroke{})
	}
	k.leads(r)
	k.circle(Point{}, r, fill, thin)
	d := r / math.Sqrt2
	k.line(thin, Point{-d, -d}, Point{d, d})
	k.line(thin, Point{d, -d}, Point{-d, d})
	if level <= 0 {
		return
	}
	for _, a := range []float64{0, 30, 150, 180, 210, 330} {
		u := unit(a)
		k.line(thin, u.Mul(r+4), u.Mul(r+5+8*level))
	}
}

// machine draws a circle with a letter.
func (k *sketch) machine(s Symbol, level float64) {
	const r = 16
	k.leads(r)
	k.circle(Point{}, r, k.fill, thin)
	letter, y := "M", -2.5
	switch s {
	case SymGenerator:
		letter = "G"
	case SymVoltmeter:
		letter, y = "V", 0
	}
	k.text(Point{0, y}, letter, 16, Regular)
	if s != SymVoltmeter { // direct current
		k.line(1.3, Point{-6, 8}, Point{6, 8})
	}
	if s == SymMotor && level > 0 {
		for _, a := range []float64{-50, 130} {
			k.arc(Point{}, r+5, a, 70, thin)
			e := onCircle(Point{}, r+5, a+70)
			t := unit(a + 70 + 90)
			n := unit(a + 70)
			k.poly(k.ink, 0, e.Add(t.Mul(6)), e.Add(n.Mul(3)), e.Sub(n.Mul(3)))
		}
	}
}

func (k *sketch) sound(c Point, level float64) {
	if level <= 0 {
		return
	}
	n := 1
	if level > 0.35 {
		n = 2
	}
	if level > 0.7 {
		n = 3
	}
	for i := range n {
		k.arc(c, 8+float64(i)*5, -38, 76, thin)
	}
}

func (k *sketch) horn(level float64) {
	k.leads(11)
	k.box(Rect{-8, -11, 12, 22}, 0, k.fill, thin)
	k.poly(k.fill, thin, Point{4, -5}, Point{15, -14}, Point{15, 14}, Point{4, 5})
	k.sound(Point{12, 0}, level)
}

// buzzer draws a half round with its flat side away from the leads.
func (k *sketch) buzzer(level float64) {
	k.leads(11.5)
	var p Path
	p.MoveArc(Point{8, 0}, 14, 90, 180)
	p.Close()
	k.path(p, k.fill, thin)
	k.sound(Point{5, 0}, level)
}
