package circuit

// store is a Capacitor or Inductor with what it holds. Between the steps in time it is what follows from its history: in each
// step of dt seconds a branch i = g·v - j, its companion model.
//
// With u the voltage of the capacitance itself and R the series resistance, C·u' = i and u = v - R·i. The trapezoidal rule over
// dt gives
//
//	i = [k·(v - u₀) - i₀] / (1 + k·R), k = 2·C/dt
//
// and two steps of backward Euler over dt/2 each give the same without i₀, so both have one and the same conductance. For an
// inductance L·i' = v - R·i:
//
//	i = [v + v₀ + (k - R)·i₀] / (k + R), k = 2·L/dt
//
// and backward Euler over dt/2 is i = [v + k·i₀] / (k + R). (Chua and Lin, "Computer-Aided Analysis of Electronic Circuits",
// 1975, has companion models; from memory.)
type store struct {
	a, b       int32
	sign       float64 // of place
	winding    bool    // inductor
	size, ohms float64 // farads or henries, and the series resistance

	held float64 // volts of the capacitance, or amperes
	v, i float64 // of the whole branch, in the last solution

	g, j float64 // companion model as it stands in the last elimination
	k    float64 // 2·size/dt

	rate, rateBefore, rateLong float64 // of held per second, at the ends of the last step and of the two before
}

// hold is what a step has to put back when it fails.
type hold struct{ held, v, i float64 }

// shape finds the conductance for steps of dt seconds.
func (c *store) shape(dt float64) {
	c.k = 2 * c.size / dt
	switch {
	case c.ohms > maxValue: // open
		c.g = 0
	case c.winding:
		c.g = 1 / (c.k + c.ohms)
	default:
		c.g = c.k / (1 + float64(c.k*c.ohms))
	}
}

// aim finds the source of the companion model for the next step, with abrupt for a half step of backward Euler.
func (c *store) aim(abrupt bool) {
	switch {
	case c.g == 0:
		c.j = 0
	case c.winding && abrupt:
		c.j = -c.g * float64(c.k*c.held)
	case c.winding:
		c.j = -c.g * (c.v + float64((c.k-c.ohms)*c.held))
	case abrupt:
		c.j = c.g * c.held
	default:
		c.j = c.g * (c.held + c.i/c.k)
	}
}

// advance takes over what was found at the end of a step: the voltage across the branch.
func (c *store) advance(v float64, abrupt bool) {
	was := c.i
	c.v = v
	c.i = float64(c.g*v) - c.j
	switch {
	case c.winding:
		c.held = c.i
	case abrupt:
		c.held += c.i / c.k
	default:
		c.held += (c.i + was) / c.k
	}
	c.rateLong, c.rateBefore = c.rateBefore, c.rate
	if c.winding {
		c.rate = (v - float64(c.ohms*c.i)) / c.size
		if c.g == 0 {
			c.rate = 0
		}
	} else {
		c.rate = c.i / c.size
	}
}

// rest makes the stores what they are at an operating point: capacitors open, inductors their resistance.
func (s *Solver) rest() {
	for i := range s.str {
		c := &s.str[i]
		c.g, c.j = 0, 0
		if c.winding {
			c.g = 1 / c.ohms
		}
	}
	s.dt = 0
	s.sumStores()
}

// settle makes the stores hold what they hold at the operating point that was found.
func (s *Solver) settle() {
	for i := range s.str {
		c := &s.str[i]
		c.v = s.volts[c.a] - s.volts[c.b]
		c.i = c.g * c.v
		c.held = c.v
		if c.winding {
			c.held = c.i
		}
		c.rate, c.rateBefore, c.rateLong = 0, 0, 0
	}
}

// sumStores adds up the stores of each hot slot.
func (s *Solver) sumStores() {
	for _, h := range s.sym.hotStored {
		var t norton
		for _, i := range s.sym.hotStore.at(int(h)) {
			c := &s.str[i]
			t.c += c.g
			t.j += float64(c.sign * c.j)
		}
		s.still[h] = t
	}
	s.unstamped = s.unstamped || len(s.str) > 0
}
