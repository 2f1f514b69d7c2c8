package device_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/require"
)

// rig is a small circuit of devices between numbered nodes, 0 being ground.
type rig struct {
	t       testing.TB
	net     circuit.Netlist
	nodes   []circuit.Node
	devices []device.Device
	solver  *circuit.Solver
	past    float64
}

// happened is a happening with its time and the place of its device.
type happened struct {
	at   float64
	who  int
	what string
}

func newRig(t testing.TB, nodes int) *rig {
	r := &rig{t: t, nodes: []circuit.Node{circuit.Ground}}
	for range nodes {
		r.nodes = append(r.nodes, r.net.Node("n"+strconv.Itoa(len(r.nodes))))
	}
	return r
}

// add places a device between nodes, in the order of its terminals.
func (r *rig) add(d device.Device, at ...int) *rig {
	pins := make([]circuit.Node, len(at))
	for i, k := range at {
		pins[i] = r.nodes[k]
	}
	d.Build(&r.net, "d"+strconv.Itoa(len(r.devices)), pins)
	r.devices = append(r.devices, d)
	return r
}

// branch adds a plain branch.
func (r *rig) branch(a, b int, br circuit.Branch) circuit.ID {
	return r.net.Add("branch", r.nodes[a], r.nodes[b], br)
}

func (r *rig) compile() *rig {
	var err error
	device.Introduce(r.devices)
	r.solver, err = circuit.Compile(&r.net)
	require.NoError(r.t, err)
	return r
}

func (r *rig) solve(mode device.Mode) {
	for _, d := range r.devices {
		d.Stamp(r.solver, mode)
	}
	require.NoError(r.t, r.solver.Solve(), "at %g s", r.past)
}

// settle finds the steady state and brings everything to rest in it.
func (r *rig) settle() { require.True(r.t, r.rests(), "the circuit does not settle") }

// rests is settle that reports whether there is a steady state.
func (r *rig) rests() bool {
	for round := 0; ; round++ {
		if round == 50 {
			return false
		}
		r.solve(device.Steady)
		changed := false
		for _, d := range r.devices {
			changed = d.Settle(r.solver) || changed
		}
		if !changed {
			break
		}
	}
	for _, d := range r.devices {
		d.Rest(r.solver)
	}
	return true
}

// march goes through time with the steps that the devices ask for, at most longest seconds each.
func (r *rig) march(seconds, longest float64) []happened {
	var all []happened
	end := r.past + seconds
	for r.past < end {
		r.solve(device.Moving)
		dt := math.Min(longest, end-r.past)
		for _, d := range r.devices {
			dt = min(dt, d.Step(r.solver), d.Due(r.solver))
		}
		dt = max(dt, 1e-6)
		if r.past+dt == r.past {
			break
		}
		r.past += dt
		for i, d := range r.devices {
			for _, h := range d.Advance(r.solver, dt) {
				all = append(all, happened{r.past, i, h.What})
			}
		}
	}
	r.solve(device.Moving)
	return all
}

func (r *rig) volts(k int) float64 { return r.solver.Voltage(r.nodes[k]) }

// make makes a device of a kind from pairs of key and value.
func create(t testing.TB, kind string, values map[string]float64) device.Device {
	d, err := device.New(device.Spec{Kind: kind, Values: values})
	require.NoError(t, err)
	return d
}

// table reads a table of published figures: one map from column to cell for each row.
func table(t testing.TB, name string) []map[string]string {
	f, err := os.Open(filepath.Join("..", "..", "testdata", "device", name))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var all []map[string]string
	for _, cells := range rows[1:] {
		row := map[string]string{}
		for i, c := range cells {
			row[rows[0][i]] = c
		}
		all = append(all, row)
	}
	return all
}

// number reads a cell; an empty one is not a number.
func number(t testing.TB, cell string) float64 {
	if cell == "" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(cell, 64)
	require.NoError(t, err)
	return x
}
