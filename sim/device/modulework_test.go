package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// moduleRig is a module on a source of 12 V behind 1 mΩ between rig nodes 1 and 0; its other terminals are rig nodes 2, 3, …
type moduleRig struct {
	*rig
	m *device.Module
}

func newModuleRig(t *testing.T, l *device.Logic) *moduleRig {
	d, err := device.New(device.Spec{Kind: "module", Logic: l})
	require.NoError(t, err)
	n := len(l.Terminals())
	r := newRig(t, n-1)
	at := []int{1, 0}
	for i := 2; i < n; i++ {
		at = append(at, i)
	}
	r.add(d, at...)
	r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 1e-3})
	return &moduleRig{r, d.(*device.Module)}
}

func (r *moduleRig) state(t *testing.T, name string) string {
	rows, ok := r.m.DataList(r.solver)
	require.True(t, ok)
	for _, row := range rows {
		if row.Name == name {
			return row.State
		}
	}
	require.Fail(t, "no row "+name)
	return ""
}

// on is a row that switches an output on while a signal is.
func on(signal, output string) device.LogicRow {
	return device.LogicRow{When: []device.LogicTerm{{Name: signal, State: "on"}}, Then: []device.LogicDrive{{Output: output, Duty: 1}}}
}

// An input goes on above its threshold and off by its hysteresis below, with a pull-down as a divider of its source's resistance: with
// 4.7 kΩ down and 4.7 kΩ in series it sees half. One with below is the mirror of that.
func TestModuleThresholdsAndHysteresis(t *testing.T) {
	l := &device.Logic{Supply: "15", Ground: "31",
		Inputs: []device.LogicInput{
			{Name: "high", Terminal: "1", PullDown: 4700, Above: 4, Hysteresis: 1},
			{Name: "low", Terminal: "2", PullUp: 1e6, Below: 3, Hysteresis: 0.5},
		},
		Outputs: []device.LogicOutput{{Name: "o", Terminal: "3"}},
	}
	r := newModuleRig(t, l)
	high := r.branch(2, 0, circuit.Source{Ohms: 4700})
	low := r.branch(3, 0, circuit.Source{EMF: 12, Ohms: 1})
	r.compile()
	// change returns the force of a source at which the state of an input changes on the way from one force to another.
	change := func(source circuit.ID, name string, from, to float64) float64 {
		r.solver.SetEMF(source, from)
		r.settle()
		was := r.state(t, name)
		for v := from; ; v += math.Copysign(0.01, to-from) {
			require.True(t, math.Abs(v-from) <= math.Abs(to-from)+0.01, "%s never changes", name)
			r.solver.SetEMF(source, v)
			r.settle()
			if r.state(t, name) != was {
				return v
			}
		}
	}
	const grain = 0.011 // the step of the sweep
	assert.InDelta(t, 2*4.0, change(high, "high", 0, 12), 2*grain)
	assert.InDelta(t, 2*3.0, change(high, "high", 12, 0), 2*grain)
	assert.InDelta(t, 3, change(low, "low", 12, 0), grain)
	assert.InDelta(t, 3.5, change(low, "low", 0, 12), grain)
}

// A ladder: one wire, a pull-up of 1 kΩ to the module's own 5 V, and a switch that joins one of three resistors to ground: 5 V·R/(R + 1 kΩ).
func TestModuleReadsALadderOfResistors(t *testing.T) {
	ohms := map[string]float64{"wash": 150, "slow": 470, "fast": 1500, "nothing": math.Inf(1), "shorted": 1e-3}
	l := &device.Logic{Supply: "15", Ground: "31",
		Outputs: []device.LogicOutput{{Name: "feed", Terminal: "5V", Side: device.Reference, Volts: 5}},
		Inputs: []device.LogicInput{
			{Name: "wash", Terminal: "1", PullUp: 1000, PullTo: "feed", Above: 0.3, Below: 1.1, Hysteresis: 0.05},
			{Name: "slow", Terminal: "1", Above: 1.2, Below: 2.2, Hysteresis: 0.05},
			{Name: "fast", Terminal: "1", Above: 2.5, Below: 3.5, Hysteresis: 0.05},
		},
	}
	r := newModuleRig(t, l)
	button := r.branch(2, 0, circuit.Resistor{Ohms: 1e9})
	r.compile()
	for name, x := range ohms {
		r.solver.SetOhms(button, x)
		r.settle()
		want := 5.0
		if !math.IsInf(x, 1) {
			want = 5 * x / (x + 1000)
		}
		assert.InDelta(t, want, r.volts(2), 0.01, name)
		for _, in := range []string{"wash", "slow", "fast"} {
			assert.Equal(t, map[bool]string{true: "on", false: "off"}[in == name], r.state(t, in), "%s with %s pressed", in, name)
		}
	}
}

// Timers: later on, later off, kept until something else, changing over; each by the clock, within the 20 ms that it takes the module to
// believe an input.
func TestModuleTimers(t *testing.T) {
	l := &device.Logic{Supply: "15", Ground: "31",
		Inputs:  []device.LogicInput{{Name: "a", Terminal: "1", Above: 6}, {Name: "b", Terminal: "2", Above: 6}},
		Outputs: []device.LogicOutput{{Name: "o", Terminal: "3"}},
		Timers: []device.LogicTimer{{Name: "late", Of: "a", OnDelay: 2, OffDelay: 0.5}, {Name: "after", Of: "a", OffDelay: 3},
			{Name: "kept", Of: "a", Until: "b"}, {Name: "turns", Of: "a", Toggle: true}},
	}
	r := newModuleRig(t, l)
	keys := map[string]circuit.ID{"a": r.branch(2, 0, circuit.Source{Ohms: 1}), "b": r.branch(3, 0, circuit.Source{Ohms: 1})}
	r.compile().settle()
	press := func(key string, volts float64) { r.solver.SetEMF(keys[key], volts) }
	// waits returns how long it takes until a timer is as wanted, within a time.
	waits := func(name, want string, most float64) float64 {
		begin := r.past
		for r.state(t, name) != want {
			require.Less(t, r.past-begin, most, "%s is not %s", name, want)
			r.march(0.005, 0.005)
		}
		return r.past - begin
	}
	const believes = 0.03 // s: 20 ms, and the steps here
	press("a", 12)
	assert.InDelta(t, 0.02, waits("after", "on", 1), believes)
	assert.InDelta(t, 0, waits("kept", "on", 1), believes)
	assert.InDelta(t, 0, waits("turns", "on", 1), believes)
	assert.InDelta(t, 2, waits("late", "on", 5), believes)
	press("a", 0)
	assert.InDelta(t, 0.5, waits("late", "off", 5), believes)
	assert.Equal(t, "on", r.state(t, "kept"), "kept")
	assert.Equal(t, "on", r.state(t, "turns"), "changes over at the next press only")
	assert.InDelta(t, 2.5, waits("after", "off", 5), believes, "3 s from the release, of which half a second has gone")
	press("b", 12)
	assert.InDelta(t, 0.02, waits("kept", "off", 1), believes)
	press("a", 12)
	assert.InDelta(t, 0.02, waits("turns", "off", 1), believes)
	r.march(0.5, 0.01)
	assert.Equal(t, "off", r.state(t, "kept"), "what ends it wins while both are there")
}

// How long a module goes on moving goes by the timers that may still run to where they are: 2.19 s while a delay to go off may, a fifth of a second once it is
// on; while one runs, the longer of both.
func TestModuleLastsByItsTimers(t *testing.T) {
	l := &device.Logic{Supply: "15", Ground: "31",
		Inputs:  []device.LogicInput{{Name: "a", Terminal: "1", Above: 6}},
		Outputs: []device.LogicOutput{{Name: "o", Terminal: "2"}},
		Timers:  []device.LogicTimer{{Name: "after", Of: "a", OffDelay: 2}},
	}
	r := newModuleRig(t, l)
	key := r.branch(2, 0, circuit.Source{Ohms: 1})
	r.compile().settle()
	assert.InDelta(t, 2.19, r.m.Lasts(), 1e-9, "off")
	r.solver.SetEMF(key, 12)
	r.march(0.1, 0.005)
	assert.Equal(t, "on", r.state(t, "after"))
	assert.InDelta(t, 0.19, r.m.Lasts(), 1e-9, "on")
	r.solver.SetEMF(key, 0)
	r.march(1, 0.005)
	assert.Equal(t, "on", r.state(t, "after"))
	assert.InDelta(t, 2.19, r.m.Lasts(), 1e-9, "on its way off")
}

// An output gives what its load takes up to its limit (Ohm's law), bears the limit for 0.15 s, then gives up: it tries again after its time, or
// stays off until it has been commanded off. The same to supply and to ground.
func TestModuleOutputsLimitAndTrip(t *testing.T) {
	for _, c := range []struct {
		name string
		side device.Side
		trip device.Trip
	}{{"high side, retry", device.HighSide, device.Retry}, {"low side, retry", device.LowSide, device.Retry},
		{"high side, latch", device.HighSide, device.Latch}, {"low side, latch", device.LowSide, device.Latch}} {
		t.Run(c.name, func(t *testing.T) {
			l := &device.Logic{Supply: "15", Ground: "31",
				Inputs:  []device.LogicInput{{Name: "a", Terminal: "1", Above: 6}},
				Outputs: []device.LogicOutput{{Name: "o", Terminal: "2", Side: c.side, Ohms: 0.05, Limit: 5, Trip: c.trip, Retry: 2}},
				Rows:    []device.LogicRow{on("a", "o")},
			}
			r := newModuleRig(t, l)
			key := r.branch(2, 0, circuit.Source{EMF: 12, Ohms: 1})
			other := 0
			if c.side == device.LowSide {
				other = 1
			}
			load := r.branch(3, other, circuit.Resistor{Ohms: 6})
			r.compile()
			amps := func() float64 { return math.Abs(r.solver.Current(load)) }
			r.settle()
			assert.InDelta(t, 12/6.05, amps(), 0.01, "a load within its means")
			r.march(10, math.Inf(1))
			assert.InDelta(t, 12/6.05, amps(), 0.01, "for good")
			r.solver.SetOhms(load, 0.1)
			r.solve(device.Moving)
			assert.InDelta(t, 5, amps(), 0.25, "the limit, and what a thousandth of its conductance adds at 11 V")
			begin := r.past
			for amps() > 1 {
				r.march(0.002, 0.002)
				require.Less(t, r.past-begin, 1.0)
			}
			assert.InDelta(t, 0.15, r.past-begin, 0.005)
			assert.Equal(t, "overload", r.state(t, "o"))
			begin = r.past
			if c.trip == device.Retry {
				for amps() < 1 {
					r.march(0.002, 0.002)
					require.Less(t, r.past-begin, 3.0)
				}
				assert.InDelta(t, 2, r.past-begin, 0.005, "tries again")
				r.march(0.2, 0.002)
				assert.Less(t, amps(), 1e-3, "in vain")
				r.solver.SetOhms(load, 6)
				r.march(2.2, math.Inf(1))
				assert.InDelta(t, 12/6.05, amps(), 0.01, "and not in vain when the short is gone")
				return
			}
			r.march(20, math.Inf(1))
			r.solver.SetOhms(load, 6)
			r.march(20, math.Inf(1))
			assert.Less(t, amps(), 1e-3, "stays off")
			r.solver.SetEMF(key, 0)
			r.march(0.1, math.Inf(1))
			r.solver.SetEMF(key, 12)
			r.march(0.1, math.Inf(1))
			assert.InDelta(t, 12/6.05, amps(), 0.01, "commanded off and on again")
		})
	}
}

// A lamp that draws less than its share is out, on pulses too; a row can ask for that, and the data list tells it.
func TestModuleWatchesItsLamp(t *testing.T) {
	for _, duty := range []float64{1, 0.5} {
		l := &device.Logic{Supply: "15", Ground: "31",
			Inputs:  []device.LogicInput{{Name: "a", Terminal: "1", Above: 6}},
			Outputs: []device.LogicOutput{{Name: "o", Terminal: "2", LampOut: 0.9}, {Name: "tell", Terminal: "3"}},
			Rows: []device.LogicRow{
				{When: []device.LogicTerm{{Name: "a", State: "on"}}, Then: []device.LogicDrive{{Output: "o", Duty: duty, Hertz: 200}}},
				{When: []device.LogicTerm{{Name: "o", State: "out"}}, Then: []device.LogicDrive{{Output: "tell", Duty: 1}}},
			},
		}
		r := newModuleRig(t, l)
		r.branch(2, 0, circuit.Source{EMF: 12, Ohms: 1})
		load := r.branch(3, 0, circuit.Resistor{Ohms: 12})
		r.branch(4, 0, circuit.Resistor{Ohms: 100})
		r.compile().settle()
		assert.Equal(t, map[float64]string{1: "on", 0.5: "pulsed"}[duty], r.state(t, "o"), "1 A while it is on")
		assert.InDelta(t, 12*duty, r.volts(3), 0.1, "the mean")
		assert.InDelta(t, 0, r.volts(4), 0.01)
		r.solver.SetOhms(load, 15)
		r.settle()
		assert.Equal(t, "lamp out", r.state(t, "o"), "0.8 A")
		assert.InDelta(t, 12, r.volts(4), 0.1)
		r.solver.SetOhms(load, 12)
		r.march(0.1, math.Inf(1))
		assert.InDelta(t, 0, r.volts(4), 0.01, "a new lamp, in time")
	}
}

// An output that flashes is on for half of each period.
func TestModuleFlashes(t *testing.T) {
	l := &device.Logic{Supply: "15", Ground: "31",
		Inputs:  []device.LogicInput{{Name: "a", Terminal: "1", Above: 6}},
		Outputs: []device.LogicOutput{{Name: "o", Terminal: "2"}},
		Rows:    []device.LogicRow{{When: []device.LogicTerm{{Name: "a", State: "on"}}, Then: []device.LogicDrive{{Output: "o", Flash: 1.5}}}},
	}
	r := newModuleRig(t, l)
	r.branch(2, 0, circuit.Source{EMF: 12, Ohms: 1})
	r.branch(3, 0, circuit.Resistor{Ohms: 10})
	r.compile()
	r.march(1, 0.01)
	begin, high, rises, was := r.past, 0.0, 0, r.volts(3)
	for r.past < begin+4 {
		r.march(0.001, 0.001)
		v := r.volts(3)
		if v > 6 {
			high += 0.001
		}
		if v > 6 && was < 6 {
			rises++
		}
		was = v
	}
	assert.Equal(t, 6, rises, "1.5 a second")
	assert.InDelta(t, 2, high, 0.02, "half of the time")
}
