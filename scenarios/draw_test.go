package scenarios_test

import (
	"encoding/base64"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"faultloom/scenarios"
	"faultloom/sim/fault"
	"faultloom/sim/harness"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sealed loads an exercise on a pair of lamps with a seal in the place of its fault.
func sealed(t *testing.T, id, seal string) (*fault.Fault, error) {
	t.Helper()
	fsys := fstest.MapFS{"job.yaml": {Data: []byte("exercise: " + id + "\ntitle: T\nharness: h.yaml\ncomplaint: C\nsealed: " + seal + "\n")},
		"h.yaml": {Data: []byte(pair)}}
	ex, err := scenarios.LoadExercise(fsys, "job.yaml")
	if err != nil {
		return nil, err
	}
	require.True(t, ex.Sealed)
	return &ex.Faults[0], nil
}

const pair = `harness: pair
title: Two lamps
vehicle: {fleet: T-2, title: trolley, supply: 12 V}
components:
  BAT: {kind: battery, title: Battery}
  F1: {kind: fuse, title: Fuse, rating: 5 A}
  SW: {kind: switch, title: Switch, positions: {off: nothing, on: 1-2}}
  LL: {kind: lamp, title: Left lamp, power: 10 W}
  LR: {kind: lamp, title: Right lamp, power: 10 W}
grounds:
  G1: {title: Ground}
splices:
  S1: {where: behind the lamps}
wires:
  30a: {from: BAT.30, to: F1.1, length: 0.5 m, size: 2.5 mm2, colour: RD}
  30b: {from: F1.2, to: SW.1, length: 2 m, size: 1 mm2, colour: RD}
  58a: {from: SW.2, to: S1, length: 1 m, size: 1 mm2, colour: GY}
  58b: {from: S1, to: LL.in, length: 1 m, size: 1 mm2, colour: GY/BK, bundle: loom}
  58c: {from: S1, to: LR.in, length: 1 m, size: 1 mm2, colour: GY/RD, bundle: loom}
  31a: {from: LL.out, to: G1, length: 1 m, size: 1 mm2, colour: BN}
  31b: {from: LR.out, to: G1, length: 1 m, size: 1 mm2, colour: BN}
  31c: {from: BAT.31, to: G1, length: 0.5 m, size: 16 mm2, colour: BK}
check:
  - expect: {LL: off, LR: off}
  - set: {SW: on}
    expect: {LL: lit, LR: lit}
`

func wrong(t *testing.T, text string) fault.Fault {
	t.Helper()
	f, err := fault.Parse(text)
	require.NoError(t, err)
	return f
}

func TestSealGoesBackToItsFault(t *testing.T) {
	lengths := map[int]bool{}
	for _, text := range []string{"wire 58b open", "cavity LL.in corroded 12.5 ohm", "wire 58b short-to-wire 31a 0.05 ohm", "component LL filament-open"} {
		seal, err := scenarios.Seal("set-01", []fault.Fault{wrong(t, text)})
		require.NoError(t, err)
		again, err := scenarios.Seal("set-01", []fault.Fault{wrong(t, text)})
		require.NoError(t, err)
		assert.Equal(t, seal, again, "the same draw makes the same file")
		f, err := sealed(t, "set-01", seal)
		require.NoError(t, err)
		assert.Equal(t, text, f.String())
		lengths[len(seal)] = true

		plain, err := base64.RawURLEncoding.DecodeString(seal)
		require.NoError(t, err)
		for _, word := range strings.Fields(text) {
			if len(word) > 3 {
				assert.NotContains(t, string(plain), word, "decoding the text does not show it")
			}
		}
	}
	assert.Len(t, lengths, 1, "its length tells nothing")
	_, err := scenarios.Seal("set-01", make([]fault.Fault, 200))
	assert.ErrorContains(t, err, "too long for a seal")
}

func TestSealThatIsNotRight(t *testing.T) {
	seal, err := scenarios.Seal("set-01", []fault.Fault{wrong(t, "wire 58b open")})
	require.NoError(t, err)
	other, err := scenarios.Seal("set-01", []fault.Fault{wrong(t, "wire 99 open")})
	require.NoError(t, err)
	flipped := []byte(seal)
	flipped[100] ^= 1
	for _, c := range []struct{ name, id, seal, says string }{
		{"renamed", "set-02", seal, "broken, or of another exercise"},
		{"edited", "set-01", string(flipped), "broken, or of another exercise"},
		{"cut", "set-01", seal[:240], "broken, or of another exercise"},
		{"no seal", "set-01", "wire58bopen", "is not a seal"},
		{"of another harness", "set-01", other, "does not fit this harness"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := sealed(t, c.id, c.seal)
			require.ErrorContains(t, err, "job.yaml:5:9: ")
			assert.ErrorContains(t, err, c.says)
			assert.NotContains(t, err.Error(), "wire 99")
		})
	}
}

// Each fault's symptoms are those of the circuit, by hand: a broken feed of one lamp leaves it dark, one of both leaves both dark, a
// splice leg with 12 ohm in the feed of a 10 W lamp (14 ohm hot) dims it, a supply that touches 58a lights what is switched off.
func TestComplaints(t *testing.T) {
	h, err := scenarios.Load(fstest.MapFS{"h.yaml": {Data: []byte(pair)}}, "h.yaml")
	require.NoError(t, err)
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	for _, c := range []struct{ fault, says string }{
		{"wire 58b open", "With the switch on the left lamp stays dark. The rest does what it should."},
		{"wire 58a open", "With the switch on the left lamp and the right lamp stay dark."},
		{"cavity LR.in corroded 12 ohm", "With the switch on the right lamp is dim. The rest does what it should."},
		{"wire 58a short-to-supply 0.05 ohm", "With everything at rest the left lamp and the right lamp are lit though they should not."},
	} {
		notices, err := scenarios.Notices(m, wrong(t, c.fault))
		require.NoError(t, err)
		assert.Equal(t, c.says, scenarios.Complaint(h, notices), c.fault)
	}
}

// No complaint about any fault of any vehicle names a place that a customer does not know: no wire, connector, splice, ground or fuse,
// nor what kind of trouble it is.
func TestComplaintsNameNoPlace(t *testing.T) {
	lib := builtin(t)
	for _, hf := range lib.Harnesses {
		h := hf.Harness
		m, err := harness.NewMachine(h)
		require.NoError(t, err)
		noticed := map[string]bool{}
		for _, l := range h.Check {
			for _, e := range l.Expect {
				noticed[e.Component] = true
			}
		}
		places := map[string]bool{}
		for _, c := range h.Connectors {
			places[c.ID] = true
		}
		for _, c := range h.Components {
			if !noticed[c.ID] {
				places[c.ID] = true
			}
		}
		for _, w := range h.Wires {
			places[w.ID] = true
		}
		for _, s := range h.Splices {
			places[s.ID] = true
		}
		for _, g := range h.Grounds {
			places[g.ID], places[g.Title] = true, true
		}
		for _, c := range h.Controls {
			delete(places, c.ID)
		}
		entries := fault.Catalogue(h)
		for n := 0; n < len(entries); n += 1 + len(entries)/60 {
			notices, err := scenarios.Notices(m, entries[n].Fault)
			require.NoError(t, err)
			if len(notices) == 0 {
				continue
			}
			text := scenarios.Complaint(h, notices)
			assert.NotEmpty(t, text)
			assert.LessOrEqual(t, strings.Count(text, ". ")+1, 5, "%s", text)
			for place := range places {
				if place != "" {
					assert.NotRegexp(t, `(^|[^\w])`+regexp.QuoteMeta(place)+`([^\w]|$)`, text, "%s: %s", h.ID, entries[n].Fault)
				}
			}
			assert.NotContains(t, text, `instead of`, "every word that can be noticed has a phrase: %s", text)
		}
	}
}

// The order holds the whole catalogue, likelier faults earlier on average, and depends on nothing but the seed.
func TestShuffled(t *testing.T) {
	h := builtin(t).Harness("dt14-work-lamps")
	all := fault.Catalogue(h)
	var likely, unlikely float64
	for seed := range uint64(30) {
		order, err := scenarios.Shuffled(h, seed)
		require.NoError(t, err)
		again, err := scenarios.Shuffled(h, seed)
		require.NoError(t, err)
		require.Equal(t, order, again)
		require.Len(t, order, len(all))
		for i, e := range order {
			if e.Likelihood >= 6 {
				likely += float64(i) / 30
			} else if e.Likelihood < 0.5 {
				unlikely += float64(i) / 30
			}
		}
	}
	n, few := 0.0, 0.0
	for _, e := range all {
		if e.Likelihood >= 6 {
			n++
		} else if e.Likelihood < 0.5 {
			few++
		}
	}
	assert.Less(t, likely/n, 0.6*unlikely/few)
	_, err := scenarios.Shuffled(h, 1, "rust")
	assert.ErrorContains(t, err, `no fault of kind "rust"`)
}
