package device

import "faultloom/sim/circuit"

// What the tests look at from inside.
var (
	Exp              = exp
	Log              = log
	Omega            = omega
	TungstenOhms     = tungstenOhmMetres
	TungstenHeat     = tungstenHeat
	TungstenExitance = tungstenExitance
	FilamentMass     = filamentMass
	FilamentAt       = func(v float64) float64 { return theFilament().temperature(v) }
	FilamentBalance  = func(v float64) float64 { return balance(v, filamentCold+5000) }
	FilamentOhms     = ratio
	FilamentLight    = brightness
	LampSteady       = func(l *Lamp) (law interface {
		At(v float64) (i, g float64)
	}) {
		return &l.steady
	}
	MotorLaw = func(m *Motor) (law interface {
		At(v float64) (i, g float64)
	}) {
		return &m.law
	}
	HeaterLaw = func(h *Heater) (law interface {
		At(v float64) (i, g float64)
	}) {
		return &h.law
	}
	HornLaw = func(h *Horn) (law interface {
		At(v float64) (i, g float64)
	}) {
		return &h.law
	}
	FuseSteady = func(f *Fuse) (law interface {
		At(v float64) (i, g float64)
	}) {
		return &f.steady
	}
	DriverLaw = func(emf, ohms, limit float64, oneWay bool) circuit.Law {
		return &driverLaw{emf: emf, ohms: ohms, limit: limit, oneWay: oneWay}
	}
	ReferenceLaw = func(volts, ohms, limit float64) circuit.Law { return &referenceLaw{volts, ohms, limit} }
	JunctionLaw  = func(volts, amps float64) circuit.Law { return newJunction(volts, amps) }
	DiodeLaw     = func(d *Diode) (law interface {
		At(v float64) (i, g float64)
	}, saturation, emission, series float64) {
		return d.law, d.law.saturation, d.law.volts / thermalVolts, d.law.series
	}
)

// TungstenMelts is the melting point in kelvin.
const TungstenMelts = tungstenMelts

// Junction is what ngspice's diode model wants.
type Junction struct{ Saturation, Emission, Series float64 }

// SuppressorLaw returns the junctions of a suppression diode and the force in series with the backward one.
func SuppressorLaw(d *Suppressor) (Junction, float64) {
	j := d.law.j
	return Junction{j.saturation, j.volts / thermalVolts, j.series}, d.law.volts
}

// AlternatorAmps returns the output current at this instant, AlternatorMean the mean that the ripple goes from, in amperes, AlternatorField the
// rotor's branch.
func AlternatorAmps(a *Alternator, s *circuit.Solver) float64 { return -s.Current(a.output.id) }
func AlternatorField(a *Alternator) circuit.ID                { return a.field }
func AlternatorMean(a *Alternator) float64                    { return a.amps }

// RelayDiode returns the suppression diode of relays.
func RelayDiode() Junction {
	j := newJunction(relayDiodeVolts, relayDiodeAmps)
	return Junction{j.saturation, j.volts / thermalVolts, j.series}
}
