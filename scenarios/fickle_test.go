package scenarios_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// TestGuideNamesWhatComesAndGoes holds the guide's table of what comes and goes against the catalogues of all shipped vehicles: each sort of place
// it names has such a fault somewhere and no other has, and they do what it says.
func TestGuideNamesWhatComesAndGoes(t *testing.T) {
	found := map[fault.Kind]map[string]bool{}
	all := []*harness.Harness{sample.Flashing()} // no shipped vehicle has a flasher
	for _, file := range builtin(t).Harnesses {
		all = append(all, file.Harness)
	}
	for _, h := range all {
		flexing, kinds := map[string]bool{}, map[string]string{}
		for _, w := range h.Wires {
			flexing["wire "+w.ID] = w.Flexing
		}
		for _, c := range h.Components {
			kinds["component "+c.ID] = c.Spec.Kind
		}
		for _, e := range fault.Catalogue(h) {
			sort, _, _ := strings.Cut(e.Fault.Place, " ")
			switch {
			case sort == "component":
				sort = kinds[e.Fault.Place]
			case flexing[e.Fault.Place]:
				sort = "flexing wire"
			}
			list, err := e.Fault.Alterations(h)
			require.NoError(t, err)
			if harness.When(list[0]) == harness.Always {
				continue
			}
			require.Len(t, list, 1)
			if found[e.Fault.Kind] == nil {
				found[e.Fault.Kind] = map[string]bool{}
			}
			found[e.Fault.Kind][sort] = true
			switch a := list[0].(type) {
			case harness.SeriesOhms:
				assert.Equal(t, e.Low == 0, a.Ohms == harness.Broken, "%s opens fully", e.Fault)
			case harness.Bridge:
				assert.Equal(t, e.Fault.Kind == fault.TouchesGround, a.B == harness.Body, "%s", e.Fault)
			}
			if e.Low > 0 && sort != "flexing wire" {
				assert.Equal(t, [2]float64{1, 30}, [2]float64{e.Low, e.High}, "%s", e.Fault)
			}
		}
	}
	joints := map[string]bool{"splice": true, "relay": true, "flasher": true, "module": true, "motor": true, "solenoid": true}
	flexing := map[string]bool{"flexing wire": true}
	assert.Equal(t, map[fault.Kind]map[string]bool{
		fault.Shaky:      {"cavity": true, "crimp": true, "ring": true, "flexing wire": true},
		fault.HighShaken: {"cavity": true, "ring": true}, fault.TouchesGround: flexing, fault.TouchesWire: flexing,
		fault.OpensHot: joints, fault.OpensCold: joints, fault.HighHot: joints, fault.HighCold: joints,
	}, found)
	guide := scenarios.Guide()
	for _, row := range []string{
		"| shaking | a terminal in its cavity, a crimp, a ring on its stud, and a wire that flexes | opens: `shaky` |",
		"| | a terminal in its cavity, a ring on its stud | has some ohms: `high-shaken` |",
		"| | a wire that flexes | touches the body, or another wire of its bundle or in the cavity beside it: `touches-ground`, `touches-wire` |",
		"| heat or cold | the leg of a wire in a splice, and the joint behind a terminal of a relay, flasher, module, motor or solenoid | opens: " +
			"`opens-hot`, `opens-cold`; has some ohms: `high-hot`, `high-cold` |",
		"1 to 30 ohm for joints that go bad while they are shaken, hot or cold",
	} {
		assert.Contains(t, guide, row)
	}
}
