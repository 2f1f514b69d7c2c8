package circuit_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// motion is a circuit that starts at rest and is driven by one source along corners (seconds, volts).
type motion struct {
	net     *circuit.Netlist
	source  circuit.ID
	corners [][2]float64
	stop    float64 // seconds
	steps   int
	share   float64 // of the largest voltage to which both agree
}

// Steps here and there are some thousandths of what moves; both programs follow the same rule with different steps.
const motionShare = 2e-5

// edge is how long a source takes to switch, which ngspice needs to be more than nothing.
const edge = 1e-9

func motions(t *testing.T) map[string]*motion {
	from := func(s string, stop float64, corners ...[2]float64) *motion {
		f := text(t, s)
		return &motion{&f.net, f.ids["E"], corners, stop, 8000, motionShare}
	}
	all := map[string]*motion{
		"step-rc": from("E a 0 volt 0 0.1; R a b ohm 100; C b 0 farad 1e-5 0.05", 5e-3,
			[2]float64{0, 0}, [2]float64{1e-3, 0}, [2]float64{1e-3 + edge, 12}),
		"step-ring": from("E a 0 volt 0 0.1; L a b henry 1e-3 0.5; C b 0 farad 1e-5 0.02; R b 0 ohm 50", 4e-3,
			[2]float64{0, 0}, [2]float64{5e-4, 0}, [2]float64{5e-4 + edge, 12}),
		"coil-diode": from("E a 0 volt 12 0.05; S a b diode 1e-12 1.2; L b 0 henry 0.08 85; D 0 b diode 1e-12 1.2; G a b ohm 1e6", 8e-3,
			[2]float64{0, 12}, [2]float64{1e-3, 12}, [2]float64{1e-3 + edge, -12}),
		"lamp-filter": from("E a 0 volt 0 0.05; R a b ohm 0.3; C b 0 farad 1e-3 0.05; H b 0 lamp 1.75 12", 6e-3,
			[2]float64{0, 0}, [2]float64{6e-4, 0}, [2]float64{6e-4 + edge, 12.6}, [2]float64{3e-3, 12.6}, [2]float64{3e-3 + edge, 4}),
	}
	// A driver at 200 Hz and 40 % into a lamp and a coil with its diode.
	var pulses [][2]float64
	for i := range 4 {
		at := 5e-3 * float64(i)
		pulses = append(pulses, [2]float64{at, 0}, [2]float64{at + edge, 12}, [2]float64{at + 2e-3, 12}, [2]float64{at + 2e-3 + edge, 0})
	}
	all["pulse-width"] = from("E a 0 volt 0 0.05; W a b ohm 0.03; H b 0 lamp 1.75 12; L b c henry 0.02 20; D c b diode 1e-12 1.2; K c 0 ohm 0.1; D2 0 b diode 1e-12 1.2",
		0.02, pulses...)
	all["pulse-width"].steps = 8000
	h := newHarness(50, 3, false)
	addCoils(h)
	all["harness-start"] = &motion{&h.net, h.battery, [][2]float64{{0, 0}, {1e-3, 0}, {1.1e-3, 12.6}}, 8e-3, 3200, motionShare}
	return all
}

// emf returns what the source has at a time.
func (m *motion) emf(t float64) float64 {
	last := m.corners[0]
	for _, c := range m.corners {
		if t < c[0] {
			return last[1] + (c[1]-last[1])*(t-last[0])/(c[0]-last[0])
		}
		last = c
	}
	return last[1]
}

const samples = 40

// motionOptions are ngspice's tolerances for motions.
const motionOptions = "reltol=1e-6 abstol=1e-12 vntol=1e-8 trtol=1"

// analysis is the motion as ngspice's command, with no step longer than here.
func (m *motion) analysis() string {
	return fmt.Sprintf("tran %.17g %.17g 0 %.17g", m.stop/1000, m.stop, m.stop/float64(m.steps))
}

// run steps through the motion and returns the voltages of all nodes at the samples.
func (m *motion) run(t *testing.T) [][]float64 {
	s, err := circuit.Compile(m.net)
	require.NoError(t, err)
	s.SetEMF(m.source, m.emf(0))
	require.NoError(t, s.Solve())
	dt := m.stop / float64(m.steps)
	var out [][]float64
	for i := 1; i <= m.steps; i++ {
		s.SetEMF(m.source, m.emf(dt*float64(i)))
		require.NoError(t, s.Step(dt))
		if i%(m.steps/samples) == 0 {
			out = append(out, append([]float64(nil), s.Voltages()...))
		}
	}
	return out
}

// Circuits in motion agree with ngspice 39 point by point.
func TestStepsAgainstNgspice(t *testing.T) {
	for name, m := range motions(t) {
		t.Run(name, func(t *testing.T) {
			text := deckWith(name, m.net, map[circuit.ID][][2]float64{m.source: m.corners},
				motionOptions, m.analysis())
			file := filepath.Join(ngspiceDir, "step-"+name)
			got := m.run(t)
			if raw, ok := runDeck(t, text); ok {
				live := m.sampled(raw)
				m.compare(t, got, live, "live")
				if *update {
					store(t, file, text, live)
				}
			}
			was, err := os.ReadFile(file + ".cir")
			require.NoError(t, err)
			require.Equal(t, string(was), text, "the deck has changed: run with -update")
			m.compare(t, got, load(t, file), "stored")
		})
	}
}

// sampled takes the samples from a raw file, between its points on a straight line, as "sample 3 node 1".
func (m *motion) sampled(raw *rawFile) map[string]float64 {
	out := map[string]float64{}
	for k := range samples {
		at := m.stop * float64(k+1) / samples
		i := sort.Search(len(raw.points), func(i int) bool { return raw.points[i][0] >= at*(1-1e-12) })
		i = min(max(i, 1), len(raw.points)-1)
		p, q := raw.points[i-1], raw.points[i]
		x := (at - p[0]) / (q[0] - p[0])
		for n := 1; n < m.net.Nodes(); n++ {
			c := raw.column(fmt.Sprintf("v(n%d)", n))
			out[fmt.Sprintf("sample %d node %d", k, n)] = p[c] + x*(q[c]-p[c])
		}
	}
	return out
}

func (m *motion) compare(t *testing.T, got [][]float64, want map[string]float64, what string) {
	t.Helper()
	require.Len(t, want, samples*(m.net.Nodes()-1))
	volts, worst := 0.0, 0.0
	for _, v := range want {
		volts = max(volts, math.Abs(v))
	}
	for k := range samples {
		for n := 1; n < m.net.Nodes(); n++ {
			x := want[fmt.Sprintf("sample %d node %d", k, n)]
			worst = max(worst, math.Abs(x-got[k][n])/volts)
			assert.InDelta(t, x, got[k][n], m.share*volts, "%s: sample %d, node %d", what, k, n)
		}
	}
	t.Logf("%s: largest difference %.2g of %.3g V", what, worst, volts)
}
