package published

import (
	"errors"
	"fmt"
	"math"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// rig is a small circuit of devices between numbered nodes, 0 being ground. The first error of building it is kept and told by
// whatever solves.
type rig struct {
	net     circuit.Netlist
	nodes   []circuit.Node
	devices []device.Device
	solver  *circuit.Solver
	past    float64 // seconds
	err     error
}

func newRig(nodes int) *rig {
	r := &rig{nodes: []circuit.Node{circuit.Ground}}
	for i := range nodes {
		r.nodes = append(r.nodes, r.net.Node(fmt.Sprint(i+1)))
	}
	return r
}

// add makes a device and places it between nodes in the order of its terminals.
func (r *rig) add(spec device.Spec, at ...int) device.Device {
	d, err := device.New(spec)
	if err != nil {
		r.err = errors.Join(r.err, err)
		return nil
	}
	pins := make([]circuit.Node, len(at))
	for i, k := range at {
		pins[i] = r.nodes[k]
	}
	d.Build(&r.net, fmt.Sprintf("device %d", len(r.devices)), pins)
	r.devices = append(r.devices, d)
	return d
}

// branch adds a plain branch.
func (r *rig) branch(a, b int, br circuit.Branch) circuit.ID {
	return r.net.Add("branch", r.nodes[a], r.nodes[b], br)
}

func (r *rig) compile() *rig {
	if r.err == nil {
		device.Introduce(r.devices)
		r.solver, r.err = circuit.Compile(&r.net)
	}
	return r
}

func (r *rig) solve(mode device.Mode) error {
	if r.err != nil {
		return r.err
	}
	for _, d := range r.devices {
		d.Stamp(r.solver, mode)
	}
	return r.solver.Solve()
}

// rounds is how often discrete states may change until a circuit rests.
const rounds = 50

// settle finds the steady state and brings everything to rest in it.
func (r *rig) settle() error {
	for range rounds {
		if err := r.solve(device.Steady); err != nil {
			return err
		}
		changed := false
		for _, d := range r.devices {
			changed = d.Settle(r.solver) || changed
		}
		if !changed {
			for _, d := range r.devices {
				d.Rest(r.solver)
			}
			return nil
		}
	}
	return errors.New("the circuit does not settle")
}

// shortest is the shortest step in seconds, so that devices that ask for none still get on.
const shortest = 1e-6

// march goes through time with the steps that the devices ask for until something happens, at most for some seconds. It returns
// how long that took.
func (r *rig) march(seconds float64) (float64, error) {
	for r.past = 0; r.past < seconds; {
		if err := r.solve(device.Moving); err != nil {
			return r.past, err
		}
		dt := seconds - r.past
		for _, d := range r.devices {
			dt = min(dt, d.Step(r.solver), d.Due(r.solver))
		}
		dt = max(dt, shortest)
		r.past += dt
		happened := 0
		for _, d := range r.devices {
			happened += len(d.Advance(r.solver, dt))
		}
		if happened > 0 || dt <= r.past*0x1p-52 {
			return r.past, nil
		}
	}
	return math.Min(r.past, seconds), nil
}

func (r *rig) volts(k int) float64 { return r.solver.Voltage(r.nodes[k]) }
