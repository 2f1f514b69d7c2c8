package draw

import "math"

// Contacts hang from the common terminal above: hinge at (0,-14), fixed contact
// at (0,14). IEC 60617 allows a symbol to be turned or mirrored without change
// of meaning.
const (
	hingeY = -14.0
	fixedY = 14.0
	// Where the tip of a blade of length 28 is when it stands clear.
	openX, openY = -13.0, 10.0
)

func (k *sketch) contactPoint(c Point) { k.circle(c, 2.2, k.fill, thin) }

func (k *sketch) contact(s Symbol, st State) {
	k.line(thin, Point{0, -32}, Point{0, hingeY})
	switch s {
	case SymMake:
		k.makeBlade(Point{}, st.Operated)
	case SymBreak:
		k.breakBlade(Point{}, st.Operated)
	case SymChangeOver:
		k.changeOver(Point{}, 32, st.Operated)
	}
}

func (k *sketch) makeBlade(o Point, closed bool) {
	tip := o.Add(Point{openX, openY})
	if closed {
		tip = o.Add(Point{0, fixedY})
	}
	k.line(thin, o.Add(Point{0, fixedY}), o.Add(Point{0, 32}))
	k.line(heavy, o.Add(Point{0, hingeY}), tip)
	k.contactPoint(o.Add(Point{0, hingeY}))
	k.contactPoint(o.Add(Point{0, fixedY}))
}

// breakBlade shows the fixed contact as a seat to the left, which the blade
// lies on at rest and is pushed off when operated.
func (k *sketch) breakBlade(o Point, open bool) {
	k.line(thin, o.Add(Point{0, 32}), o.Add(Point{0, fixedY}), o.Add(Point{-9, fixedY}))
	tip := o.Add(Point{-8, fixedY + 2})
	if open {
		tip = o.Add(Point{7, fixedY - 2})
	}
	k.line(heavy, o.Add(Point{0, hingeY}), tip)
	k.contactPoint(o.Add(Point{0, hingeY}))
}

// changeOver draws the hinge at (0,-14) and the throws at ±16, reach below the
// middle.
func (k *sketch) changeOver(o Point, reach float64, operated bool) {
	br, mk := o.Add(Point{16, fixedY}), o.Add(Point{-16, fixedY})
	k.line(thin, br, Point{br.X, o.Y + reach})
	k.line(thin, mk, Point{mk.X, o.Y + reach})
	to := br
	if operated {
		to = mk
	}
	k.line(heavy, o.Add(Point{0, hingeY}), to)
	k.contactPoint(o.Add(Point{0, hingeY}))
	k.contactPoint(br)
	k.contactPoint(mk)
}

// push draws a contact with the push operator of IEC 60617: a dashed link from
// the blade to a cap, which springs back.
func (k *sketch) push(s Symbol, st State) {
	k.line(thin, Point{0, -32}, Point{0, hingeY})
	shift, from := 0.0, Point{-7.5, 0}
	if st.Operated {
		shift = 6
	}
	if s == SymPush {
		if st.Operated {
			from.X = 0
		}
		k.makeBlade(Point{}, st.Operated)
	} else {
		from.X = -4
		if st.Operated {
			from.X = 3
		}
		k.breakBlade(Point{}, st.Operated)
	}
	x := -28 + shift
	k.dashed(from, Point{x + 4, 0})
	k.line(heavy, Point{x + 4, -7}, Point{x, -7}, Point{x, 7}, Point{x + 4, 7})
}

func (k *sketch) breaker(st State) {
	k.line(thin, Point{0, -32}, Point{0, hingeY})
	tip := Point{0, fixedY}
	if st.Operated {
		tip = Point{openX, openY}
	}
	k.line(heavy, Point{0, hingeY}, tip)
	k.contactPoint(Point{0, hingeY})
	k.line(thin, Point{0, fixedY}, Point{0, 32})
	// The cross at the fixed contact marks the breaker function, the box
	// on the hinge side its thermal release.
	k.line(thin, Point{-4, fixedY - 4}, Point{4, fixedY + 4})
	k.line(thin, Point{4, fixedY - 4}, Point{-4, fixedY + 4})
	k.line(thin, Point{0, -24}, Point{8, -24}, Point{8, -18}, Point{0, -18})
}

// coil draws a relay coil: a lying rectangle with its leads on the long sides.
func (k *sketch) coil(o Point, reach, level float64) {
	r := RectAround(o, 30, 18)
	k.line(thin, Point{o.X, o.Y - reach}, Point{o.X, r.Y})
	k.line(thin, Point{o.X, r.MaxY()}, Point{o.X, o.Y + reach})
	fill := k.fill
	if level > 0 {
		fill = k.th.AccentSoft
	}
	k.box(r, 0, fill, thin)
	if level > 0 { // energised: hatched, so that the tint is not all that tells
		for x := -9.0; x <= 9; x += 6 {
			k.line(1.1, Point{o.X + x - 4, o.Y + 6}, Point{o.X + x + 4, o.Y - 6})
		}
	}
}

// relay draws coil and contact side by side, joined by the mechanical link, in
// the thin outline of one part.
func (k *sketch) relay(s Symbol, st State) {
	body := Rect{-44, -28, 84, 56}
	if s == SymRelayChangeOver {
		body.W = 96
	}
	a, b := k.p.Map(body.Min()), k.p.Map(body.Max())
	m := Rect{min(a.X, b.X), min(a.Y, b.Y), math.Abs(b.X - a.X), math.Abs(b.Y - a.Y)}
	edge := Pen(k.th.InkSoft, 1.1*k.p.scale()).Dashed(6*k.p.scale(), 3*k.p.scale())
	k.l.Rect(m, 3*k.p.scale(), k.fill, edge)

	level := st.Level
	k.coil(Point{-24, 0}, 40, level)
	o := Point{24, 0}
	k.line(thin, o.Add(Point{0, -40}), o.Add(Point{0, hingeY}))
	if s == SymRelayMake {
		k.makeBladeTo(o, 40, st.Operated)
	} else {
		k.changeOver(o, 40, st.Operated)
	}
	link := Point{16.5, 0}
	if s == SymRelayMake && st.Operated {
		link.X = 24
	}
	if s == SymRelayChangeOver {
		link.X = 32
		if st.Operated {
			link.X = 16
		}
	}
	k.dashed(Point{-9, 0}, link)
}

func (k *sketch) makeBladeTo(o Point, reach float64, closed bool) {
	k.makeBlade(o, closed)
	k.line(thin, o.Add(Point{0, 32}), o.Add(Point{0, reach}))
}

// SwitchPlan is a switch with one common terminal and several others, in one of
// its positions.
type SwitchPlan struct {
	Throws int // terminals below, at least 1
	// Joins lists the pairs of terminals that the position connects: 0 is the
	// common one above, 1 to Throws those below from left to right.
	Joins [][2]int
}

// SwitchPitch is the distance of neighbouring terminals of a SwitchPlan.
const SwitchPitch = 24.0

// Terminals returns the terminals of the plan: "0" at (0,-32), then "1" and so
// on at Y 32, SwitchPitch apart about the middle.
func (w SwitchPlan) Terminals() []Terminal {
	out := []Terminal{{"0", Point{0, -32}, Point{0, -1}}}
	for i := range max(w.Throws, 1) {
		out = append(out, Terminal{string(rune('1' + i)), Point{w.x(i + 1), 32}, Point{0, 1}})
	}
	return out
}

func (w SwitchPlan) x(i int) float64 {
	return (float64(i-1) - float64(max(w.Throws, 1)-1)/2) * SwitchPitch
}

// Draw appends the switch at p: a blade from the common terminal to each
// terminal it feeds, a bar between terminals below that are joined with each
// other, and a blade standing clear when the common terminal feeds none. Pairs
// outside 0..Throws are left out.
func (w SwitchPlan) Draw(l *List, p Place, st State, th Theme) {
	k := newSketch(l, p, st, th)
	n := max(w.Throws, 1)
	k.line(thin, Point{0, -32}, Point{0, hingeY})
	hinge := Point{0, hingeY}
	fed := false
	for _, j := range w.Joins {
		a, b := min(j[0], j[1]), max(j[0], j[1])
		switch {
		case a < 0 || b > n || a == b:
		case a == 0:
			fed = true
			k.line(heavy, hinge, Point{w.x(b), fixedY})
		default:
			y := fixedY + 5.0
			k.line(heavy, Point{w.x(a), y}, Point{w.x(b), y})
		}
	}
	if !fed {
		// Clear of every contact: halfway between two of them, or to the side.
		x := w.x(1) - SwitchPitch/2
		k.line(heavy, hinge, Point{x, fixedY - 3})
	}
	k.contactPoint(hinge)
	for i := 1; i <= n; i++ {
		k.line(thin, Point{w.x(i), fixedY}, Point{w.x(i), 32})
		k.contactPoint(Point{w.x(i), fixedY})
	}
}
