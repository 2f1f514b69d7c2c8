package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Lasting is a device in which something goes on moving for a while once the circuit around it has changed.
type Lasting interface {
	Device
	// Lasts returns for how many seconds at most, after which all that is left of what went before is discrete.
	Lasts() float64
}

// Turning is a device with something that is in or out and may stay so on its own, such as an armature.
type Turning interface {
	Device
	// Turn puts it in or out, to see what follows.
	Turn(in bool)
	// PulledIn reports where it is.
	PulledIn() bool
}

// lastingTimes is how many time constants it takes until what decays is over: e⁻⁵ is less than 1 %, half of what parts differ by.
const lastingTimes = 5

// Lasts implements Lasting: the coil's current and the armature's way.
func (r *Relay) Lasts() float64 {
	tau := 0.0
	if ohms := r.coilOhms(); !math.IsInf(ohms, 1) && ohms > 0 {
		tau = r.inductance() / ohms
	}
	return r.operate + r.release + float64(lastingTimes*tau)
}

// Lasts implements Lasting: the plunger's way, and the winding that warms up.
func (d *Solenoid) Lasts() float64 { return d.delay + d.release + float64(lastingTimes*d.tau) }

// Lasts implements Lasting.
func (h *Heater) Lasts() float64 { return lastingTimes * h.tau }

// Lasts implements Lasting. Driven, a motor comes to its speed with its own time constant or, through much resistance, with
// that of its load; left alone it runs down in H/√(rub·fan)·atan(√(fan/rub)), the integral of H/(rub + fan·w²).
func (m *Motor) Lasts() float64 {
	rub, fan := m.law.rub, 1-m.law.rub
	down := 1 / rub // for fan = 0
	if fan > 0 {
		down = math.Atan(math.Sqrt(fan/rub)) / math.Sqrt(rub*fan)
	}
	return m.inert * max(down, lastingTimes/(1+2*fan))
}

// Share returns the voltage across the filament over the rated one.
func (l *Lamp) Share(s *circuit.Solver) float64 { return l.share(s) }

// Follow returns the filament's temperature in kelvin after so many seconds under the present solution, in steady state, from the temperature
// it had; rather too far from where it comes to rest than too near. In the dark it cools as if nothing were connected.
func (l *Lamp) Follow(s *circuit.Solver, kelvin, seconds float64) float64 {
	if math.Abs(kelvin-l.kelvin) <= warmthRest {
		return l.kelvin // Rest has put it there
	}
	v := l.share(s)
	slow := 1.0
	switch {
	case v < filamentDark || v > filamentStiff:
	case v > filamentHalf:
		slow = 4
	default:
		slow = 12
	}
	return l.warmth.stride(v, kelvin, seconds/slow, warmthCoarse)
}

// Shares of a filament's rated voltage in steady state that tell how stiff its supply is. A cold one has a tenth of the hot resistance:
// beside a resistance in series that leaves it more than filamentStiff of a supply at its rated voltage it still gets its rated power at
// once; above filamentHalf it gets a quarter of what it has in the end, below it down to a twelfth of that as long as it is cold. Below
// filamentDark it warms by less than 200 K.
const filamentDark, filamentHalf, filamentStiff = 0.02, 0.5, 0.85

// Warm puts the filament at a temperature in kelvin.
func (l *Lamp) Warm(kelvin float64) { l.kelvin = kelvin }
