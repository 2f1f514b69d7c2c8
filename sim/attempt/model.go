package attempt

import (
	"errors"
	"math"
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Model is the vehicle of an exercise with faults that are only supposed: it tells what each action of an attempt would
// have shown if they were the true ones. It goes from one steady state to the next (harness.Machine.Hold) instead of
// through time, and reads meters from the circuit's Thevenin equivalent instead of attaching them, so that thousands of
// faults can be tried against an attempt.
//
// What it tells differs from the attempt by what moves between two steady states, such as an inrush, and by the meter's
// calibration. It is not safe for concurrent use.
type Model struct {
	w         *world
	fresh     *harness.Snapshot
	kinds     []string // of components, in the harness's order
	relays    []int    // components that click
	fuses     []fuseAt
	exact     bool
	prompt    bool    // see isPrompt
	still     float64 // seconds that the present steady state can stand
	unresting bool    // there is no steady state, and nothing has changed since that was found
	sight     Sight
	before    []bool   // of relays
	heard     []bool   // of relays: that they clicked before the vehicle stood in this action
	moved     []bool   // see Sight.Moved
	stirring  []bool   // see Sight.Stirring
	words     []string // by component: what it was seen to do before this action
	stirs     []int    // by component: how often it has done something noticed in this action

	strains    []strain // by fuse
	otherDoubt bool     // whether a tool's fuse is in doubt
	rested     bool     // the vehicle has stood in this action, so that nothing in it moves
	stirred    bool     // the circuit may have changed since seconds passed last
	remembers  bool     // a component's steady state depends on more than relays and fuses
	adrift     bool     // the battery has stood in a circuit of which it is not known that it drew what this model thinks

	lamps    []*device.Lamp
	lasting  []device.Lasting
	turning  []device.Turning
	starting []device.Starting
	breakers []*device.Breaker // that reset themselves
	started  [][]float64       // the states of these before an action
	timed    []device.Timed
	warming  []device.Warming
	spinning []device.Spinning
	kelvin   []float64    // of lamps: their filaments, followed from one steady state to the next
	heats    [][2]float64 // of what warms: between what its heat lies
	spins    []spun       // of motors
	lags     float64      // seconds for which these may still follow what was before
	drawn    float64      // by how much of a full charge a battery's may be off
	ago      float64      // seconds since the circuit has changed last
	sure     float64      // seconds since it has been sure of every fuse whether it opens, as far as that is not in doubt for good
	least    float64      // seconds for which something may be on its way at least, however long ago that was
	present  int          // resistances that come and go and are there
	hasty    bool         // a wait may be cut short once the sight would swarm
	brief    bool         // this action went on, or was gone through, for less than it takes to know what does not move
}

const (
	// ManyStirs is how often something must happen in one action for it to be noticed as going on and on: two whole cycles of a relay.
	ManyStirs = 4
	// swarm is how often a component must do something noticed for a person to be told so, three times over: mostAlike of each of the two
	// kinds of event that it may be.
	swarm = 3 * 2 * mostAlike
)

// NewModel returns the model of an exercise, with nothing supposed yet: Suppose comes first. The faults of the exercise
// itself are not looked at.
func NewModel(ex Exercise) (*Model, error) {
	own := ex
	own.Faults = nil
	w, err := newWorld(&own)
	if err != nil {
		return nil, err
	}
	if w.m, err = harness.NewMachine(ex.Harness); err != nil {
		return nil, err
	}
	if err := w.m.Prepare(); err != nil {
		return nil, err
	}
	if err := w.m.Settle(); err != nil && !errors.Is(err, harness.ErrRestless) {
		return nil, err
	}
	m := &Model{w: w, fresh: w.m.Snapshot()}
	for i, c := range ex.Harness.Components {
		m.kinds = append(m.kinds, c.Spec.Kind)
		if _, ok := w.m.Device(c.ID).(*device.Relay); ok {
			m.relays = append(m.relays, i)
		}
	}
	m.prompt = isPrompt(m.kinds)
	m.parts()
	for _, c := range ex.Harness.Connectors {
		if c.Mount == harness.Holder && len(c.Cavities) > 0 {
			m.fuses = append(m.fuses, fuseAt{m.component(c.Component), harness.Limb("cavity " + c.ID + "." + c.Cavities[0].Number)})
		}
	}
	for _, k := range m.kinds {
		m.remembers = m.remembers || !slices.Contains(plainKinds[:], k)
	}
	m.strains = make([]strain, len(m.fuses))
	n := len(ex.Harness.Components)
	m.sight = Sight{Effects: make([]device.Effect, n), Clicked: make([]bool, n), Astir: make([]bool, n), Chances: make([]device.Chance, n)}
	m.before, m.stirs, m.moved, m.stirring = make([]bool, n), make([]int, n), make([]bool, n), make([]bool, n)
	m.heard = make([]bool, n)
	m.words = make([]string, n)
	return m, nil
}

// Kinds returns the kinds of the harness's components, in their order.
func (m *Model) Kinds() []string { return m.kinds }

// Suppose begins again as on arrival, with exactly these faults in.
func (m *Model) Suppose(faults ...fault.Fault) error {
	w := m.w
	if err := w.m.Restore(m.fresh); err != nil {
		return err
	}
	w.bench.Clear()
	w.faults = append(w.faults[:0], faults...)
	w.ticks = 0
	if err := w.alter(); err != nil {
		return err
	}
	m.sight.Doubtful, m.sight.Strained = false, false
	clear(m.sight.Chances)
	clear(m.sight.Astir)
	clear(m.strains)
	clear(m.stirs)
	clear(m.heard)
	m.otherDoubt, m.adrift, m.sight.Drawn, m.drawn, m.unresting = false, false, false, 0, false
	if err := m.hold(arrivalStood); err != nil {
		return err
	}
	m.quieten()
	m.look()
	return nil
}

// Exact makes the model go through time as the attempt does, inrush and all, which takes a hundred times longer.
func (m *Model) Exact(on bool) { m.exact = on }

// hold lets seconds pass from one steady state to the next.
func (m *Model) hold(seconds float64) error {
	m.sight.Restless = false
	if m.exact {
		return m.through(seconds)
	}
	if m.unresting {
		m.roam(seconds)
		return nil
	}
	for {
		rest, err := m.pass(seconds)
		if errors.Is(err, harness.ErrRestless) {
			m.roam(seconds)
			return nil
		}
		if seconds = rest; err != nil || !(seconds > 0) {
			return err
		}
	}
}

// pass lets seconds pass from one steady state to the next, no longer than a battery's voltage stays what it is if that is all that
// changes. It returns how many are left.
func (m *Model) pass(seconds float64) (left float64, err error) {
	if m.still, err = m.w.m.Quiet(); err != nil {
		return seconds, err
	}
	if m.w.m.Marched() {
		m.lose(m.slack())
	}
	steady := m.stands(seconds)
	if grain := m.w.m.Grain(); !steady && m.still >= grain {
		seconds, left, steady = grain, seconds-grain, true
	}
	m.strain(seconds)
	if steady {
		m.still -= seconds
		m.w.m.Idle(seconds)
	} else {
		if _, err = m.w.m.Hold(seconds); err == nil {
			m.still, err = m.w.m.Quiet()
		}
		if err != nil {
			return seconds, err
		}
	}
	m.follow(seconds, steady)
	return left, nil
}

// roam lets seconds pass without rest.
func (m *Model) roam(seconds float64) {
	m.sight.Restless, m.sight.Stirs, m.still, m.unresting = true, ManyStirs, 0, true
	m.follow(seconds, false)
	m.ago = 0
	m.lose(lateSeconds)
}

// lag is by how many seconds, at the least, what follows a timer comes later than from one steady state to the next: a unit believes only what has
// stayed for so long (device.Module).
const lag = 0.02

// stands reports whether the present steady state stands for so long.
func (m *Model) stands(seconds float64) bool {
	return m.still > seconds || m.still > 0 && m.still+lag > seconds
}

// rest lets seconds pass in which nothing is done.
func (m *Model) rest(seconds float64) error {
	if !m.exact && m.stands(seconds) {
		m.still -= seconds
		m.strain(seconds)
		m.w.m.Idle(seconds)
		m.follow(seconds, true)
		return nil
	}
	return m.hold(seconds)
}

// unmovedSeconds is for how long, in seconds, something that comes and goes must have gone on before what has not moved with it counts as not
// moved by it: some tens of cycles of a relay or a control unit that starts anew.
const unmovedSeconds = 1.0

// Take does the action of a record, in the time that it took, and returns what would be shown. A refused action only lets time
// pass.
func (m *Model) Take(rec Record) (*Sight, error) {
	w := m.w
	whole := rec.Observation.Ticks - rec.Ticks
	after := min(whole, int64(watching/Tick))
	if _, waits := rec.Action.(Wait); waits {
		after = whole
	}
	for _, i := range m.relays {
		m.before[i] = m.relay(i).PulledIn()
		m.sight.Clicked[i] = false
	}
	m.sight.Restless, m.sight.Stirs, m.sight.Wavers = false, 0, false
	clear(m.stirs)
	clear(m.moved)
	clear(m.heard)
	m.brief = float64(whole)*Tick < unmovedSeconds
	for i, e := range m.sight.Effects {
		m.words[i] = e.Word
	}
	let, err := w.release()
	if err != nil {
		return nil, err
	}
	pass := m.rest
	if let {
		m.present = w.m.Present()
		m.stir()
		pass = m.hold
	}
	if err := pass(float64(whole-after) * Tick); err != nil {
		return nil, err
	}
	restless := m.sight.Restless
	letGo := m.sight.Drawn && movesMeter(rec) // of what the meter may have held
	m.sight.Drawn = m.sight.Drawn && !letGo
	m.sight.Seen = m.sight.Seen[:0]
	if rec.Observation.Refused == "" {
		if key, ok := rec.Action.(Relative); ok {
			w.bench.SupposeRelative(key.On)
		} else if err := m.apply(rec.Action); err != nil {
			return nil, err
		}
		m.present = w.m.Present() // what a hand or a control has made come or go did so at this moment
		switch act := rec.Action.(type) {
		case Inspect:
			m.sight.Seen = w.seen(act.Place)
		case Repair:
			for _, i := range m.relays {
				m.before[i] = m.relay(i).PulledIn() // a new one has not clicked yet
			}
			m.parts()
			m.cool()
		case FitFuse:
			m.cool()
		}
	}
	m.poise()
	connect := w.bench.ConnectLoads
	if m.exact {
		connect = w.bench.Connect
	}
	if err := connect(w.m); err != nil {
		return nil, err
	}
	pass = m.hold
	if m.Changes(rec) || letGo {
		if m.stir(); m.rested {
			m.calm()
			m.rested = false
		}
	} else {
		pass = m.rest
	}
	if err := pass(float64(after) * Tick); err != nil {
		return nil, err
	}
	if m.Changes(rec) {
		if err := m.start(); err != nil {
			return nil, err
		}
	}
	m.sight.Restless = m.sight.Restless || restless
	for i, n := range m.stirs {
		m.stirring[i] = n >= ManyStirs
		m.sight.Astir[i] = n >= ManyStirs || n > 0 && m.sight.Astir[i]
	}
	m.look()
	return &m.sight, nil
}

// movesMeter reports whether a record moves a lead of the multimeter or its dial.
func movesMeter(rec Record) bool {
	if rec.Observation.Refused != "" {
		return false
	}
	switch act := rec.Action.(type) {
	case Lead:
		return act.Tool == meter.Multimeter
	case Dial:
		return true
	}
	return false
}

// Changes reports whether the action of a record that has just been taken can have changed what the circuit does.
func (m *Model) Changes(rec Record) bool {
	if rec.Observation.Refused != "" {
		return false
	}
	switch act := rec.Action.(type) {
	case Mark, Study, Ask, Find, Inspect, OpenLoom, CloseLoom, Wait, Close, Relative, Capture, Zero, Sweep:
		return false
	case Lead:
		switch act.Tool {
		case meter.Multimeter:
			return m.w.bench.Attached()
		case meter.Clamp, meter.LogicProbe, meter.TraceView, meter.Reader:
			return false
		}
	}
	return true
}

// component returns the index of a component, -1 for none.
func (m *Model) component(id string) int {
	return slices.IndexFunc(m.w.ex.Harness.Components, func(c harness.Component) bool { return c.ID == id })
}

func (m *Model) relay(i int) *device.Relay {
	return m.w.m.Component(i).(*device.Relay)
}

// Volts returns the voltage of a point against the body, NaN for one that is not there.
func (m *Model) Volts(p harness.Point) float64 { return m.w.m.Volts(p) }

// Potentials returns the voltages of all points, as harness.Machine.Potentials does.
func (m *Model) Potentials() []float64 { return m.w.m.Potentials() }

// Between returns what an ideal meter at two points would show in volts and in ohms, its 10 MΩ and its leads counted, and the
// foreign voltage that ohms would meet.
func (m *Model) Between(red, black harness.Point) (volts, ohms, foreign float64) {
	v, r := m.w.m.Thevenin(red, black)
	if math.IsNaN(v) {
		return v, v, v
	}
	volts = v * meter.InputOhms / (meter.InputOhms + r)
	return volts, r + meter.LeadOhms, volts
}

// Machine is the model's own machine, for planning: to put controls and plugs where a test would need them. Suppose undoes
// whatever is done to it.
func (m *Model) Machine() *harness.Machine { return m.w.m }
