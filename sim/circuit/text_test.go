package circuit_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// fixture is a compiled circuit whose nodes and branches are known by name.
type fixture struct {
	*circuit.Solver
	net    circuit.Netlist
	nodes  map[string]circuit.Node
	ids    map[string]circuit.ID
	inText []string // names of branches in order
}

// text builds a circuit from branches separated by ";", each "name a b kind values":
//
//	R a b ohm 4            resistor; "ohm open" is an open circuit
//	E a b volt 12.6 0.005  source with its resistance
//	I a b amp 0.5          injection, through itself from a to b
//	D a b diode 1e-12 1.2  junction: saturation current, emission coefficient, at 27 °C
//	H a b lamp 5 12        filament: current at a voltage
//	C a b farad 1e-6 0     capacitor with its series resistance
//	L a b henry 0.1 5      inductor with its resistance
//
// Node 0 is Ground.
func text(t testing.TB, s string) *fixture {
	t.Helper()
	f := &fixture{nodes: map[string]circuit.Node{"0": circuit.Ground}, ids: map[string]circuit.ID{}}
	for _, line := range strings.Split(s, ";") {
		w := strings.Fields(line)
		require.GreaterOrEqual(t, len(w), 5, "branch %q", line)
		x := make([]float64, 2)
		for i, v := range w[4:] {
			if v == "open" {
				x[i] = math.Inf(1)
				continue
			}
			var err error
			x[i], err = strconv.ParseFloat(v, 64)
			require.NoError(t, err, "branch %q", line)
		}
		var br circuit.Branch
		switch w[3] {
		case "ohm":
			br = circuit.Resistor{Ohms: x[0]}
		case "volt":
			br = circuit.Source{EMF: x[0], Ohms: x[1]}
		case "amp":
			br = circuit.Injection{Amps: x[0]}
		case "diode":
			br = circuit.Curve{Law: newJunction(x[0], x[1]*thermalVoltage(27))}
		case "lamp":
			br = circuit.Curve{Law: &filament{i0: x[0], v0: x[1]}}
		case "farad":
			br = circuit.Capacitor{Farads: x[0], Ohms: x[1]}
		case "henry":
			br = circuit.Inductor{Henries: x[0], Ohms: x[1]}
		default:
			require.Fail(t, "unknown kind", "branch %q", line)
		}
		f.add(w[0], w[1], w[2], br)
	}
	f.compile(t)
	return f
}

func (f *fixture) add(name, a, b string, br circuit.Branch) {
	f.inText = append(f.inText, name)
	f.ids[name] = f.net.Add(name, f.node(a), f.node(b), br)
}

func (f *fixture) node(name string) circuit.Node {
	n, ok := f.nodes[name]
	if !ok {
		n = f.net.Node(name)
		f.nodes[name] = n
	}
	return n
}

func (f *fixture) compile(t testing.TB) {
	t.Helper()
	var err error
	f.Solver, err = circuit.Compile(&f.net)
	require.NoError(t, err)
}

// solve solves and fails the test if that fails.
func (f *fixture) solve(t testing.TB) *fixture {
	t.Helper()
	require.NoError(t, f.Solve())
	return f
}

func (f *fixture) volts(a, b string) float64  { return f.Voltage(f.nodes[a]) - f.Voltage(f.nodes[b]) }
func (f *fixture) amps(branch string) float64 { return f.Current(f.ids[branch]) }

// thermalVoltage returns kT/q in volts, with the constants that the SI fixes since 2019 (BIPM, SI Brochure, 9th ed.).
func thermalVoltage(celsius float64) float64 {
	return 1.380649e-23 * (celsius + 273.15) / 1.602176634e-19
}

// ends returns the node a of a branch.
func (f *fixture) ends(branch string) circuit.Node {
	a, _, _ := f.net.Branch(f.ids[branch])
	return a
}

// ohms returns the series resistance of a source.
func (f *fixture) ohms(branch string) float64 {
	_, _, br := f.net.Branch(f.ids[branch])
	return br.(circuit.Source).Ohms
}
