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
// it names has such a fault somewhere and no other has, and they open fully.
func TestGuideNamesWhatComesAndGoes(t *testing.T) {
	shaken, warmed := map[string]bool{}, map[string]bool{}
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
			switch e.Fault.Kind {
			case fault.Shaky:
				shaken[sort] = true
			case fault.OpensHot, fault.OpensCold:
				warmed[sort] = true
			default:
				continue
			}
			list, err := e.Fault.Alterations(h)
			require.NoError(t, err)
			require.Len(t, list, 1)
			series, ok := list[0].(harness.SeriesOhms)
			require.True(t, ok, "%s", e.Fault)
			assert.Equal(t, harness.Broken, series.Ohms, "%s opens fully", e.Fault)
		}
	}
	assert.Equal(t, map[string]bool{"cavity": true, "crimp": true, "ring": true, "flexing wire": true}, shaken)
	assert.Equal(t, map[string]bool{"splice": true, "relay": true, "flasher": true, "module": true, "motor": true, "solenoid": true}, warmed)
	guide := scenarios.Guide()
	assert.Contains(t, guide, "| shaking | a terminal in its cavity, a crimp, a ring on its stud, and a wire that flexes |")
	assert.Contains(t, guide, "| heat or cold | the leg of a wire in a splice, and the joint behind a terminal of a relay, flasher, module, motor or solenoid |")
}
