package fault_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
)

// kirchhoffAmps is what currents may fail to add up by: each is found from the voltages of both ends and rounded to some 1e-16 of its
// conductance, at most 2 kS here, times 12 V; a few of them meet. Leakage takes 1e-11 A.
const kirchhoffAmps = 1e-10

// drawing is what is to be known of a harness to add its currents up.
type drawing struct {
	infos []harness.Info
	ends  [][2]harness.Point
}

func newDrawing(h *harness.Harness) drawing { return drawing{h.Infos(), h.AllEnds()} }

// kirchhoff checks that what flows into each point through wires and joints flows out again, and that what flows into a
// component through its terminals does. Points that a bridge ends at are left out.
func kirchhoff(t *testing.T, m *harness.Machine, d drawing, list []harness.Alteration, about string) {
	bridged := map[harness.Point]bool{harness.Body: true}
	for _, a := range list {
		if b, ok := a.(harness.Bridge); ok {
			bridged[b.A], bridged[b.B] = true, true
		}
	}
	into := map[harness.Point]float64{}
	flow := func(l string, a, b harness.Point) {
		amps := m.LimbAmps(harness.Limb(l))
		if math.IsNaN(amps) {
			require.Failf(t, "no current", "%s: in %s", about, l)
		}
		into[a] -= amps
		into[b] += amps
	}
	for i, ends := range d.ends {
		flow("wire "+m.Harness().Wires[i].ID, ends[0], ends[1])
	}
	for _, info := range d.infos {
		switch info.Kind {
		case harness.CavityHalf:
			if info.Half == "a" {
				name := info.Connector + "." + info.Cavity
				flow("cavity "+name, info.Point, harness.Point(name+".b"))
			}
		case harness.GroundRing, harness.PostRing:
			stud := info.Point[:strings.LastIndexByte(string(info.Point), '.')]
			flow("ring "+string(info.Point), info.Point, stud)
		case harness.GroundStud:
			flow("ground "+info.Ground, info.Point, harness.Body)
		}
	}
	component, touched := map[string]float64{}, map[string]bool{}
	for _, info := range d.infos {
		terminal := info.Component != "" && info.Terminal != "" && info.Kind != harness.PostRing
		if terminal {
			component[info.Component] += into[info.Point]
			touched[info.Component] = touched[info.Component] || bridged[info.Point]
			continue
		}
		if rest := into[info.Point]; !bridged[info.Point] && math.Abs(rest) > kirchhoffAmps {
			require.Failf(t, "currents do not add up", "%s: %g A left at %s", about, rest, info.Point)
		}
	}
	for _, c := range m.Harness().Components {
		if rest := component[c.ID]; !touched[c.ID] && math.Abs(rest) > kirchhoffAmps {
			require.Failf(t, "currents do not add up", "%s: %g A left in %s", about, rest, c.ID)
		}
	}
}
