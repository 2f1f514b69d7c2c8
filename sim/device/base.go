package device

import (
	"math"

	"faultloom/sim/circuit"
)

// base gives a device that has no state, does nothing by itself and is not noticed all the methods of Device but Build and
// Stamp. Devices embed it and replace what they do.
type base struct{}

func (base) device()                                      {}
func (base) Settle(*circuit.Solver) bool                  { return false }
func (base) Due(*circuit.Solver) float64                  { return math.Inf(1) }
func (base) Step(*circuit.Solver) float64                 { return math.Inf(1) }
func (base) Advance(*circuit.Solver, float64) []Happening { return nil }
func (base) Rest(*circuit.Solver)                         {}
func (base) Effect(*circuit.Solver) Effect                { return Effect{} }
func (base) State() []float64                             { return nil }
func (base) SetState([]float64)                           {}

// pair is the two nodes of a two-terminal device.
type pair [2]circuit.Node

// volts returns the voltage of the first node above the second in the last solution.
func (p pair) volts(s *circuit.Solver) float64 { return s.Voltage(p[0]) - s.Voltage(p[1]) }

// curve is the place of a Curve branch in a circuit and the law that was handed over last, so that a law that has not changed
// is not handed over again and costs the solver nothing.
type curve struct {
	id  circuit.ID
	to  *circuit.Solver
	now circuit.Law
}

// built remembers the branch after the circuit was made anew.
func (c *curve) built(id circuit.ID) { *c = curve{id: id} }

// set hands l over if it is another law than before, or the same one and changed.
func (c *curve) set(s *circuit.Solver, l circuit.Law, changed bool) {
	if c.to == s && c.now == l && !changed {
		return
	}
	c.to, c.now = s, l
	s.SetLaw(c.id, l)
}

// ohmic is the law of a plain conductance, in siemens.
type ohmic struct{ siemens float64 }

func (o *ohmic) At(v float64) (i, g float64)   { return o.siemens * v, o.siemens }
func (o *ohmic) Limit(next, _ float64) float64 { return next }
func (o *ohmic) become(siemens float64) (other bool) {
	other = o.siemens != siemens
	o.siemens = siemens
	return other
}

// open is the law of a branch that does not conduct.
var open circuit.Law = new(ohmic)

// word picks the word of a level: the last of the words whose bound the level reaches. bounds[i] is the least level of
// words[i+1].
func word(level float64, words []string, bounds ...float64) string {
	i := 0
	for i < len(bounds) && level >= bounds[i] {
		i++
	}
	return words[i]
}

// flag is a state that is yes or no, as a number.
func flag(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
