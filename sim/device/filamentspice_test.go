package device_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// filamentDeck writes a lamp between two nodes as an ngspice deck has it: a source of current whose conductance follows from the voltage of
// the node "kelvin", and a capacitor of 1 F there that the heat balance charges,
//
//	dT/dt = (v²/(R·ρ(T)/ρ(hot)) - P·p(T))/(m·c(T))
//
// with the published resistivity on straight lines between the rows of testdata/device/tungsten.csv, the emissivity on straight lines
// between 100 K, and the specific heat of NIST-JANAF written out here.
func filamentDeck(t *testing.T, plus, minus string, volts, watts float64) string {
	const hot, cold, gas, sigma, molar = 2800.0, 293.15, 0.12, 5.670374419e-8, 0.18384
	var rho, epsilon []string
	for _, row := range table(t, "tungsten.csv") {
		kelvin := number(t, row["temperature_K"])
		if kelvin == 300 { // as straight below as between the first two
			rho = append(rho, "200", "3.24")
		}
		rho = append(rho, row["temperature_K"], row["resistivity_micro_ohm_cm"])
	}
	for kelvin := 200.0; kelvin <= 3600; kelvin += 100 {
		epsilon = append(epsilon, fmt.Sprintf("%g,%.9g", kelvin, device.TungstenExitance(kelvin)/(sigma*math.Pow(kelvin, 4))))
	}
	lost := func(kelvin float64) (radiated, conducted float64) {
		return device.TungstenExitance(kelvin) - device.TungstenExitance(cold), math.Pow(kelvin, 1.75) - math.Pow(cold, 1.75)
	}
	radiated, conducted := lost(hot)
	var b strings.Builder
	fmt.Fprintf(&b, "bohms ohms 0 v=%.12g*pwl(v(kelvin),%s)/84.7\n", volts*volts/watts, strings.Join(rho, ","))
	fmt.Fprintf(&b, "blamp %s %s i=v(%s,%s)/v(ohms)\n", plus, minus, plus, minus)
	fmt.Fprintf(&b, "bshines shines 0 v=%.12g*(pwl(v(kelvin),%s)*v(kelvin)^4-%.12g)\n", (1-gas)*sigma/radiated, strings.Join(epsilon, ","), device.TungstenExitance(cold)/sigma)
	fmt.Fprintf(&b, "bgas gas 0 v=%.12g*(v(kelvin)^1.75-%.12g)\n", gas/conducted, math.Pow(cold, 1.75))
	b.WriteString("bx x 0 v=v(kelvin)/1000\n")
	for i, c := range [2][5]float64{{23.95930, 2.639680, 1.257750, -0.254642, -0.048407}, {-22.57640, 90.27980, -44.27150, 7.176630, -24.09740}} {
		fmt.Fprintf(&b, "bheat%d heat%d 0 v=%.12g+%.12g*v(x)+%.12g*v(x)^2+%.12g*v(x)^3+%.12g/v(x)^2\n", i, i, c[0], c[1], c[2], c[3], c[4])
	}
	fmt.Fprintf(&b, "bwarms 0 kelvin i=(v(%s,%s)*i(vlamp)-%.12g*(v(shines)+v(gas)))*%g/%.12g/(v(x)>1.9?v(heat1):v(heat0))\n", plus, minus, watts, molar, device.FilamentMass(volts, watts))
	b.WriteString("cwarms kelvin 0 1 ic=293.15\n")
	return b.String()
}

// filamentShare is how near both programs come to each other, as a share of the largest voltage or current: a straight line between two rows of
// the published table lies up to 0.2 % above the smooth curve through them that the model has, below 600 K, where the current is largest.
// filamentKelvin is the same for the temperature: the steps of either program, a few thousandths of what it moves.
const filamentShare, filamentKelvin = 3e-3, 1.0

// filamentSees compares the volts at the lamp, its current and its temperature with a row of ngspice's answer.
type filamentSees struct{ volts, amps, kelvin float64 }

func (w *filamentSees) see(volts, amps, kelvin float64, row []float64) {
	w.kelvin = max(w.kelvin, math.Abs(kelvin-row[1]))
	w.volts = max(w.volts, math.Abs(volts-row[2]))
	w.amps = max(w.amps, math.Abs(amps-row[3]))
}

const filamentOptions = `.options reltol=1e-5 abstol=1e-9 vntol=1e-6 method=gear
.control
set numdgt=8
set wr_singlescale
`

// filamentEnd writes the filament's temperature, volts and current at even times.
const filamentEnd = `linearize v(kelvin) v(l) i(vlamp)
wrdata out v(kelvin) v(l) i(vlamp)
quit 0
.endc
.end
`

// A headlamp of 55 W is switched on, draws its inrush, burns, and is switched off and cools; point by point against ngspice.
func TestInrushAgainstNgspice(t *testing.T) {
	deck := `headlamp of 55 W: on at 0 s, off at 0.4 s
vb b 0 12.6
s1 b m ctl 0 contact
vctl ctl 0 pulse(1 0 0.4 1n 1n 10 20)
.model contact sw(vt=0.5 vh=0.1 ron=0.1 roff=1e6)
vlamp m l 0
` + filamentDeck(t, "l", "0", 12, 55) + filamentOptions + `tran 2m 0.8 0 20u uic
` + filamentEnd
	answer := spice(t, "inrush", deck)
	l := lamp(t, 12, 55)
	r, source := lampOn(t, l, 12.6, 0.1)
	var off filamentSees
	peak := 0.0
	for _, row := range answer {
		at := row[0]
		if at > 0.4 && r.past < 0.4+1e-9 {
			r.march(0.4-r.past, 1e-5)
			r.solver.SetOhms(source, 1e6)
		}
		r.march(max(0, at-r.past), 1e-5)
		if at < 1e-9 || math.Abs(at-0.4) < 1e-6 {
			continue
		}
		peak = max(peak, row[3])
		off.see(r.volts(1), -r.solver.Current(source), l.Kelvin(), row)
	}
	t.Logf("%d points, at most %.2g K, %.2g V, %.2g A apart of a peak of %.3g A", len(answer), off.kelvin, off.volts, off.amps, peak)
	assert.Greater(t, peak, 30.0, "the inrush is there")
	assert.Less(t, off.kelvin, filamentKelvin)
	assert.Less(t, off.volts, filamentShare*12.6)
	assert.Less(t, off.amps, filamentShare*peak)
}

// What a filament does within a step is exact for a circuit in which nothing else moves, so behind a resistance that takes most of the voltage while it is
// cold its temperature is right after steps in which that doubles: at every 100 ms, gone through in one step each, against ngspice.
func TestFilamentInLongStepsAgainstNgspice(t *testing.T) {
	deck := `headlamp of 55 W behind 1 ohm: on at 0 s
vb b 0 12.6
r1 b m 1
vlamp m l 0
` + filamentDeck(t, "l", "0", 12, 55) + filamentOptions + `tran 100m 2 0 20u uic
` + filamentEnd
	l := lamp(t, 12, 55)
	r, _ := lampOn(t, l, 12.6, 1)
	most, leap, was, past := 0.0, 0.0, l.Kelvin(), 0.0
	for _, row := range spice(t, "longsteps", deck) {
		if row[0] < 1e-9 {
			continue
		}
		r.solve(device.Moving)
		l.Advance(r.solver, row[0]-past)
		past = row[0]
		most = max(most, math.Abs(l.Kelvin()-row[1]))
		leap, was = max(leap, l.Kelvin()/was), l.Kelvin()
	}
	t.Logf("at most %.2g K apart, %.2g times as hot within a step", most, leap)
	assert.Greater(t, leap, 1.5)
	assert.Less(t, most, 3.0)
}

// pulsedLamp is a module that pulses a lamp of 21 W with a duty of 30 % at 100 Hz from 13.5 V behind 20 mΩ, through a wire of 0.1 Ω.
func pulsedLamp(t *testing.T) (r *rig, m *device.Module, l *device.Lamp, wire circuit.ID) {
	d, err := device.New(device.Spec{Kind: "module", Logic: &device.Logic{Supply: "15", Ground: "31",
		Inputs:  []device.LogicInput{{Name: "want", Terminal: "1", PullUp: 1000, Above: 6}},
		Outputs: []device.LogicOutput{{Name: "lamp", Terminal: "2", Side: device.HighSide, Ohms: 0.05, Limit: 60}},
		Rows: []device.LogicRow{{When: []device.LogicTerm{{Name: "want", State: "on"}},
			Then: []device.LogicDrive{{Output: "lamp", Duty: 0.3, Hertz: 100}}}}}})
	require.NoError(t, err)
	l = lamp(t, 12, 21)
	r = newRig(t, 4).add(d, 1, 0, 2, 3).add(l, 4, 0)
	r.branch(1, 0, circuit.Source{EMF: 13.5, Ohms: 0.02})
	wire = r.branch(3, 4, circuit.Resistor{Ohms: 0.1})
	return r.compile(), d.(*device.Module), l, wire
}

// A lamp on pulses, every edge followed, point by point against ngspice: how it warms up, how far its temperature follows the pulses, and
// the current of each pulse.
func TestPulseWidthIntoALampAgainstNgspice(t *testing.T) {
	deck := `lamp of 21 W on pulses of 30 % at 100 Hz
vb b 0 13.5
rb b m 0.02
rown m 0 400
rpull m 0 1001000
s1 m o ctl 0 contact
vctl ctl 0 pulse(0 1 0 1n 1n 3m 10m)
.model contact sw(vt=0.5 vh=0.1 ron=0.05 roff=1e9)
rw o l1 0.1
vlamp l1 l 0
` + filamentDeck(t, "l", "0", 12, 21) + filamentOptions + `tran 0.5m 0.6 0 20u uic
` + filamentEnd
	answer := spice(t, "pulsed-lamp", deck)
	r, m, l, wire := pulsedLamp(t)
	m.Wave(true)
	for !m.On("lamp") { // until the module has come to life and believes its input
		r.march(1e-3, 1e-3)
		require.Less(t, r.past, 0.1)
	}
	m.Wave(true)
	begun := r.past
	var off filamentSees
	coolest, hottest, peak := math.Inf(1), 0.0, 0.0
	for _, row := range answer {
		at := row[0]
		r.march(max(0, begun+at-r.past), 2e-5)
		if phase := math.Mod(at+1e-9, 0.01); phase < 1e-6 || math.Abs(phase-0.003) < 1e-6 {
			continue // on an edge
		}
		peak = max(peak, row[3])
		off.see(r.volts(4), r.solver.Current(wire), l.Kelvin(), row)
		if at > 0.55 {
			coolest, hottest = min(coolest, row[1]), max(hottest, row[1])
		}
	}
	t.Logf("%d points, at most %.2g K, %.2g V, %.2g A apart of a peak of %.3g A; at last from %.0f to %.0f K", len(answer), off.kelvin, off.volts, off.amps, peak, coolest, hottest)
	assert.Greater(t, peak, 15.0, "the inrush is there")
	assert.Greater(t, hottest-coolest, 30.0, "its temperature follows the pulses")
	assert.Less(t, off.kelvin, filamentKelvin)
	assert.Less(t, off.volts, filamentShare*13.5)
	assert.Less(t, off.amps, filamentShare*peak)
}

// A capacitor of 20 mF, charged to 24 V, is dumped through 0.5 Ω into a lamp of 12 V and 21 W: point by point against ngspice.
func TestCapacitorDumpAgainstNgspice(t *testing.T) {
	deck := `20 mF at 24 V dumped into a lamp of 21 W
c1 c1 0 20m ic=24
rc c1 k 0.02
r1 k l1 0.5
vlamp l1 l 0
` + filamentDeck(t, "l", "0", 12, 21) + filamentOptions + `tran 0.5m 0.2 0 4u uic
` + filamentEnd
	answer := spice(t, "capacitor-dump", deck)
	l := lamp(t, 12, 21)
	r := newRig(t, 3).add(l, 3, 0)
	r.branch(1, 0, circuit.Capacitor{Farads: 0.02, Ohms: 0.02})
	charge := r.branch(1, 0, circuit.Source{EMF: 24, Ohms: 1e-3})
	contact := r.branch(1, 2, circuit.Resistor{Ohms: math.Inf(1)})
	wire := r.branch(2, 3, circuit.Resistor{Ohms: 0.5})
	r.compile().settle()
	r.solver.SetOhms(charge, math.Inf(1))
	r.solver.SetOhms(contact, 1e-9)
	var off filamentSees
	hottest := 0.0
	const step = 4e-6
	for _, row := range answer {
		for r.past < row[0]-step/2 {
			l.Stamp(r.solver, device.Moving)
			require.NoError(t, r.solver.Step(step))
			l.Advance(r.solver, step)
			r.past += step
		}
		if row[0] < step {
			continue
		}
		hottest = max(hottest, row[1])
		off.see(r.volts(3), r.solver.Current(wire), l.Kelvin(), row)
	}
	t.Logf("%d points, at most %.2g K, %.2g V, %.2g A apart; hottest %.0f K", len(answer), off.kelvin, off.volts, off.amps, hottest)
	assert.Greater(t, hottest, 1500.0, "it glows")
	assert.Less(t, off.kelvin, filamentKelvin)
	assert.Less(t, off.volts, filamentShare*24)
	assert.Less(t, off.amps, filamentShare*20)
}
