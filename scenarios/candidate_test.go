package scenarios_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// TestCatalogueFitsExercises: whatever the catalogue of a harness lists may be written into an exercise, in the text that the book has for it, at
// both ends of its range, whichever of two wires or cavities is named first.
func TestCatalogueFitsExercises(t *testing.T) {
	all := []*harness.Harness{sample.Flashing(), sample.Many(2)}
	for _, file := range builtin(t).Harnesses {
		all = append(all, file.Harness)
	}
	mirrored := 0
	for _, h := range all {
		b := fault.NewBook(h)
		list := b.Catalogue()
		for _, e := range list {
			for _, severity := range []float64{0, e.Low, e.Fault.Severity, e.High} {
				f := e.Fault
				if f.Severity = severity; f.Kind == fault.WrongRating {
					f = e.Fault
				}
				again, err := b.Parse(b.Text(f))
				require.NoError(t, err, "%s: %s", h.ID, b.Text(f))
				assert.Equal(t, f, again)
				assert.NoError(t, b.Check(f))
				assert.NoError(t, b.CheckListed(list, f))
			}
			f := e.Fault
			switch {
			case f.Kind.BetweenWires():
				f.Place, f.Other = "wire "+f.Other, f.Place[len("wire "):]
			case f.Kind == fault.Leakage, f.Kind == fault.Crossed:
				f.Place, f.Other = "cavity "+f.Other, f.Place[len("cavity "):]
			default:
				continue
			}
			mirrored++
			assert.NoError(t, b.Check(f))
			assert.NoError(t, b.CheckListed(list, f), "%s", f)
		}
	}
	assert.Greater(t, mirrored, 100)
}

// TestSeverityInItsOwnUnit: kinds of components share names of defects and not what they measure them in.
func TestSeverityInItsOwnUnit(t *testing.T) {
	h := *sample.Tractor()
	for id, kind := range map[string]string{"CB": "breaker", "TS": "thermistor", "RS": "resistor"} {
		k, ok := device.Lookup(kind)
		require.True(t, ok)
		spec := device.Spec{Kind: kind, Values: map[string]float64{}}
		for _, p := range k.Params {
			spec.Values[p.Key] = max(p.Default, p.Min)
		}
		h.Components = append(h.Components, harness.Component{ID: id, Spec: spec})
	}
	b := fault.NewBook(&h)
	for text, refused := range map[string]string{
		"component CB weak 40 %":       "component CB weak 40 ohm",
		"component BAT weak 0.3 ohm":   "component BAT weak 0.3 %",
		"component TS too-high 20 %":   "component TS too-high 20 ohm",
		"component RS too-high 20 ohm": "component RS too-high 20 %",
	} {
		f, err := b.Parse(text)
		require.NoError(t, err)
		assert.Equal(t, text, b.Text(f))
		_, err = b.Parse(refused)
		assert.ErrorContains(t, err, `fault "`+refused+`": `)
		assert.ErrorContains(t, err, "write a number and "+b.Unit(f))
	}
}
