package device_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// window is a published operating time at a multiple of the rating, in seconds.
type window struct{ times, least, most float64 }

// windows reads testdata/device/blade_fuse.csv (ISO 8820-3): those of a type and range of ratings.
func windows(t *testing.T, kind, ratings string) []window {
	var all []window
	for _, row := range table(t, "blade_fuse.csv") {
		if row["quantity"] != "operating_time" || !strings.HasPrefix(row["fuse_link_type"], kind) || row["rated_current_A"] != ratings {
			continue
		}
		w := window{number(t, row["percent_of_rated_current"]) / 100, 0, math.Inf(1)}
		if row["minimum"] != "" {
			w.least = number(t, row["minimum"])
		}
		if row["maximum"] != "" {
			w.most = number(t, row["maximum"])
		}
		all = append(all, w)
	}
	require.NotEmpty(t, all)
	return all
}

// opening puts a current through a cold fuse and returns when it opens, +Inf if not within limit. Time is advanced step by step
// in a solved circuit; the fuse's own forecast only bounds the steps, and not even that with forecast false.
func opening(t *testing.T, kind string, rating, amps, limit float64, forecast bool) float64 {
	f := create(t, kind, map[string]float64{"rating": rating}).(*device.Fuse)
	r := newRig(t, 1).add(f, 1, 0)
	r.branch(0, 1, circuit.Injection{Amps: amps})
	r.compile()
	if forecast {
		for _, h := range r.march(limit, math.Inf(1)) {
			require.Equal(t, "fuse-opened", h.what)
			require.True(t, f.Blown())
			return h.at
		}
		return math.Inf(1)
	}
	for at, dt := 0.0, limit/20000; at < limit; {
		r.solve(device.Moving)
		at += dt
		if len(f.Advance(r.solver, dt)) > 0 {
			return at
		}
	}
	return math.Inf(1)
}

func TestFuseOpensInsideThePublishedWindows(t *testing.T) {
	small := slices.DeleteFunc(device.FuseRatings(), func(a float64) bool { return a < 3 || a > 30 })
	sets := []struct {
		kind, table, range_ string
		ratings             []float64
	}{
		{"fuse", "blade, type C medium and type F", "3 to 30", small},
		{"fuse", "blade, type C medium", "35 and 40", []float64{35, 40}},
		{"large-fuse", "blade, type E", "20 to 80", device.LargeFuseRatings()},
	}
	for _, set := range sets {
		for _, w := range windows(t, set.table, set.range_) {
			for _, rating := range set.ratings {
				t.Run(fmt.Sprintf("%s %g A at %g %%", set.kind, rating, 100*w.times), func(t *testing.T) {
					if w.least >= 360000 { // must carry this for a hundred hours
						assert.True(t, math.IsInf(opening(t, set.kind, rating, rating*w.times, w.least, true), 1), "opened")
						return
					}
					at := opening(t, set.kind, rating, rating*w.times, 2*w.most, true)
					assert.GreaterOrEqual(t, at, w.least, "s")
					assert.LessOrEqual(t, at, w.most, "s")
					plain := opening(t, set.kind, rating, rating*w.times, 2*w.most, false)
					assert.InDelta(t, at, plain, 2*w.most/20000*1.5, "fixed small steps must find the same time")
				})
			}
		}
	}
}

// testdata/device/blade_fuse.csv: typical data sheet figures. Drops and resistances of 3 to 30 A are from memory there.
func TestFuseResistanceAndDrop(t *testing.T) {
	for _, row := range table(t, "blade_fuse.csv") {
		kind := "fuse"
		if strings.Contains(row["fuse_link_type"], "type E") {
			kind = "large-fuse"
		}
		if !strings.HasSuffix(row["quantity"], "_typical") {
			continue
		}
		want := number(t, row["maximum"])
		rating := number(t, row["rated_current_A"])
		t.Run(row["quantity"]+" "+kind+" "+row["rated_current_A"]+" A", func(t *testing.T) {
			f := create(t, kind, map[string]float64{"rating": rating}).(*device.Fuse)
			switch row["quantity"] {
			case "cold_resistance_typical":
				assert.InEpsilon(t, want/1000, f.ColdOhms(), 0.01)
			case "voltage_drop_typical":
				r := newRig(t, 1).add(f, 1, 0)
				r.branch(0, 1, circuit.Injection{Amps: rating})
				r.compile().settle()
				assert.InEpsilon(t, want/1000, r.volts(1), 0.01, "steady")
				r.solve(device.Moving)
				assert.InEpsilon(t, want/1000, r.volts(1), 0.01, "warm")
			case "melting_integral_typical":
				// At ten times the rating nearly all heat stays in the element; a fifth is what typical figures spread by.
				amps := 10 * rating
				at := opening(t, kind, rating, amps, 10, true)
				assert.InEpsilon(t, want, amps*amps*at, 0.2, "A²s")
			}
		})
	}
}

// At room temperature a large fuse carries what its data sheet says; that the same sheet has it carry a quarter less at 85 °C is not modelled, and the kind's
// words say so.
func TestFuseIsAtRoomTemperature(t *testing.T) {
	bears := map[string]float64{}
	for _, row := range table(t, "blade_fuse.csv") {
		if row["quantity"] == "continuous_current_A_at_ambient" {
			bears[row["unit"]] = number(t, row["maximum"])
		}
	}
	require.Len(t, bears, 5)
	assert.True(t, math.IsInf(opening(t, "large-fuse", 40, bears["A at 20 C"], 360000, false), 1), "100 h at %g A", bears["A at 20 C"])
	assert.InDelta(t, 0.75, bears["A at 85 C"]/bears["A at 20 C"], 1e-9)
	k, ok := device.Lookup("fuse")
	require.True(t, ok)
	assert.Contains(t, k.Doc, "real ones bear a quarter less at 85 °C")
}

func TestFuseHeatsCoolsAndIsReplaced(t *testing.T) {
	// 12 V through 0.4 Ω: 30 A, twice the rating, from a source that can be turned down.
	f := create(t, "fuse", map[string]float64{"rating": 15}).(*device.Fuse)
	r := newRig(t, 2).add(f, 1, 2)
	source := r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.4})
	r.branch(2, 0, circuit.Resistor{Ohms: 1e-4})
	r.compile()
	cold := opening(t, "fuse", 15, 30, 10, true)

	require.Empty(t, r.march(0.7*cold, math.Inf(1)), "not yet")
	warm := r.past
	r.solver.SetEMF(source, 0)
	require.Empty(t, r.march(20, math.Inf(1)), "twenty seconds of rest")
	r.solver.SetEMF(source, 12)
	require.Empty(t, r.march(0.7*cold, math.Inf(1)), "it has cooled, so it lasts as long again")
	r.solver.SetEMF(source, 0)
	require.Empty(t, r.march(0.05, math.Inf(1)), "no time to cool")
	r.solver.SetEMF(source, 12)
	again := r.march(10, math.Inf(1))
	require.Len(t, again, 1, "opens")
	assert.Less(t, again[0].at-warm-20-0.7*cold-0.05, 0.6*cold, "hot, it opens sooner")
	assert.True(t, f.Blown())
	assert.InDelta(t, 0, r.solver.Current(source), 1e-9, "no current flows but leakage")
	assert.InDelta(t, 12, r.volts(1), 1e-9)

	f.Fit(15)
	assert.False(t, f.Blown())
	next := r.march(10, math.Inf(1))
	require.Len(t, next, 1, "the short is still there: so does the next one")
	f.Fit(40)
	assert.Equal(t, 40.0, f.Rating())
	assert.Equal(t, 15.0, f.Fitted())
	assert.Empty(t, r.march(1000, math.Inf(1)), "a larger one carries what it should not")
}

func TestFuseSteadyLawIsMonotoneAndSmooth(t *testing.T) {
	for _, rating := range device.FuseRatings() {
		law := device.FuseSteady(create(t, "fuse", map[string]float64{"rating": rating}).(*device.Fuse))
		checkLaw(t, fmt.Sprintf("%g A", rating), law, 0.001, 30)
	}
}

func TestFuseDefects(t *testing.T) {
	f := create(t, "fuse", map[string]float64{"rating": 10}).(*device.Fuse)
	r := newRig(t, 2).add(f, 1, 2)
	r.branch(1, 0, circuit.Source{EMF: 12, Ohms: 0.01})
	r.branch(2, 0, circuit.Resistor{Ohms: 1000})
	r.compile()
	require.NoError(t, f.Spoil("element-open", 0))
	r.settle()
	assert.True(t, f.Blown())
	assert.Less(t, r.volts(2), 1e-6)
	require.NoError(t, f.Spoil("element-cracked", 1000))
	r.settle()
	assert.False(t, f.Blown(), "not to be seen")
	assert.InEpsilon(t, 6, r.volts(2), 1e-4)
	require.NoError(t, f.Spoil("", 0))
	r.settle()
	assert.InEpsilon(t, 12, r.volts(2), 1e-3)
	assert.ErrorContains(t, f.Spoil("melted", 0), "element-open, element-cracked")
	assert.ErrorContains(t, f.Spoil("element-cracked", -1), "from 0.1 to 1e+06 ohm")
}
