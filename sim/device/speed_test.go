package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// speedSensor is a sensor with positions at 0, 600, 1200 and 2400 rpm … of a kind.
func speedSensor(t testing.TB, kind string, values map[string]float64) device.Device {
	d, err := device.New(device.Spec{Kind: kind, Positions: places(5), Values: values})
	require.NoError(t, err)
	return d
}

// heard is the voltage at a rig node while a device follows its wave for some seconds.
type heard struct{ mean, least, most, hertz, duty float64 }

// hear follows the waves and measures as a counter does: rises through the middle, and the time above it.
func hear(r *rig, node int, seconds float64) heard {
	for _, d := range r.devices {
		if w, ok := d.(device.Waving); ok {
			w.Wave(true)
			defer w.Wave(false)
		}
	}
	var at, volts, time []float64
	past := 0.0
	for past < seconds {
		r.solve(device.Moving)
		dt := seconds - past
		for _, d := range r.devices {
			dt = min(dt, d.Step(r.solver), d.Due(r.solver))
		}
		at, volts, time = append(at, past), append(volts, r.volts(node)), append(time, dt)
		for _, d := range r.devices {
			d.Advance(r.solver, dt)
		}
		past += max(dt, 1e-9)
	}
	h := heard{least: math.Inf(1), most: math.Inf(-1)}
	for _, v := range volts {
		h.least, h.most = min(h.least, v), max(h.most, v)
	}
	middle, rises := (h.least+h.most)/2, []float64{}
	for i, v := range volts {
		h.mean += v * time[i] / past
		if v > middle {
			h.duty += time[i] / past
		}
		if i > 0 && v > middle && volts[i-1] <= middle {
			rises = append(rises, at[i])
		}
	}
	if n := len(rises); n > 1 {
		h.hertz = float64(n-1) / (rises[n-1] - rises[0])
	}
	return h
}

// 4 teeth at 1200 rpm pass 80 times a second. With a pull-up of 1 kΩ to 5 V and 20 Ω when it conducts the signal lies between 5·20/1020
// and 5 V, half of the time each.
func TestHallSquareWave(t *testing.T) {
	for _, duty := range []float64{30, 50, 80} {
		h := speedSensor(t, "hall", map[string]float64{"duty": duty}).(*device.Hall)
		r := newRig(t, 3).add(h, 1, 2, 0)
		r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.1})
		r.branch(3, 0, circuit.Source{EMF: 5, Ohms: 1e-3})
		r.branch(3, 2, circuit.Resistor{Ohms: 1000})
		r.compile().settle()
		assert.InDelta(t, 5, r.volts(2), 1e-3, "at rest between two teeth")
		h.Set(2)
		r.settle()
		low := 5 * 20 / 1020.0
		mean := (duty*low + (100-duty)*5) / 100
		assert.InDelta(t, mean, r.volts(2), 1e-4, "the mean, which a voltmeter shows")
		r.march(1, math.Inf(1))
		assert.InDelta(t, mean, r.volts(2), 1e-4, "and in time")
		got := hear(r, 2, 0.5)
		assert.InDelta(t, 80, got.hertz, 1e-6)
		assert.InDelta(t, 1-duty/100, got.duty, 1e-6)
		assert.InDelta(t, low, got.least, 1e-3)
		assert.InDelta(t, 5, got.most, 1e-3)
		assert.InDelta(t, mean, got.mean, 1e-4)
	}
}

func TestHallDefects(t *testing.T) {
	for _, c := range []struct {
		defect               string
		severity             float64
		rest, turning, least float64 // volts of the signal
	}{
		{"", 0, 5, 2.549, 0.098}, {"dead", 0, 5, 5, 5}, {"stuck-low", 0, 0.098, 0.098, 0.098},
		{"supply-shorted", 2, 5, 5, 5}, {"output-weak", 5000, 5, 4.583, 4.167},
	} {
		h := speedSensor(t, "hall", nil).(*device.Hall)
		r := newRig(t, 3).add(h, 1, 2, 0)
		r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 20})
		r.branch(3, 0, circuit.Source{EMF: 5, Ohms: 1e-3})
		r.branch(3, 2, circuit.Resistor{Ohms: 1000})
		r.compile()
		require.NoError(t, h.Spoil(c.defect, c.severity))
		r.settle()
		assert.InDelta(t, c.rest, r.volts(2), 1e-3, c.defect)
		h.Set(2)
		r.settle()
		assert.InDelta(t, c.turning, r.volts(2), 1e-3, c.defect)
		assert.InDelta(t, c.least, hear(r, 2, 0.2).least, 1e-3, c.defect)
	}
}

// 40 teeth at 1200 rpm pass 800 times a second; 3 V at 1000 rpm are 3.6 V, of which a load as large as the coil takes half.
func TestPickupGrowsWithSpeed(t *testing.T) {
	p := speedSensor(t, "pickup", nil).(*device.Pickup)
	r := newRig(t, 1).add(p, 1, 0)
	load := r.branch(1, 0, circuit.Resistor{Ohms: 1e7})
	r.compile()
	for i, rpm := range []float64{0, 600, 1200, 1800, 2400} {
		p.Set(i)
		for _, ohms := range []float64{1e7, 1000} {
			r.solver.SetOhms(load, ohms)
			r.settle()
			assert.Zero(t, r.volts(1), "nothing on direct volts")
			peak := 3 * rpm / 1000 * ohms / (ohms + 1000)
			got := hear(r, 1, 0.2)
			assert.InDelta(t, peak, got.most, 5e-3*peak+1e-9, "%g rpm into %g ohm", rpm, ohms)
			assert.InDelta(t, -peak, got.least, 5e-3*peak+1e-9)
			assert.InDelta(t, 40*rpm/60, got.hertz, 1e-3*rpm, "counted by steps of a 32nd of a period")
			assert.InDelta(t, 0, got.mean, 0.02*peak+1e-9)
		}
	}
	require.NoError(t, p.Spoil("gap-wide", 10))
	r.solver.SetOhms(load, 1e7)
	assert.InDelta(t, 0.72, hear(r, 1, 0.2).most, 0.01, "a tenth of the voltage")
	require.NoError(t, p.Spoil("shorted", 200))
	r.settle()
	_, ohms := r.solver.Thevenin(r.nodes[1], circuit.Ground)
	assert.InDelta(t, 200, ohms, 0.01)
	assert.InDelta(t, 7.2/5, hear(r, 1, 0.2).most, 0.01)
}

// A tenth of its supply at no pressure, nine tenths at full range: 0.5 and 4.5 V of 5 V, and in proportion of less.
func TestPressureIsRatiometric(t *testing.T) {
	p := speedSensor(t, "pressure", nil).(*device.Pressure)
	r := newRig(t, 2).add(p, 1, 2, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 5, Ohms: 1e-6})
	r.branch(2, 0, circuit.Resistor{Ohms: 1e7})
	r.compile()
	for _, supply := range []float64{5, 4.7} {
		r.solver.SetEMF(source, supply)
		for i, volts := range []float64{0.5, 1.5, 2.5, 3.5, 4.5} {
			p.Set(i)
			r.settle()
			assert.InDelta(t, volts*supply/5, r.volts(2), 1e-3, "position %d at %g V", i, supply)
		}
		assert.InDelta(t, 0.008*supply/5, -r.solver.Current(source), 1e-5)
	}
}

func TestPressureDefects(t *testing.T) {
	p := speedSensor(t, "pressure", nil).(*device.Pressure)
	r := newRig(t, 2).add(p, 1, 2, 0)
	r.branch(1, 0, circuit.Source{EMF: 5, Ohms: 2})
	r.branch(2, 0, circuit.Resistor{Ohms: 1e5})
	r.compile()
	for _, c := range []struct {
		defect   string
		severity float64
		position int
		volts    float64
	}{
		{"", 0, 2, 2.49}, {"signal-open", 0, 2, 0}, {"supply-open", 0, 2, 0}, {"ground-open", 0, 2, 4.97}, {"shorted", 2, 2, 1.25},
		{"reads-high", 15, 2, 3.09}, {"reads-high", 60, 4, 4.88}, {"reads-low", 60, 2, 1.49}, {"reads-low", 60, 0, 0.3},
	} {
		p.Set(c.position)
		require.NoError(t, p.Spoil(c.defect, c.severity))
		r.settle()
		assert.InDelta(t, c.volts, r.volts(2), 0.02, c.defect)
	}
}
