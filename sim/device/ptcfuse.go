package device

import "faultloom/sim/circuit"

// PTCFuse is a protector of a polymer that is filled with carbon: above its switch point it expands, its grains part, and its resistance jumps up
// by orders of magnitude. It is the body of a PTCHeater, with a steeper rise and a current as its rating: overloaded it heats up to its switch
// point and lets through no more than keeps it there; it stays so as long as there is voltage, and comes back by itself when that is gone
// and it has cooled.
//
// The largest current that it bears for good follows from the balance I²·R(T) = G·(T - 20 °C), where I² has its maximum over T; G is such that
// this is 1.4 times the rating, between the current that data sheets have it hold (the rating) and the one at which it must trip (twice
// that). All figures are common practice for data sheets of such parts, from memory.
type PTCFuse struct{ PTCHeater }

const (
	// ptcFusePoint in °C and ptcFuseSteep in 1/K are the polymer's: it melts at some 125 °C.
	ptcFusePoint, ptcFuseSteep = 120.0, 0.4
	// ptcFuseBears is the largest current for good over the rating.
	ptcFuseBears = 1.4
	// ptcFuseVolts is the drop at the rating in volts, when cold.
	ptcFuseVolts = 0.1
	// ptcFuseTau is the time constant of its cooling in seconds; five times its rating trips it in some 5 s.
	ptcFuseTau = 60.0
)

func ptcFuseFamily() family {
	return family{
		kind: Kind{
			Name: "ptc-fuse", Title: "self-resetting PTC fuse",
			Doc: "A protector of conducting polymer, as in window lifts and units: it bears its rating, and by twice that it gets so hot that it lets next " +
				"to nothing through. It stays so as long as there is voltage across it, and is as before when that has been off for a minute or two.",
			Terminals: fuseTerminals, Plugged: true,
			Params: []Param{
				{Key: "rating", Doc: "current that it bears for good", Dim: Ampere, Required: true, Min: 0.05, Max: 50},
				{Key: "time", Doc: "time constant of its cooling", Dim: Second, Default: ptcFuseTau, Min: 1, Max: 600},
			},
			Defects: []Defect{
				{Name: "open", Doc: "no contact to the polymer", Likelihood: 1},
				{Name: "weak", Doc: "aged: trips at too little current, as if so many percent of it were left", Dim: Percent, Low: 3, High: 50, Typical: 25, Likelihood: 0.5},
				{Name: "shorted", Doc: "bridged: never trips", Dim: Ohm, Low: 0.0005, High: 0.05, Typical: 0.005, Likelihood: 0.2},
			},
		},
		make: func(s Spec) Device {
			rating := s.Values["rating"]
			f := &PTCFuse{PTCHeater{cold: ptcFuseVolts / rating, point: ptcFusePoint, steep: ptcFuseSteep, tau: s.Values["time"], t: ptcAir, rest: ptcAir}}
			bears := ptcFuseBears * rating
			f.give = bears * bears * f.cold / f.heldBy()
			f.watts = f.give * (ptcFusePoint - ptcAir)
			return f
		},
	}
}

// heldBy is the largest of (T - 20 °C)/(1 + e^(a·(T - S))), in kelvin: the square of the current that it bears over G/cold.
func (f *PTCFuse) heldBy() float64 {
	low, high := ptcAir, f.point
	for range 100 { // one maximum lies between them
		a, b := low+(high-low)/3, high-(high-low)/3
		if f.held(a) < f.held(b) {
			low = a
		} else {
			high = b
		}
	}
	return f.held(low)
}

func (f *PTCFuse) held(t float64) float64 { return (t - ptcAir) / (1 + exp(f.steep*(t-f.point))) }

// Effect implements Device: nobody notices it.
func (f *PTCFuse) Effect(*circuit.Solver) Effect { return Effect{} }

// Tripped reports whether it is above its switch point.
func (f *PTCFuse) Tripped() bool { return *f.temperature() > f.point }

// Spoil implements Defective. One that comes, or goes, does so cold: what stays tripped keeps itself so, whatever it was that tripped it.
func (f *PTCFuse) Spoil(defect string, severity float64) error {
	was := f.name
	if err := f.put(defect, severity); err != nil {
		return err
	}
	if f.name != was {
		f.t, f.rest = ptcAir, ptcAir
	}
	return nil
}
