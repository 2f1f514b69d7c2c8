package circuit_test

import (
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// speed makes TestSpeed measure properly, which takes minutes; without it, it only goes through the motions with the smallest circuits.
var speed = flag.Bool("speed", false, "measure at full length and print the tables")

// The supply is swept over sweepPoints from sweepFrom in steps of sweepStep volts, again and again, here and in ngspice.
const (
	sweepFrom, sweepStep = 12.5, 0.01
	sweepPoints          = 21
)

// content is what a circuit of a given number of nodes is made of.
type content struct {
	name string
	anew bool // eliminate everything for each point, as if every branch had changed, not only what the supply needs
	make func(n int) (net *circuit.Netlist, battery circuit.ID)
}

func contents() []content {
	linear := func(n int) (*circuit.Netlist, circuit.ID) {
		h := newHarness(n, 1, true)
		return &h.net, h.battery
	}
	return []content{
		{"linear, all eliminated anew", true, linear},
		{"linear", false, linear},
		{"diodes", false, func(n int) (*circuit.Netlist, circuit.ID) {
			h := newHarness(n, 1, false)
			return withoutLamps(&h.net), h.battery
		}},
		{"lamps and diodes", false, func(n int) (*circuit.Netlist, circuit.ID) {
			h := newHarness(n, 1, false)
			return &h.net, h.battery
		}},
	}
}

// withoutLamps returns the circuit with resistors in place of the lamps: ngspice has a diode of its own, but lamps only as
// expressions, which it interprets.
func withoutLamps(net *circuit.Netlist) *circuit.Netlist {
	var out circuit.Netlist
	for n := 1; n < net.Nodes(); n++ {
		out.Node(net.NodeName(circuit.Node(n)))
	}
	for id := range net.Branches() {
		a, b, br := net.Branch(circuit.ID(id))
		if c, ok := br.(circuit.Curve); ok {
			if lamp, ok := c.Law.(*filament); ok {
				br = circuit.Resistor{Ohms: lamp.v0 / lamp.i0}
			}
		}
		out.Add(net.BranchName(circuit.ID(id)), a, b, br)
	}
	return &out
}

// stopwatch measures how long one of many equal things takes, in seconds: the least of some batches, for whatever else the
// machine does only adds to it.
func stopwatch(t *testing.T, batch func() error, count int) float64 {
	batches, least := 2, math.Inf(1)
	if *speed {
		batches = 9
	}
	for range batches {
		start := time.Now()
		for repeat := 0; repeat == 0 || *speed && time.Since(start) < 60*time.Millisecond; repeat++ {
			begun := time.Now()
			require.NoError(t, batch())
			least = min(least, time.Since(begun).Seconds())
		}
	}
	return least / float64(count)
}

// sweep times an operating point here. The batch is some sweeps long, for clocks are coarse in places.
func sweep(t *testing.T, net *circuit.Netlist, battery circuit.ID, anew bool) float64 {
	s, err := circuit.Compile(net)
	require.NoError(t, err)
	sweeps, sum := max(1, 2000/s.Nodes()), 0.0
	return stopwatch(t, func() error {
		for range sweeps {
			for k := range sweepPoints {
				s.SetEMF(battery, sweepFrom+sweepStep*float64(k))
				if anew {
					s.Touch()
				}
				if err := s.Solve(); err != nil {
					return err
				}
				sum += s.Voltages()[1]
			}
		}
		return nil
	}, sweeps*sweepPoints)
}

// spiceTime times one of many equal things in ngspice: the difference between a long run and a short one is free of the program's
// start, of reading the circuit, and of its first operating point. run returns the deck for so many.
func spiceTime(t *testing.T, few, many int, deck func(count int) string) float64 {
	time := func(count int) float64 {
		least := math.Inf(1)
		repeats := 1
		if *speed {
			repeats = 3
		}
		for range repeats {
			least = min(least, timeDeck(t, deck(count)))
		}
		return least
	}
	return (time(many) - time(few)) / float64(many-few)
}

// timeDeck returns how long ngspice takes for a deck, in seconds of processor time, which is what the clock says on a machine that
// does nothing else. The deck must print a figure called proof.
func timeDeck(t *testing.T, text string) float64 {
	file := filepath.Join(t.TempDir(), "in.cir")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	run := exec.Command("ngspice", "-b", file)
	out, err := run.CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.Contains(t, string(out), "proof = ", "%s", out)
	return (run.ProcessState.UserTime() + run.ProcessState.SystemTime()).Seconds()
}

// Tolerances of ngspice: those that make it agree with this solver to 1e-9, and its own.
const (
	spiceEqual = "reltol=1e-10 abstol=1e-16 vntol=1e-12 chgtol=1e-20"
	spiceUsual = "reltol=1e-3"
)

// spiceSweep times an operating point of the same sweeps in ngspice. A second source, joined to nothing, repeats them.
func spiceSweep(t *testing.T, net *circuit.Netlist, battery circuit.ID, options string) float64 {
	sweeps := max(2, 4000000/net.Nodes()/sweepPoints) // a second or so
	if !*speed {
		sweeps = 3
	}
	return spiceTime(t, sweepPoints, sweepPoints*(sweeps+1), func(points int) string {
		last := sweepFrom + sweepStep*(sweepPoints-1)
		return timed(deckWith("sweep", net, nil, options, fmt.Sprintf("save v(n1)\ndc V%d %g %g %g Vagain 0 %d 1",
			battery, sweepFrom, last+sweepStep/4, sweepStep, points/sweepPoints-1)), "Vagain nagain 0 0\nRagain nagain 0 1\n")
	})
}

// timed makes a deck print instead of writing what it found, and adds elements.
func timed(deck, elements string) string {
	deck = strings.Replace(deck, "write out.raw all", "let proof = v(n1)[length(v(n1))-1]\nprint proof", 1)
	title, rest, _ := strings.Cut(deck, "\n")
	return title + "\n" + elements + rest
}

// pulsed adds ten inductors and capacitors to a harness of 150 nodes and a driver that pulses at 200 Hz, 40 % of the time. It
// returns the driver.
func pulsed(linear bool) (*harness, circuit.ID) {
	h := newHarness(150, 1, linear)
	contact := addCoils(h)
	var out circuit.Netlist
	for n := 1; n < h.net.Nodes(); n++ {
		out.Node(h.net.NodeName(circuit.Node(n)))
	}
	for id := range h.net.Branches() {
		a, b, br := h.net.Branch(circuit.ID(id))
		switch {
		case circuit.ID(id) == contact: // in place of the contact, from the switched node to ground
			a, b, br = b, circuit.Ground, circuit.Source{EMF: 0, Ohms: 0.05}
		case linear && h.net.BranchName(circuit.ID(id)) == "suppressor":
			br = circuit.Resistor{Ohms: 1000}
		}
		out.Add(h.net.BranchName(circuit.ID(id)), a, b, br)
	}
	h.net = out
	return h, contact
}

// The step of both, and the pulses in steps: up at 0, down at onSteps, again after periodSteps. Edges last one step.
const (
	pulseStep            = 5e-5
	onSteps, periodSteps = 40, 100
)

func pulseVolts(step int) float64 {
	if k := step % periodSteps; k >= 1 && k <= onSteps {
		return 12.6
	}
	return 0
}

func pulseCorners(steps int) [][2]float64 {
	corners := [][2]float64{{0, 0}}
	for i := 1; i <= steps; i++ {
		if v := pulseVolts(i); v != pulseVolts(i-1) {
			corners = append(corners, [2]float64{pulseStep * float64(i-1), pulseVolts(i - 1)}, [2]float64{pulseStep * float64(i), v})
		}
	}
	return corners
}

// motionTimes returns how many times faster than real time the pulses go here and in ngspice, 0 without it.
func motionTimes(t *testing.T, linear, spice bool) (here, there float64) {
	h, driver := pulsed(linear)
	s, err := circuit.Compile(&h.net)
	require.NoError(t, err)
	require.NoError(t, s.Solve())
	at, sum := 0, 0.0
	here = pulseStep / stopwatch(t, func() error {
		for range 10 * periodSteps {
			at++
			s.SetEMF(driver, pulseVolts(at))
			if err := s.Step(pulseStep); err != nil {
				return err
			}
			sum += s.Voltages()[1]
		}
		return nil
	}, 10*periodSteps)
	if !spice {
		return here, 0
	}
	few, many := periodSteps, 6*periodSteps
	if *speed {
		many = 60 * periodSteps
	}
	there = pulseStep / spiceTime(t, few, many, func(steps int) string {
		return timed(deckWith("pulses", &h.net, map[circuit.ID][][2]float64{driver: pulseCorners(steps)}, spiceUsual,
			fmt.Sprintf("save v(n1)\ntran %g %g 0 %g", pulseStep, pulseStep*float64(steps), pulseStep)), "")
	})
	return here, there
}

// motionTime returns how long one of the motions takes here and in ngspice, in seconds, 0 without it: the same steps, at tolerances
// that make both agree to motionShare.
func motionTime(t *testing.T, name string, m *motion, spice bool) (here, there float64) {
	s, err := circuit.Compile(m.net)
	require.NoError(t, err)
	s.SetEMF(m.source, m.emf(0))
	require.NoError(t, s.Solve())
	rest, dt, sum := s.Snapshot(), m.stop/float64(m.steps), 0.0
	here = stopwatch(t, func() error {
		s.Restore(rest)
		for i := range m.steps {
			s.SetEMF(m.source, m.emf(dt*float64(i+1)))
			if err := s.Step(dt); err != nil {
				return err
			}
			sum += s.Voltages()[1]
		}
		return nil
	}, 1)
	if !spice {
		return here, 0
	}
	many := 4
	if *speed {
		many = 20
	}
	there = spiceTime(t, 1, many, func(count int) string {
		return timed(deckWith(name, m.net, map[circuit.ID][][2]float64{m.source: m.corners}, motionOptions, "save v(n1)"+
			strings.Repeat("\ndestroy all\n"+m.analysis(), count)), "")
	})
	return here, there
}

// perSecond returns how many rank-one what-ifs and re-converged faults there are in a second, at 150 nodes.
func perSecond(t *testing.T) (whatIfs, faults float64) {
	h := newHarness(150, 1, false)
	s, err := circuit.Compile(&h.net)
	require.NoError(t, err)
	require.NoError(t, s.Solve())
	n, out, at := s.Nodes(), make([]float64, s.Nodes()), 0
	whatIfs = 1 / stopwatch(t, func() error {
		for range 1000 {
			at++
			s.WhatIf(circuit.Node(at%n), circuit.Node((at*7+3)%n), 0.5, 0, out)
		}
		return nil
	}, 1000)
	k := s.Snapshot()
	faults = 1 / stopwatch(t, func() error {
		for _, w := range h.wires {
			s.Restore(k)
			s.SetOhms(w, 1e6)
			if err := s.Solve(); err != nil {
				return err
			}
			out[0] += s.Voltages()[1]
		}
		return nil
	}, len(h.wires))
	return whatIfs, faults
}

// growth returns the exponent with which times grow with sizes: the slope of the straight line in logarithms.
func growth(sizes []int, times []float64) float64 {
	var mx, my, xx, xy float64
	for i, n := range sizes {
		mx += math.Log(float64(n)) / float64(len(sizes))
		my += math.Log(times[i]) / float64(len(sizes))
	}
	for i, n := range sizes {
		x := math.Log(float64(n)) - mx
		xx += x * x
		xy += x * (math.Log(times[i]) - my)
	}
	return xy / xx
}

// Operating points, steps in time and what-ifs, timed here and in ngspice on the same circuits, as a table for people:
//
//	go test ./sim/circuit -run TestSpeed -speed -v -timeout 30m
//
// Without -speed only the smallest circuits are timed once, to see that it works.
func TestSpeed(t *testing.T) {
	spice := runtime.GOOS != "js"
	if _, err := exec.LookPath("ngspice"); spice && err != nil {
		require.NotEqual(t, "true", os.Getenv("CI"), "ngspice is not on PATH")
		spice = false
	}
	sizes := sizes
	if !*speed {
		sizes = sizes[:1]
	}
	var out strings.Builder
	fmt.Fprintf(&out, "\n%s/%s, %d processors\n\n", runtime.GOOS, runtime.GOARCH, runtime.NumCPU())
	fmt.Fprintln(&out, "| one operating point | nodes | here, µs | ngspice, equal accuracy, µs | times | ngspice as it comes, µs | times |\n| --- | --- | --- | --- | --- | --- | --- |")
	for _, c := range contents() {
		var ours []float64
		for _, n := range sizes {
			net, battery := c.make(n)
			x := sweep(t, net, battery, c.anew)
			ours = append(ours, x)
			fmt.Fprintf(&out, "| %s | %d | %.3g |", c.name, n, 1e6*x)
			for _, options := range []string{spiceEqual, spiceUsual} {
				if !spice {
					out.WriteString(" | |")
					continue
				}
				y := spiceSweep(t, net, battery, options)
				fmt.Fprintf(&out, " %.3g | %.2g |", 1e6*y, y/x)
			}
			out.WriteString("\n")
			assert.Positive(t, x)
		}
		if *speed {
			fmt.Fprintf(&out, "| %s | growth | n^%.2f | | | | |\n", c.name, growth(sizes, ours))
		}
	}
	fmt.Fprintln(&out, "\n| 150 nodes in time, steps of 50 µs | here, times real time | ngspice | times |\n| --- | --- | --- | --- |")
	for _, linear := range []bool{true, false} {
		here, there := motionTimes(t, linear, spice)
		name := map[bool]string{true: "linear", false: "lamps and diodes"}[linear]
		if spice {
			fmt.Fprintf(&out, "| %s | %.3g | %.3g | %.2g |\n", name, here, there, here/there)
		} else {
			fmt.Fprintf(&out, "| %s | %.3g | | |\n", name, here)
		}
	}
	all := motions(t)
	fmt.Fprintln(&out, "\n| circuit in time, equal steps and accuracy | here, ms | ngspice, ms | times |\n| --- | --- | --- | --- |")
	for _, name := range slices.Sorted(maps.Keys(all)) {
		here, there := motionTime(t, name, all[name], spice)
		if spice {
			fmt.Fprintf(&out, "| %s | %.3g | %.3g | %.2g |\n", name, 1e3*here, 1e3*there, there/here)
		} else {
			fmt.Fprintf(&out, "| %s | %.3g | | |\n", name, 1e3*here)
		}
	}
	whatIfs, faults := perSecond(t)
	fmt.Fprintf(&out, "\n| 150 nodes, lamps and diodes | per second |\n| --- | --- |\n| what-ifs at an operating point, all nodes | %.2g |\n| faults, each converged anew | %.2g |\n", whatIfs, faults)
	t.Log(out.String())
}

// The pulses of both programs mean the same: after two periods all voltages agree. ngspice keeps to its own tolerance of 1e-3.
func TestSpeedComparesLikeWithLike(t *testing.T) {
	for _, linear := range []bool{true, false} {
		h, driver := pulsed(linear)
		s, err := circuit.Compile(&h.net)
		require.NoError(t, err)
		require.NoError(t, s.Solve())
		const steps = 2*periodSteps + onSteps/2
		for i := 1; i <= steps; i++ {
			s.SetEMF(driver, pulseVolts(i))
			require.NoError(t, s.Step(pulseStep))
		}
		raw, ok := runDeck(t, deckWith("pulses", &h.net, map[circuit.ID][][2]float64{driver: pulseCorners(steps + 10)}, spiceUsual,
			fmt.Sprintf("tran %g %g 0 %g", pulseStep, pulseStep*float64(steps), pulseStep)))
		if !ok {
			return
		}
		for n, v := range pointOf(raw, &h.net) {
			var node int
			if _, err := fmt.Sscanf(n, "node %d", &node); err == nil {
				assert.InDelta(t, v, s.Voltage(circuit.Node(node)), 0.03, "node %d, linear %v", node, linear)
			}
		}
	}
}
