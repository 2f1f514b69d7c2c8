package circuit_test

import (
	"cmp"
	"encoding/csv"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// update makes the tests write the decks and what ngspice makes of them anew.
var update = flag.Bool("update", false, "run ngspice and store its results")

const ngspiceDir = "../../testdata/circuit/ngspice"

// spiceTolerance is the share of the largest voltage, or of the largest current, to which every figure agrees.
const spiceTolerance = 1e-9

// spiceRounding is the same for decks in which ngspice itself loses digits: its matrix has 200 S of a source and 1e-6 S of what
// feeds a wire in one sum. The closed form for the wire is in TestFloatingWire.
var spiceRounding = map[string]float64{"meter": 1e-6}

func operatingPointDecks(t *testing.T) map[string]*circuit.Netlist {
	decks := map[string]*circuit.Netlist{}
	for name, s := range map[string]string{
		"bridge":      "E t 0 volt 24 0.5; R1 t l ohm 150; R2 t r ohm 50; R3 l r ohm 100; R4 l 0 ohm 300; R5 r 0 ohm 250",
		"injection":   "I 0 a amp 2.5; R1 a b ohm 3; E b 0 volt 9 0.2; R2 a 0 ohm 12",
		"meter":       "E p 0 volt 12.6 0.005; X p a ohm 1e6; W a b ohm 0.01; M b 0 ohm 1e7",
		"diode":       "E a 0 volt 12.6 0.01; R a b ohm 220; D b 0 diode 1e-12 1.2",
		"diode-chain": "E a 0 volt 12.6 0.01; R a b ohm 47; D1 b c diode 1e-12 1.2; D2 c d diode 1e-14 1; D3 d 0 diode 1e-9 1.8",
		"rectifier":   "E a b volt 14 0.1; D1 a p diode 1e-12 1.2; D2 b p diode 1e-12 1.2; D3 n a diode 1e-12 1.2; D4 n b diode 1e-12 1.2; R p n ohm 10; G n 0 ohm 1",
		"lamp":        "E a 0 volt 12.6 0.01; W a b ohm 0.05; H b 0 lamp 4.58 12",
		"lamp-series": "E a 0 volt 12.6 0.01; H1 a b lamp 4.58 12; H2 b 0 lamp 0.42 12",
		"lamp-dim":    "E a 0 volt 12.6 0.01; X a b ohm 30; H b 0 lamp 4.58 12",
		"feed-back":   "E a 0 volt 12.6 0.01; F a b ohm 0.02; H1 b g lamp 4.58 12; H2 g 0 lamp 1.75 12; R g c ohm 15; D c 0 diode 1e-12 1.2",
	} {
		decks[name] = &text(t, s).net
	}
	for _, n := range []int{50, 150, 500} {
		decks[fmt.Sprintf("harness-%d", n)] = &newHarness(n, 2, false).net
		decks[fmt.Sprintf("harness-%d-linear", n)] = &newHarness(n, 2, true).net
	}
	return decks
}

// Operating points of circuits made here agree with ngspice 39 in every node's voltage and every source's current: with its results
// as they are stored, and with those it gives now where it is installed.
func TestOperatingPointsAgainstNgspice(t *testing.T) {
	for name, net := range operatingPointDecks(t) {
		t.Run(name, func(t *testing.T) {
			s, err := circuit.Compile(net)
			require.NoError(t, err)
			require.NoError(t, s.Solve())
			text := deck(name, net, "op")
			tolerance := spiceTolerance
			if x, ok := spiceRounding[name]; ok {
				tolerance = x
			}
			file := filepath.Join(ngspiceDir, name)
			if raw, ok := runDeck(t, text); ok {
				live := pointOf(raw, net)
				agree(t, net, s, live, tolerance, "live")
				if *update {
					store(t, file, text, live)
				}
			}
			was, err := os.ReadFile(file + ".cir")
			require.NoError(t, err)
			require.Equal(t, string(was), text, "the deck has changed: run with -update")
			agree(t, net, s, load(t, file), tolerance, "stored")
		})
	}
}

// pointOf takes the voltages of the nodes and the currents of the sources from a raw file, as "node 1" and "branch 0". Currents
// are positive from a to b.
func pointOf(raw *rawFile, net *circuit.Netlist) map[string]float64 {
	point := map[string]float64{}
	last := raw.points[len(raw.points)-1]
	for n := 1; n < net.Nodes(); n++ {
		if c := raw.column(fmt.Sprintf("v(n%d)", n)); c >= 0 {
			point[fmt.Sprintf("node %d", n)] = last[c]
		}
	}
	for id := range net.Branches() {
		if c := raw.column(fmt.Sprintf("i(v%d)", id)); c >= 0 {
			point[fmt.Sprintf("branch %d", id)] = last[c]
		}
	}
	return point
}

func agree(t *testing.T, net *circuit.Netlist, s *circuit.Solver, want map[string]float64, tolerance float64, what string) {
	t.Helper()
	require.GreaterOrEqual(t, len(want), net.Nodes()-1, "%s results", what)
	volts, amps := 0.0, 0.0
	for _, v := range s.Voltages() {
		volts = max(volts, v, -v)
	}
	for id := range net.Branches() {
		amps = max(amps, s.Current(circuit.ID(id)), -s.Current(circuit.ID(id)))
	}
	for n := 1; n < net.Nodes(); n++ {
		x, ok := want[fmt.Sprintf("node %d", n)]
		require.True(t, ok, "node %d is missing in the %s results", n, what)
		assert.InDelta(t, x, s.Voltage(circuit.Node(n)), tolerance*volts, "%s: node %d", what, n)
	}
	for id := range net.Branches() {
		if x, ok := want[fmt.Sprintf("branch %d", id)]; ok {
			assert.InDelta(t, x, s.Current(circuit.ID(id)), tolerance*amps, "%s: branch %d", what, id)
		}
	}
}

func store(t *testing.T, file, deck string, point map[string]float64) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
	require.NoError(t, os.WriteFile(file+".cir", []byte(deck), 0o644))
	var b strings.Builder
	b.WriteString("# ngspice 39 on the deck beside this file; volts and amperes\n")
	for _, key := range slices.SortedFunc(maps.Keys(point), func(a, b string) int {
		return cmp.Or(len(a)-len(b), strings.Compare(a, b))
	}) {
		fmt.Fprintf(&b, "%s,%.16g\n", key, point[key])
	}
	require.NoError(t, os.WriteFile(file+".csv", []byte(b.String()), 0o644))
}

func load(t *testing.T, file string) map[string]float64 {
	t.Helper()
	f, err := os.Open(file + ".csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	point := map[string]float64{}
	for _, row := range rows {
		v, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		point[row[0]] = v
	}
	return point
}
