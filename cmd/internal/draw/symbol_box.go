package draw

// inBox draws what tells, in the middle of a component's box, what it is: a motor's circle, the square with a cross of a Hall
// generator, the letter of a measured quantity, the arrows of a transmission that goes both ways (IEC 60617, from memory), and for a
// module a table with its conditions on the left.
func (k *sketch) inBox(s Symbol, level float64) {
	switch s {
	case SymGearMotor:
		const r = 10
		k.circle(Point{}, r, k.fill, thin)
		k.text(Point{0, 0}, "M", 12, Regular)
		if level > 0 {
			for _, a := range []float64{-50, 130} {
				k.arc(Point{}, r+4, a, 70, thin)
				n := unit(a + 70)
				t := unit(a + 70 + 90)
				e := onCircle(Point{}, r+4, a+70)
				k.poly(k.ink, 0, e.Add(t.Mul(4)), e.Add(n.Mul(2.5)), e.Sub(n.Mul(2.5)))
			}
		}
	case SymHall:
		const r = 9.0
		k.box(Rect{-r, -r, 2 * r, 2 * r}, 0, k.fill, thin)
		k.line(thin, Point{-r, -r}, Point{r, r})
		k.line(thin, Point{-r, r}, Point{r, -r})
	case SymPressure:
		k.circle(Point{}, 10, k.fill, thin)
		k.text(Point{0, 0}, "p", 13, Regular)
	case SymBusNode:
		k.arrow(thin, 6, Point{-14, -4}, Point{14, -4})
		k.arrow(thin, 6, Point{14, 4}, Point{-14, 4})
	case SymLogic:
		k.box(Rect{-12, -9, 24, 18}, 0, k.fill, thin)
		k.line(heavy, Point{0, -9}, Point{0, 9})
		for _, y := range []float64{-3, 3} {
			k.line(1.3, Point{-12, y}, Point{12, y})
		}
	}
}
