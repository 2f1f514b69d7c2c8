package device

import (
	"math"

	"faultloom/sim/circuit"
)

// Battery is a lead-acid battery: an electromotive force that follows its state of charge, in series with a resistance.
//
// The force is that of the open-circuit table for flooded batteries at 26.7 °C whose full specific gravity is 1.265
// (Battery Council International style, from memory): 12.65, 12.45, 12.24, 12.06 and 11.89 V at 100, 75, 50, 25 and 0 % of
// charge, straight between them, in proportion for other nominal voltages. Charge is counted in ampere-hours of the
// capacity, in and out alike. The resistance is that of the full battery divided by 0.5 + 0.5·charge, so that an empty
// battery has twice as much (common practice, no source).
//
// In the cold its acid is slow: with cold the resistance at -18 °C over that at 25 °C, it is cold^((25 °C - t)/43 K) times as much at t, from
// -40 to 60 °C. A battery that has half of its cranking power left at -18 °C has twice the resistance there, for the most that it can give is
// E²/(4·R); 40 to 65 % are what is taught (common practice, no source; the exponential is ours).
//
// While it is charged it resists more, the fuller the more: 1 + 60·charge⁶ times as much, which lets a battery of 10 milliohms take
// some 3 A at 14.3 V when full, 9 A at 80 % and all that an alternator gives at half charge (the shape is ours, the
// currents common practice, no source). That is chemistry, which the capacity of the plates' surface bridges for anything faster than about a
// second: against a ripple the battery is its ohmic resistance, the one for discharging, behind the voltage at which it takes
// its mean current (Inert).
type Battery struct {
	base
	pins   pair
	branch circuit.ID

	volts, ohms, coulombs float64 // nominal, full, capacity
	charge                float64 // 0 to 1
	filling               bool    // current flows in
	frozen                bool    // waves are followed:
	held                  float64 // volts by which charging has raised it, which they do not change
	cold, chilled         float64 // resistance at -18 °C over that at 25 °C, and by how much it is more in its surroundings
	spoilt
}

// restVolts is the open-circuit voltage of a 12 V battery at 0, 25, 50, 75 and 100 % of charge.
var restVolts = [...]float64{11.89, 12.06, 12.24, 12.45, 12.65}

const (
	// ChargeGrain is the change of charge after which the force is worth finding anew: 1 % is 8 mV of a 12 V battery.
	ChargeGrain = 0.01
	// cellsPer12V is the number of cells in series; a shorted one is missing.
	cellsPer12V = 6
	// fullResists is how much more a full battery resists being charged than being discharged, less 1.
	fullResists = 60
	// coldCelsius and mildCelsius are the temperatures that cold is about; outside of the bounds the rule is held.
	coldCelsius, mildCelsius          = -18.0, 25.0
	leastBatteryHeat, mostBatteryHeat = -40.0, 60.0
	// trickle is the current in amperes below which neither way counts as flowing.
	trickle = 1e-9
	// openOhms is what is left of a battery whose inner link is broken: a film of acid (invented order of magnitude).
	openOhms = 1e5
)

func batteryFamily() family {
	return family{
		kind: Kind{
			Name: "battery", Title: "battery",
			Doc: "A lead-acid battery. Its voltage follows its charge and falls under load by its inner resistance. Post 30 is " +
				"positive, post 31 negative. Give `volts: 24 V` for two batteries in series.",
			Terminals: []Terminal{{"30", "positive post"}, {"31", "negative post"}},
			Params: []Param{
				{Key: "volts", Doc: "nominal voltage", Dim: Volt, Default: 12, Min: 2, Max: 96},
				{Key: "charge", Doc: "state of charge when the job begins", Dim: Percent, Default: 100, Min: 0, Max: 100},
				{Key: "resistance", Doc: "inner resistance when full; 3 to 10 milliohms at 12 V, twice that at 24 V", Dim: Ohm,
					Default: 0.01, Min: 1e-4, Max: 10},
				{Key: "capacity", Doc: "capacity at the twenty-hour rate", Dim: AmpereHour, Default: 70, Min: 0.1, Max: 10000},
				{Key: "cold", Doc: "inner resistance at -18 °C over that at 25 °C, by which it follows the vehicle's temperature; 1.5 to 2.5 are usual; 1 for one that does not", Default: 1, Min: 1, Max: 10, Extra: true},
			},
			Defects: []Defect{
				{Name: "discharged", Doc: "battery run down, and holds no more charge than that", Dim: Percent, Low: 1, High: 60, Typical: 10, Likelihood: 2},
				{Name: "weak", Doc: "battery worn out: too much inner resistance", Dim: Ohm, Low: 0.03, High: 5, Typical: 0.3, Likelihood: 1},
				{Name: "dead-cell", Doc: "one cell shorted", Likelihood: 0.5},
				{Name: "open", Doc: "broken link inside the battery", Likelihood: 0.2},
			},
		},
		tune: func(v map[string]float64, d *Defect) {
			if ohms := v["resistance"]; d.Name == "weak" {
				d.span(3*ohms, 30*ohms, 500*ohms)
			}
		},
		make: func(s Spec) Device {
			return &Battery{volts: s.Values["volts"], ohms: s.Values["resistance"],
				coulombs: 3600 * s.Values["capacity"], charge: s.Values["charge"] / 100, cold: max(1, s.Values["cold"]), chilled: 1}
		},
	}
}

// Surround implements Surrounded.
func (b *Battery) Surround(celsius float64) {
	t := min(mostBatteryHeat, max(leastBatteryHeat, celsius))
	b.chilled = pow(b.cold, (mildCelsius-t)/(mildCelsius-coldCelsius))
}

// Build implements Device.
func (b *Battery) Build(n *circuit.Netlist, name string, pins []circuit.Node) {
	b.pins = pair(pins)
	b.branch = n.Add(name, pins[0], pins[1], circuit.Source{EMF: b.EMF(), Ohms: b.innerOhms()})
}

// Stamp implements Device.
func (b *Battery) Stamp(s *circuit.Solver, _ Mode) {
	if b.frozen {
		s.SetEMF(b.branch, b.EMF()+b.held)
		s.SetOhms(b.branch, b.ohmic())
		return
	}
	s.SetEMF(b.branch, b.EMF())
	s.SetOhms(b.branch, b.innerOhms())
}

// Freeze implements Inert: what charging does to it is too slow for waves.
func (b *Battery) Freeze(s *circuit.Solver) {
	b.frozen, b.held = s != nil, 0
	if b.frozen && b.filling {
		b.held = max(0, -b.Amps(s)*(b.innerOhms()-b.ohmic()))
	}
}

// EMF returns the open-circuit voltage in volts at the present charge.
func (b *Battery) EMF() float64 {
	x := float64(b.soc() * float64(len(restVolts)-1))
	k := min(int(x), len(restVolts)-2)
	e := restVolts[k] + float64((x-float64(k))*(restVolts[k+1]-restVolts[k]))
	if b.name == "dead-cell" {
		e -= e / cellsPer12V / max(1, math.Round(b.volts/12))
	}
	return e * b.volts / 12
}

// soc is the state of charge that counts, 0 to 1.
func (b *Battery) soc() float64 {
	if b.name == "discharged" {
		return min(b.charge, b.severity/100)
	}
	return b.charge
}

// ohmic is its resistance to what is fast, and to being discharged.
func (b *Battery) ohmic() float64 {
	switch b.name {
	case "open":
		return openOhms
	case "weak":
		return b.severity * b.chilled
	}
	return b.ohms * b.chilled / (0.5 + float64(0.5*b.soc()))
}

func (b *Battery) innerOhms() float64 {
	ohms := b.ohmic()
	if b.filling && b.name != "open" && b.name != "weak" {
		soc := b.soc()
		cube := soc * soc * soc
		ohms *= 1 + float64(fullResists*cube*cube)
	}
	return ohms
}

// Amps returns the current that the battery delivers in amperes in the last solution, negative while it is charged.
func (b *Battery) Amps(s *circuit.Solver) float64 { return -s.Current(b.branch) }

// turns reports whether the current flows the other way than it is taken to.
func (b *Battery) turns(s *circuit.Solver) bool {
	if b.frozen {
		return false
	}
	if b.filling {
		return b.Amps(s) > trickle
	}
	return b.Amps(s) < -trickle
}

// Settle implements Device.
func (b *Battery) Settle(s *circuit.Solver) bool {
	if !b.turns(s) {
		return false
	}
	b.filling = !b.filling
	return true
}

// Step implements Device: none is short enough when the current has just turned.
func (b *Battery) Step(s *circuit.Solver) float64 {
	if b.turns(s) {
		return 0
	}
	return math.Inf(1)
}

// Due implements Device: the time in which the charge moves by ChargeGrain, never when it is at its end.
func (b *Battery) Due(s *circuit.Solver) float64 {
	i := b.Amps(s)
	if i == 0 || i > 0 && b.charge == 0 || i < 0 && b.charge == 1 {
		return math.Inf(1)
	}
	return ChargeGrain * b.coulombs / math.Abs(i)
}

// Advance implements Device.
func (b *Battery) Advance(s *circuit.Solver, dt float64) []Happening {
	b.charge = min(1, max(0, b.charge-float64(b.Amps(s)*dt/b.coulombs)))
	b.Settle(s)
	return nil
}

// State implements Device: the charge, 0 to 1, and whether current flows in.
func (b *Battery) State() []float64 { return b.appendState(nil) }

func (b *Battery) appendState(dst []float64) []float64 { return append(dst, b.charge, flag(b.filling)) }

// SetState implements Device.
func (b *Battery) SetState(x []float64) { b.charge, b.filling = x[0], x[1] != 0 }

// Charged returns the charge, 0 to 1; it says nothing about what a battery that is run down has left of it.
func (b *Battery) Charged() float64 { return b.charge }

// Drains returns the share of a full charge that goes in or out a second in the last solution.
func (b *Battery) Drains(s *circuit.Solver) float64 { return math.Abs(b.Amps(s)) / b.coulombs }

// Charge brings the battery to a charge, cut to 0 to 1.
func (b *Battery) Charge(to float64) { b.charge = min(1, max(0, to)) }
