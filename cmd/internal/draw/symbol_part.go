package draw

func (k *sketch) leads(y float64) {
	k.line(thin, Point{0, -32}, Point{0, -y})
	k.line(thin, Point{0, y}, Point{0, 32})
}

// battery draws two cells; the long thin plate of each is the positive one.
func (k *sketch) battery() {
	k.line(thin, Point{0, -32}, Point{0, -12})
	k.line(thin, Point{0, 12}, Point{0, 32})
	k.line(thin, Point{-16, -12}, Point{16, -12})
	k.line(4, Point{-7, -5}, Point{7, -5})
	k.line(thin, Point{-16, 5}, Point{16, 5})
	k.line(4, Point{-7, 12}, Point{7, 12})
	k.line(thin, Point{0, -5}, Point{0, 5})
	k.line(thin, Point{9, -22}, Point{17, -22})
	k.line(thin, Point{13, -26}, Point{13, -18})
	k.line(thin, Point{9, 22}, Point{17, 22})
}

func (k *sketch) fuse(st State) {
	k.box(Rect{-7, -18, 14, 36}, 0, k.fill, thin)
	if !st.Blown {
		k.line(thin, Point{0, -32}, Point{0, 32})
		return
	}
	k.line(thin, Point{0, -32}, Point{0, -8}, Point{-2, -4})
	k.line(thin, Point{0, 32}, Point{0, 8}, Point{2, 4})
	k.line(heavy, Point{12, -4}, Point{20, 4})
	k.line(heavy, Point{20, -4}, Point{12, 4})
}

func (k *sketch) diode(s Symbol, st State) {
	fill := k.fill
	if s == SymLED && st.Level > 0 {
		fill = k.fill.Mix(k.th.Glow, min(st.Level, 1))
	}
	k.line(thin, Point{0, -32}, Point{0, 32})
	k.poly(fill, thin, Point{-11, -10}, Point{11, -10}, Point{0, 9})
	switch s {
	case SymZener:
		k.line(heavy, Point{-11, 4}, Point{-11, 10}, Point{11, 10})
	default:
		k.line(heavy, Point{-11, 10}, Point{11, 10})
	}
	k.line(thin, Point{0, -10}, Point{0, 9})
	if s == SymLED {
		w, head, far := 1.3, 5.0, 0.0
		if st.Level > 0 { // alight: longer and heavier arrows
			w, head, far = 2.2, 7, 5
		}
		k.arrow(w, head, Point{11, -4}, Point{21 + far, -14 - far})
		k.arrow(w, head, Point{14, 4}, Point{24 + far, -6 - far})
	}
}

func (k *sketch) resistor(s Symbol, st State) {
	body := Rect{-7, -18, 14, 36}
	k.leads(18)
	fill := k.fill
	if s == SymHeater && st.Level > 0 {
		fill = k.fill.Mix(k.th.Glow.Mix(k.th.Bad, 0.35), min(st.Level, 1)*0.8)
	}
	k.box(body, 0, fill, thin)
	switch s {
	case SymHeater:
		for y := -12.0; y <= 12; y += 6 {
			k.line(1.3, Point{-7, y}, Point{7, y})
		}
		if st.Level > 0 { // warm air rising
			for _, x := range []float64{13, 18} {
				var p Path
				p.MoveTo(Point{x, 10})
				p.CubicTo(Point{x - 4, 4}, Point{x + 4, -4}, Point{x, -10})
				k.path(p, Colour{}, 1.3)
			}
		}
	case SymPotentiometer:
		y := 14 - 28*min(max(st.Setting, 0), 1)
		k.line(thin, Point{32, 0}, Point{20, 0}, Point{20, y})
		k.arrow(thin, 7, Point{20, y}, Point{8, y})
	case SymNTC, SymPTC:
		k.line(thin, Point{-14, 20}, Point{-14, 13}, Point{13, -14})
		sign := "−θ"
		if s == SymPTC {
			sign = "+θ"
		}
		k.text(Point{-16, -12}, sign, 11, Regular)
	}
}

func (k *sketch) capacitor() {
	k.leads(4)
	k.line(heavy, Point{-14, -4}, Point{14, -4})
	k.line(heavy, Point{-14, 4}, Point{14, 4})
}

func (k *sketch) inductor() {
	k.leads(20)
	for i := range 4 {
		k.arc(Point{0, -15 + float64(i)*10}, 5, 270, 180, thin)
	}
}

// solenoid draws a coil and, through a core, the rod that it pulls.
func (k *sketch) solenoid(level float64) {
	k.coil(Point{}, 32, level)
	x := 6.0
	if level > 0 {
		x = 0
	}
	k.dashed(Point{15, 0}, Point{20 + x, 0})
	k.poly(k.ink, 0, Point{16 + x, 0}, Point{22 + x, -5}, Point{22 + x, 5})
	k.line(heavy, Point{25 + x, -8}, Point{25 + x, 8})
}

func (k *sketch) ground(s Symbol) {
	k.line(thin, Point{0, -16}, Point{0, 0})
	if s == SymGround {
		k.line(heavy, Point{-14, 0}, Point{14, 0})
		k.line(heavy, Point{-9, 6}, Point{9, 6})
		k.line(heavy, Point{-4, 12}, Point{4, 12})
		return
	}
	k.line(heavy, Point{-14, 0}, Point{14, 0})
	for _, x := range []float64{-10, 0, 10} {
		k.line(thin, Point{x, 0}, Point{x - 6, 10})
	}
}

// pair draws a socket above and the pin in it below.
func (k *sketch) pair(parted bool) {
	// The socket opens downwards; parted, the pin stands clear of it.
	cup, pin := -4.0, -4.0
	if parted {
		cup, pin = -9, 3
	}
	k.line(thin, Point{0, -16}, Point{0, cup - 5})
	k.arc(Point{0, cup}, 5, 180, 180, thin)
	k.line(3.6, Point{0, pin}, Point{0, pin + 8})
	k.line(thin, Point{0, pin + 8}, Point{0, 16})
}

func (k *sketch) splice() { k.dot(Point{}, 4) }

func (k *sketch) stud() {
	k.circle(Point{}, 7, k.fill, thin)
	k.dot(Point{}, 3.2)
}
