package circuit

// Law is the characteristic of a Curve: a monotone two-terminal relation between volts and amperes. A law that changes
// (a filament that has warmed) must be handed over again with Solver.SetLaw, for values of it are kept between calls.
type Law interface {
	// At returns the current in amperes from a to b at v = Va-Vb volts and its slope in siemens, which is never negative.
	At(v float64) (i, g float64)
	// Limit returns the voltage at which to linearise next, when Newton's method proposes next and the last linearisation
	// was at last. It returns next when there is nothing to limit; it must do so near the solution.
	Limit(next, last float64) float64
}

// Seeded is a Law that knows a good voltage for the first linearisation of a circuit that starts cold: a junction its
// knee, a lamp its nominal voltage. Other laws start at 0 V.
type Seeded interface {
	Law
	// Seed returns that voltage.
	Seed() float64
}

// Kinked is a Law whose slope jumps somewhere: how little it bent in the last moves tells nothing of the next one.
type Kinked interface {
	Law
	// Kinked does nothing.
	Kinked()
}

func kinked(l Law) bool {
	_, is := l.(Kinked)
	return is
}
