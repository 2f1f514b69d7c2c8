package device_test

import (
	"math"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// trips returns when a breaker of 10 A opens at a multiple of its rating.
func trips(t *testing.T, times, limit float64) float64 {
	b := create(t, "breaker", map[string]float64{"rating": 10})
	r := newRig(t, 1).add(b, 1, 0)
	r.branch(0, 1, circuit.Injection{Amps: 10 * times})
	r.compile()
	all := r.march(limit, math.Inf(1))
	if len(all) == 0 {
		return math.Inf(1)
	}
	return all[0].at
}

// SAE J553, type I (from memory, low confidence): carries 110 %, opens within 30 min at 135 % and within a minute at 200 %.
func TestBreakerTrips(t *testing.T) {
	assert.True(t, math.IsInf(trips(t, 1.1, 36000), 1))
	assert.Less(t, trips(t, 1.35, 3600), 1800.0)
	at := trips(t, 2, 3600)
	assert.True(t, at > 1 && at < 60, "%g s at 200 %%", at)
	// One lumped body: t = τ·ln(x²/(x²-1)), as any text on heat transfer has it.
	x2 := math.Pow(2/1.2, 2)
	assert.InEpsilon(t, 15*math.Log(x2/(x2-1)), at, 1e-6)
}

// While an overload lasts, a breaker that resets itself opens and closes with a period that follows from the same body: it warms
// from 0.7 to 1 and cools back.
func TestBreakerCycles(t *testing.T) {
	b := create(t, "breaker", map[string]float64{"rating": 10}).(*device.Breaker)
	r := newRig(t, 1).add(b, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.59})
	r.compile()
	all := r.march(120, math.Inf(1))
	require.Greater(t, len(all), 8)
	amps := 12 / 0.60
	x2 := math.Pow(amps/12, 2)
	on, off := 15*math.Log((x2-0.7)/(x2-1)), 15*math.Log(1/0.7)
	for i := 1; i < len(all); i++ {
		want, what := off, "click-in"
		if i%2 == 0 {
			want, what = on, "click-out"
		}
		assert.Equal(t, what, all[i].what)
		assert.InEpsilon(t, want, all[i].at-all[i-1].at, 1e-5, "stretch %d", i)
	}
	r.solver.SetOhms(source, 1.2) // the overload goes
	r.march(30, math.Inf(1))
	assert.False(t, b.Tripped())
	assert.Empty(t, r.march(1000, math.Inf(1)))
}

func TestBreakerWithButtonStaysOpen(t *testing.T) {
	d, err := device.New(device.Spec{Kind: "reset-breaker", Values: map[string]float64{"rating": 10}, Positions: places(2)})
	require.NoError(t, err)
	b := d.(*device.ResetBreaker)
	r := newRig(t, 1).add(b, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.3})
	r.compile()
	require.Len(t, r.march(100, math.Inf(1)), 1)
	assert.True(t, b.Tripped())
	b.Set(1)
	b.Set(0)
	assert.False(t, b.Tripped(), "cold after a minute and a half")
	again := r.march(100, math.Inf(1))
	require.Len(t, again, 1, "and trips again")
	b.Set(1)
	r.solver.SetOhms(source, 2)
	assert.False(t, b.Tripped())
	assert.Empty(t, r.march(1000, math.Inf(1)))

	r.solver.SetOhms(source, 0.1)
	require.Len(t, r.march(3, math.Inf(1)), 1)
	b.Set(0)
	b.Set(1)
	assert.True(t, b.Tripped(), "a hot strip does not hold")
}

func TestBreakerDefects(t *testing.T) {
	b := create(t, "breaker", map[string]float64{"rating": 10}).(*device.Breaker)
	r := newRig(t, 2).add(b, 1, 2)
	r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.01})
	load := r.branch(2, 0, circuit.Resistor{Ohms: 2})
	r.compile()
	require.NoError(t, b.Spoil("weak", 40))
	assert.NotEmpty(t, r.march(60, math.Inf(1)), "6 A trip a breaker that feels 15")
	require.NoError(t, b.Spoil("open", 0))
	r.settle()
	assert.InDelta(t, 0, r.volts(2), 1e-6)
	require.NoError(t, b.Spoil("contact-burnt", 2))
	r.march(20, math.Inf(1))
	r.settle()
	assert.InDelta(t, 6, r.volts(2), 0.05)
	require.NoError(t, b.Spoil("welded", 0))
	r.solver.SetOhms(load, 0.2)
	assert.Empty(t, r.march(100, math.Inf(1)))
	assert.Greater(t, r.volts(2), 10.0)
}
