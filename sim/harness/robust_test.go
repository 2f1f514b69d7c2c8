package harness_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"
)

const (
	// few harnesses are tried each time, fewer with -short, many with FAULTLOOM_FULL=1.
	few, fewer, many = 1000, 200, 100000
	// sumShare is what currents at a node may fail to add up by, as a share of what each branch there would pass at the voltages of
	// its ends: these are rounded to 2⁻⁵³ of themselves, and a branch of half a milliohm makes amperes of it. What voltages rounded twice make of
	// stiff branches, of which a lead's 10 nΩ are the stiffest, goes where it can: of two leads both. Curves are solved to 1e-10 of their current. sumFloor, in
	// amperes, is what a microvolt drives through a megohm.
	sumFloor, sumShare, curveShare = 1e-12, 0x1p-50, 2e-10
	// mostSteps bounds the solutions of one stretch of time, per second of it: the shortest step is 20 µs.
	mostSteps = 50001
	// unsolvedShare is how often, over the number of harnesses, Newton's method may find no solution: the first 6,000 all have theirs.
	unsolvedShare = 1e-4
	// longest is how long one harness may take: some sixty times what the slowest does, which is a module that overloads, gives up and tries again
	// all day, until Hold has gone through as many hops as it may; a machine with other work on it takes its share of that.
	longest = 10 * time.Minute
)

// robot plays one random harness.
type robot struct {
	r     *rand.Rand
	h     *harness.Harness
	m     *harness.Machine
	tools *meter.Bench
	faces []harness.Point
	what  string // what is being done, for messages
	tally *tally
	most  float64 // largest current seen, in amperes
}

// tally counts what came of all.
type tally struct {
	harnesses, solutions, restless, unsolved int
	readings                                 int // of the bench's instruments
	stood                                    int // times that one stood for a time
	live                                     int // harnesses in which more than half an ampere flowed
	kinds, faults, happened                  map[string]int
	worst                                    float64 // largest sum of currents over what is allowed
	slowest                                  time.Duration
	slow                                     string // what took that
	failures                                 []string
	endless                                  []string // errors of convergence
}

func (c *tally) add(o *tally) {
	c.harnesses += o.harnesses
	c.live += o.live
	c.readings += o.readings
	c.stood += o.stood
	c.solutions += o.solutions
	c.restless += o.restless
	c.unsolved += o.unsolved
	c.worst = max(c.worst, o.worst)
	if o.slowest > c.slowest {
		c.slowest, c.slow = o.slowest, o.slow
	}
	for k, n := range o.kinds {
		c.kinds[k] += n
	}
	for k, n := range o.faults {
		c.faults[k] += n
	}
	for k, n := range o.happened {
		c.happened[k] += n
	}
	c.failures = append(c.failures, o.failures...)
	c.endless = append(c.endless, o.endless...)
}

func newTally() *tally {
	return &tally{kinds: map[string]int{}, faults: map[string]int{}, happened: map[string]int{}}
}

func (b *robot) fail(format string, args ...any) {
	b.tally.failures = append(b.tally.failures, b.what+": "+fmt.Sprintf(format, args...))
}

// sums checks the solution: every voltage is a number, and at every node as much flows in as out.
func (b *robot) sums() {
	b.tally.solutions++
	s := b.m.Solver()
	for n, v := range s.Voltages() {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			b.fail("%g V at %s", v, s.NodeName(circuit.Node(n)))
			return
		}
	}
	sum, allowed, floor := make([]float64, s.Nodes()), make([]float64, s.Nodes()), sumFloor
	for id := range s.Branches() {
		a, z := s.Ends(circuit.ID(id))
		amps, ohms := s.Current(circuit.ID(id)), s.Ohms(circuit.ID(id))
		if math.IsNaN(amps) {
			b.fail("no current in %s", s.BranchName(circuit.ID(id)))
			return
		}
		b.most = max(b.most, math.Abs(amps))
		stiff := (math.Abs(s.Voltage(a)) + math.Abs(s.Voltage(z))) * s.Slope(circuit.ID(id))
		floor += stiff * 0x1p-52
		size := curveShare*math.Abs(amps) + sumShare*stiff
		if !math.IsInf(ohms, 1) {
			size = sumShare * (math.Abs(s.Voltage(a)) + math.Abs(s.Voltage(z)) + math.Abs(amps)*ohms) / ohms
		}
		sum[a] += amps
		sum[z] -= amps
		allowed[a] += size
		allowed[z] += size
	}
	for n := 1; n < len(sum); n++ {
		sum[n] += circuit.LeakSiemens * s.Voltage(circuit.Node(n))
		off := math.Abs(sum[n]) / (floor + allowed[n])
		b.tally.worst = max(b.tally.worst, off)
		if off > 1 {
			b.fail("%g A are left at %s, %g allowed", sum[n], s.NodeName(circuit.Node(n)), floor+allowed[n])
			return
		}
	}
}

// looks reads everything that a person or an instrument could.
func (b *robot) looks() {
	for id, e := range b.m.Effects() {
		k, _ := device.Lookup(b.h.Components[slices.IndexFunc(b.h.Components, func(c harness.Component) bool { return c.ID == id })].Spec.Kind)
		if math.IsNaN(e.Level) || math.IsInf(e.Level, 0) || len(k.Words) > 0 && !slices.Contains(k.Words, e.Word) {
			b.fail("%s is %q at level %g", id, e.Word, e.Level)
		}
	}
	for _, p := range b.faces {
		if v := b.m.Volts(p); math.IsNaN(v) {
			b.fail("%s has no voltage", p)
		}
	}
	p, q := b.faces[b.r.IntN(len(b.faces))], b.faces[b.r.IntN(len(b.faces))]
	if v, ohms := b.m.Thevenin(p, q); math.IsNaN(v) || !(ohms >= 0) {
		b.fail("from %s to %s: %g V behind %g ohm", p, q, v, ohms)
	}
	for _, c := range b.h.Components {
		for _, x := range b.m.Device(c.ID).State() {
			if math.IsNaN(x) {
				b.fail("the state of %s (%s) is no number", c.ID, c.Spec.Kind)
			}
		}
	}
}

// judge sorts errors: one that names the place is allowed, and counted.
func (b *robot) judge(err error) (solved bool) {
	var restless *harness.RestlessError
	var lost *circuit.ConvergenceError
	switch {
	case err == nil:
		return true
	case errors.As(err, &restless) && restless.Device != "":
		b.tally.restless++
		return true // the last state tried is a solution
	case errors.As(err, &lost) && lost.Name != "" && strings.Contains(err.Error(), lost.Name):
		b.tally.unsolved++
		b.tally.endless = append(b.tally.endless, b.what+": "+err.Error())
	default:
		b.fail("%v", err)
	}
	return false
}

// act does one random thing.
func (b *robot) act() {
	r, m := b.r, b.m
	must := func(err error) {
		if err != nil {
			b.fail("%v", err)
		}
	}
	connector := b.h.Connectors[r.IntN(len(b.h.Connectors))].ID
	if r.IntN(3) == 0 {
		b.disturb()
		return
	}
	switch n := r.IntN(12); {
	case n < 4 && len(b.h.Controls) > 0:
		c := b.h.Controls[r.IntN(len(b.h.Controls))]
		p := c.Positions[r.IntN(len(c.Positions))]
		b.what += "; " + c.ID + " " + p
		b.operate(c, p)
	case n < 6:
		b.what += "; unplug " + connector
		must(m.Unplug(connector))
	case n < 7:
		b.what += "; plug " + connector
		must(m.Plug(connector))
	case n < 9:
		p := device.NewProbe()
		emf, ohms := 0.0, []float64{1e7, 1e3, 0.03}[r.IntN(3)]
		if ohms == 1e3 {
			emf = 1
		}
		p.Set(emf, ohms)
		a, z := b.faces[r.IntN(len(b.faces))], b.faces[r.IntN(len(b.faces))]
		b.what += fmt.Sprintf("; probe %g V %g ohm at %s and %s", emf, ohms, a, z)
		must(m.Attach("probe", p, a, z))
	case n < 11:
		tool, f := meter.Tools()[r.IntN(len(meter.Tools()))], meter.Functions()[r.IntN(len(meter.Functions()))]
		a, z := b.faces[r.IntN(len(b.faces))], b.faces[r.IntN(len(b.faces))]
		b.what += fmt.Sprintf("; %s on %s at %s and %s", tool, f, a, z)
		must(b.tools.Dial(f))
		switch tool.Grip() {
		case meter.AroundWire:
			a = meter.WirePlace(b.h.Wires[r.IntN(len(b.h.Wires))].ID)
		case meter.InUnit:
			a = meter.UnitPlace(b.h.Components[r.IntN(len(b.h.Components))].ID)
		}
		must(b.tools.Place(tool, 0, a))
		if tool.Ends()[1] != "" {
			must(b.tools.Place(tool, 1, z))
		}
		must(b.tools.Connect(m))
	default:
		b.what += "; lift the probe"
		must(m.Detach("probe"))
	}
}

// reads looks at what the instruments of the bench show.
func (b *robot) reads() {
	shown, err := b.tools.Read(b.m)
	if !b.judge(err) || err != nil {
		return
	}
	b.tally.readings += len(shown)
	for tool, d := range shown {
		if d.Text == "" || math.IsNaN(d.Value) || math.IsInf(d.Value, 0) || strings.Contains(d.Text, "NaN") {
			b.fail("the %s shows %q, %g", tool, d.Text, d.Value)
		}
	}
	b.sums()
}

// passes lets time pass in one of the ways there are and looks at what comes of it.
func (b *robot) passes() {
	var err error
	var events []harness.Event
	steps := 0
	each := func(dt float64) {
		steps++
		if !(dt > 0) {
			b.fail("a step of %g s", dt)
		}
		b.sums()
	}
	switch b.r.IntN(7) {
	case 0, 6:
		seconds := []float64{0.02, 0.2, 1}[b.r.IntN(3)]
		b.what += fmt.Sprintf("; average %g s", seconds)
		err = b.m.Average(seconds, each)
		if float64(steps) > 2+mostSteps*seconds {
			b.fail("%d steps", steps)
		}
	case 1:
		seconds := []float64{0.01, 0.1, 1, 60}[b.r.IntN(4)]
		if b.m.Restless() != "" {
			seconds = min(seconds, 0.1)
		}
		b.what += fmt.Sprintf("; run %g s", seconds)
		events, err = b.m.RunSeeing(seconds, each)
		if float64(steps) > 2+mostSteps*seconds {
			b.fail("%d steps", steps)
		}
	case 2, 3:
		seconds := []float64{1, 60, 3600, 86400}[b.r.IntN(4)]
		b.what += fmt.Sprintf("; hold %g s", seconds)
		events, err = b.m.Hold(seconds)
	default:
		b.what += "; settle"
		err = b.m.Settle()
	}
	for _, e := range events {
		b.tally.happened[e.What]++
		if !(e.Seconds >= 0) {
			b.fail("%s at %g s", e.What, e.Seconds)
		}
	}
	if b.judge(err) {
		b.sums()
		b.looks()
		b.reads()
	}
}

// play plays the harness of a seed.
func play(seed uint64, c *tally) {
	r := rand.New(rand.NewPCG(seed, 7))
	b := &robot{r: r, tally: c, what: fmt.Sprintf("seed %d", seed)}
	defer func() {
		if p := recover(); p != nil {
			stack := make([]byte, 4000)
			b.fail("panic: %v\n%s", p, stack[:runtime.Stack(stack, false)])
		}
	}()
	c.harnesses++
	defer time.AfterFunc(longest, func() { panic(fmt.Sprintf("the harness of seed %d hangs", seed)) }).Stop()
	begun := time.Now()
	defer func() {
		if d := time.Since(begun); d > c.slowest {
			c.slowest, c.slow = d, b.what
		}
	}()
	b.h = sample.Random(r, 1+r.IntN(9))
	b.faces = b.h.Points()
	var err error
	if b.m, err = harness.NewMachine(b.h); err != nil {
		b.fail("%v", err)
		return
	}
	kit := meter.Kit{Tools: meter.Tools(), Functions: meter.Functions(), Volts: b.h.Vehicle.Volts}
	if b.tools, err = meter.NewBench(kit, meter.NewCalibration(seed)); err != nil {
		b.fail("%v", err)
		return
	}
	for _, k := range b.h.Components {
		c.kinds[k.Spec.Kind]++
	}
	if r.IntN(4) == 0 {
		if err := b.m.Prepare(); err != nil {
			b.fail("%v", err)
		}
	}
	b.passes()
	book := fault.NewBook(b.h)
	if list := book.Catalogue(); len(list) > 0 {
		var all []harness.Alteration
		for range 1 + r.IntN(2) {
			e := b.entry(list)
			f := e.Fault
			if e.Low > 0 && e.High > e.Low && r.IntN(2) == 0 {
				f.Severity = min(e.High, e.Low*math.Exp(r.Float64()*math.Log(e.High/e.Low)))
			}
			b.what += "; fault " + f.String()
			c.faults[string(f.Kind)]++
			more, err := book.Alterations(f)
			if err != nil {
				b.fail("%v", err)
			}
			all = append(all, more...)
		}
		if err := b.m.Alter(all); err != nil && !twoDefects(all) {
			b.fail("%v", err)
		}
	}
	for range 2 + r.IntN(4) {
		b.passes()
		for range 1 + r.IntN(3) {
			b.act()
		}
	}
	b.passes()
	if b.most > 0.5 {
		c.live++
	}
}

// twoDefects reports whether one component was given two defects, which Alter refuses.
func twoDefects(all []harness.Alteration) bool {
	seen := map[string]bool{}
	for _, a := range all {
		name := ""
		switch a := a.(type) {
		case harness.Spoil:
			name = a.Component
		case harness.WrongFuse:
			name = a.Connector
		}
		if name != "" && seen[name] {
			return true
		}
		seen[name] = true
	}
	return false
}

// Random harnesses of random components with random faults, driven at random: nothing panics, every number is one, currents add up
// at every node in every solution that is gone through in time (Run, Average) and in those that Hold, Settle, the instruments and standing for days leave, time
// passes in a bounded number of steps, and what has no solution is an error that names the place, and rare. FAULTLOOM_FULL=1 tries 100,000, any other number that
// many.
func TestRandomHarnessesHold(t *testing.T) {
	n := few
	if testing.Short() {
		n = fewer
	}
	if x := os.Getenv("FAULTLOOM_FULL"); x != "" {
		_, err := fmt.Sscan(x, &n)
		require.NoError(t, err)
		if n == 1 {
			n = many
		}
	}
	workers := runtime.GOMAXPROCS(0)
	parts := make([]*tally, workers)
	var wait sync.WaitGroup
	for w := range workers {
		parts[w] = newTally()
		wait.Add(1)
		go func() {
			defer wait.Done()
			for seed := w; seed < n; seed += workers {
				play(uint64(seed), parts[w])
			}
		}()
	}
	wait.Wait()
	all := newTally()
	for _, p := range parts {
		all.add(p)
	}
	slices.Sort(all.failures)
	for i, f := range all.failures {
		if i == 20 {
			break
		}
		t.Error(f)
	}
	assert.Empty(t, all.failures, "failures")
	assert.Equal(t, n, all.harnesses)
	assert.LessOrEqual(t, float64(all.unsolved), unsolvedShare*float64(n), "without a solution")
	assert.Greater(t, all.live, n/2, "harnesses in which a current flows")
	assert.Greater(t, all.stood, n/20, "times that one stood for days")
	t.Logf("%d harnesses, %d of them live, stood %d times, %d readings, %d solutions, largest sum of currents %.2g of what is allowed, %d without rest, %d without a solution",
		all.harnesses, all.live, all.stood, all.readings, all.solutions, all.worst, all.restless, all.unsolved)
	t.Logf("slowest %v: %s", all.slowest, all.slow)
	t.Log("happened:", all.happened, "faults:", all.faults)
	for i, e := range all.endless {
		if i == 10 {
			break
		}
		t.Log(e)
	}
	for _, k := range device.Kinds() {
		assert.Positive(t, all.kinds[k.Name], "no %s among them", k.Name)
	}
	if n >= few { // enough for what is rare
		// Each kind that wires and joints can have, and of the defects of components a good part: there are some 150.
		for _, k := range []fault.Kind{fault.Open, fault.HighResistance, fault.ShortToGround, fault.ShortToSupply, fault.ShortToWire, fault.BackedOut,
			fault.Corroded, fault.Spread, fault.Leakage, fault.WrongRating, fault.Crossed, fault.AddedLoad, fault.Shaky, fault.OpensHot, fault.OpensCold,
			fault.HighShaken, fault.HighHot, fault.HighCold, fault.TouchesGround, fault.TouchesWire, "stays-awake"} {
			assert.Positive(t, all.faults[string(k)], "none: %s", k)
		}
		assert.Greater(t, len(all.faults), 60, "kinds of fault and defects")
	}
	for _, what := range disturbances {
		assert.Positive(t, all.happened[what.name], "none: %s", what.name)
	}
	for _, what := range []string{harness.EffectChanged, "fuse-opened", "click-in", "click-out"} {
		assert.Positive(t, all.happened[what], "none: %s", what)
	}
}
