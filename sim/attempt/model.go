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
	moved     []bool   // see Sight.Moved
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
	kelvin   []float64    // of lamps: their filaments, followed from one steady state to the next
	heats    [][2]float64 // of what warms: between what its heat lies
	drawn    float64      // the share of a battery's charge that has gone in or out without being counted
	unrest   float64      // seconds until the last of what lasts is over
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

// Sight is what a Model shows after one action. It belongs to the Model and is overwritten by the next.
type Sight struct {
	// Effects are those of the harness's components, in their order.
	Effects []device.Effect
	// Clicked tells for each component whether it moved with a click.
	Clicked []bool
	// Switched is what in the harness's components and the tools is one thing or another and not by degree, such as whether a fuse is
	// open (device.Switched).
	Switched []bool
	// Meter is what the multimeter would show were it ideal and had it only one range: volts, ohms (its own leads counted) or
	// amperes; +Inf for an open circuit in ohms. NaN when it shows nothing.
	Meter float64
	// Feeble says that Meter rests on a linear equivalent that a diode may make wrong; an Exact model connects the meter.
	Feeble bool
	// Foreign is the voltage that stands between the leads of the meter when it is turned to ohms or continuity.
	Foreign float64
	// Drawn says that the meter has met a voltage in ohms since its leads and its dial were moved last, or puts one of its own on what may be an input
	// of a unit: what it draws or gives may be holding something, such as a relay. Of an Exact model, which connects the meter, it says nothing.
	Drawn bool
	// Lamp is the test lamp's light; its word is "" when it is not connected.
	Lamp device.Effect
	// MeterFuse and JumperFuse tell that the tool's own fuse is open.
	MeterFuse, JumperFuse bool
	// Clamp is what a clamp would show, NaN when it is around nothing, and ClampSlack how far its zero may be off. Logic is what the logic probe
	// would show, "" when that is not known.
	Clamp, ClampSlack float64
	Logic             string
	// Seen is what an inspection shows, as in Observation.
	Seen []string
	// Restless says that the circuit does not come to rest, so that nothing above is sure.
	Restless bool
	// Stirs is how often something happened during the action that a person would notice; of a model that is not exact, ManyStirs where
	// it is restless, else 0.
	Stirs int
	// Wavers says that in this action something came and went, or went and came back. Only an Exact model tells.
	Wavers bool
	// Swarms says that in this action something came and went so often that a person would have been told that it goes on and on
	// (EventChatter), and so in every circuit that differs from this by little. Only an Exact model tells.
	Swarms bool
	// Astir tells for each component whether it has come and gone again and again of late, so that what it does at the end is chance. Only an
	// Exact model tells.
	Astir []bool
	// Moved tells for each component whether what it does changed at all during the action, however briefly, or whether it went on for too short to
	// know. Only an Exact model tells; of another it is nil.
	Moved []bool
	// Chances tells for each component how far where it stands is chance (device.Wiper.Chance). Only an Exact model tells.
	Chances []device.Chance
	// Else is what the meter would show had a wiper that may have stopped anywhere come to the other side of the edge of its park sector, where
	// that does not change whether it is driven: then all else is the same, whether it stands or creeps. NaN where this is not so or not known.
	Else float64
	// AtOnce says that all this is what the circuit comes to while a person looks, if it comes to it in one way (Model.OneWay).
	AtOnce bool
	// Kelvin are the temperatures of the filaments of lamps, and Heats between what those of coils and heaters lie (device.Warming), in the order of
	// the harness; Unrest is for how many seconds anything else may still be on its way. Still says that nothing is, but filaments that cool in
	// the dark and heats that are known. Of an Exact model they say nothing.
	Kelvin []float64
	Heats  [][2]float64
	Unrest float64
	Still  bool
	// Blown tells which of the vehicle's fuses are open, Loaded which carry more than their rating, and Doubts of which it is not sure whether
	// they are open. Of an Exact model they say nothing.
	Blown, Loaded, Doubts []bool
	// ToolStrained says that the fuse of a tool carries more than its rating, or that it is not sure whether it has opened.
	ToolStrained bool
	// Strained says that a fuse of the vehicle or of a tool carries more than its rating and has not opened.
	Strained bool
	// Charges are those of the batteries, 0 to 1, once the vehicle has stood for a time; nil before, when no more has been drawn from them than a
	// job takes. Adrift says that another model that goes through time may have come to others.
	Charges []float64
	Adrift  bool
	// Drained says that so much has gone into or out of a battery since that its voltage is another. Of an Exact model it says nothing.
	Drained bool
	// Doubtful says that since Suppose a fuse of the vehicle or of a tool has carried so much for so long that it is not sure whether it
	// opened, or which of two did: only an Exact model tells.
	Doubtful bool
}

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
			m.fuses = append(m.fuses, fuseAt{c.ID, harness.Limb("cavity " + c.ID + "." + c.Cavities[0].Number)})
		}
	}
	for _, k := range m.kinds {
		m.remembers = m.remembers || !slices.Contains(plainKinds[:], k)
	}
	m.strains = make([]strain, len(m.fuses))
	n := len(ex.Harness.Components)
	m.sight = Sight{Effects: make([]device.Effect, n), Clicked: make([]bool, n), Astir: make([]bool, n), Chances: make([]device.Chance, n)}
	m.before, m.stirs, m.moved = make([]bool, n), make([]int, n), make([]bool, n)
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
	m.otherDoubt, m.adrift, m.sight.Drawn, m.drawn, m.unresting = false, false, false, 0, false
	if m.exact {
		if err := w.m.Settle(); err != nil && !errors.Is(err, harness.ErrRestless) {
			return err
		}
	}
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
	var err error
	if m.still, err = m.w.m.Quiet(); err == nil {
		m.strain(seconds)
	}
	steady := m.stands(seconds)
	switch {
	case err != nil:
	case steady:
		m.still -= seconds
		m.w.m.Idle(seconds)
	default:
		if _, err = m.w.m.Hold(seconds); err == nil {
			m.still, err = m.w.m.Quiet()
		}
	}
	if errors.Is(err, harness.ErrRestless) {
		m.roam(seconds)
		return nil
	}
	m.follow(seconds, steady)
	return err
}

// roam lets seconds pass without rest.
func (m *Model) roam(seconds float64) {
	m.sight.Restless, m.sight.Stirs, m.still, m.unresting = true, ManyStirs, 0, true
	m.follow(seconds, false)
}

// lag is by how many seconds, at the least, what follows a timer comes later than from one steady state to the next: a unit believes only what has
// stayed for so long (device.Module).
const lag = 0.02

// stands reports whether the present steady state stands for so long.
func (m *Model) stands(seconds float64) bool {
	return m.still > seconds || m.still > 0 && m.still+lag > seconds
}

// through lets seconds pass as the attempt does; of a hasty model no more than it takes to swarm.
func (m *Model) through(seconds float64) error {
	var enough func([]harness.Event) bool
	if m.hasty {
		stirs := slices.Clone(m.stirs)
		enough = func(more []harness.Event) bool {
			m.count(more, stirs)
			return swarms(stirs)
		}
	}
	for {
		var events []harness.Event
		var err error
		passed := seconds
		switch {
		case enough != nil:
			events, passed, err = m.w.m.RunUntil(seconds, enough)
		case seconds > longSeconds:
			events, err = m.w.m.RunOn(seconds)
		default:
			events, err = m.w.m.Run(seconds)
		}
		if err != nil {
			return err
		}
		m.sight.Restless = m.w.m.Restless() != ""
		for i, moved := range m.w.m.Moved() {
			m.moved[i] = m.moved[i] || moved
		}
		m.sight.Stirs += m.count(events, m.stirs)
		if seconds -= passed; !(seconds > 0) {
			return nil
		}
		if m.sight.Restless && swarms(m.stirs) {
			m.brief = true
			return nil
		}
		enough = nil // much has happened, but not on and on
	}
}

// count adds to stirs, by component, what a person would notice of events, and returns how many those are.
func (m *Model) count(events []harness.Event, stirs []int) (n int) {
	for _, e := range events {
		if !e.Loud && e.What != harness.EffectChanged {
			continue
		}
		n++
		if i := m.component(e.Component); i >= 0 {
			stirs[i]++
			m.sight.Wavers = m.sight.Wavers || e.What == harness.EffectChanged && e.Word == m.words[i]
		}
	}
	return n
}

// longSeconds is how long a wait must be, in seconds, for what repeats itself in it not to be gone through to the end.
const longSeconds = 4.0

// Hasty makes an Exact model cut a wait short once it Swarms. It is for whoever wants to know no more than that.
func (m *Model) Hasty(on bool) { m.hasty = on }

// swarms reports whether a component has stirred so often that what it does swarms.
func swarms(stirs []int) bool {
	return slices.ContainsFunc(stirs, func(n int) bool { return n >= swarm })
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
			m.unrest, m.rested = 0, false
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
	return m.w.m.Device(m.w.ex.Harness.Components[i].ID).(*device.Relay)
}

// look reads everything off the settled machine.
func (m *Model) look() {
	w, s := m.w, &m.sight
	for i, c := range w.ex.Harness.Components {
		s.Effects[i] = w.m.EffectOf(c.ID)
	}
	for _, i := range m.relays {
		s.Clicked[i] = m.relay(i).PulledIn() != m.before[i]
	}
	s.Meter, s.Foreign = m.reading()
	s.Lamp = w.bench.LampEffect(w.m)
	s.Clamp, s.ClampSlack = w.bench.IdealClamp(w.m)
	s.Logic = w.bench.IdealLogic(w.m)
	s.MeterFuse, s.JumperFuse = w.bench.Blown(meter.Multimeter), w.bench.Blown(meter.Jumper)
	if s.Charges, s.Adrift = nil, m.adrift; w.m.Stood() > 0 {
		s.Charges = w.m.Charges()
	}
	s.Switched = append(s.Switched[:0], s.MeterFuse, s.JumperFuse)
	for _, c := range w.ex.Harness.Components {
		s.Switched = append(s.Switched, device.Switched(w.m.Device(c.ID))...)
	}
	s.Moved = nil
	if m.exact {
		s.Moved = m.moved
		for i := range m.moved {
			m.moved[i] = m.moved[i] || m.brief
		}
		m.chances()
		s.Else = m.elsewhere()
		s.Swarms = swarms(m.stirs)
	} else {
		s.Drawn = s.Drawn || math.Abs(s.Foreign) > meter.LiveVolts || m.pushes()
		s.AtOnce = m.atOnce(s)
		m.doubt()
		m.stillness()
	}
}

// pushOhms is the resistance below which the meter's test current makes no voltage that a unit would notice: 20 mV, a fifth of the least hysteresis
// that harness files give.
const pushOhms = 20.0

// pushes reports whether the meter in ohms, continuity or diode test puts a voltage on what may be an input of a unit.
func (m *Model) pushes() bool {
	switch m.w.bench.Function() {
	case meter.Ohms, meter.Continuity, meter.Diode:
	default:
		return false
	}
	ends := m.w.bench.Leads(meter.Multimeter)
	return ends[0] != "" && ends[1] != "" && !(m.sight.Meter < pushOhms) && slices.Contains(m.kinds, "module")
}

// elsewhere returns what Sight.Else is to be, and leaves the circuit as it is now in time.
func (m *Model) elsewhere() float64 {
	for i, c := range m.w.ex.Harness.Components {
		wiper, ok := m.w.m.Device(c.ID).(*device.Wiper)
		if !ok || m.sight.Chances[i] != device.ChanceLasting || math.IsNaN(m.sight.Meter) {
			continue
		}
		was, strives := wiper.State(), wiper.Strives(m.w.m.Solver())
		wiper.Elsewhere()
		err := m.w.m.Instant()
		shown := math.NaN()
		if err == nil && wiper.Strives(m.w.m.Solver()) == strives {
			shown = m.w.bench.Direct(m.w.m)
		}
		wiper.SetState(was)
		if back := m.w.m.Instant(); err != nil || back != nil {
			return math.NaN()
		}
		return shown
	}
	return math.NaN()
}

// chances fills in those of an exact model. Where a wiper stopped by chance it stands so until it turns as it should.
func (m *Model) chances() {
	for i, c := range m.w.ex.Harness.Components {
		wiper, ok := m.w.m.Device(c.ID).(*device.Wiper)
		if !ok {
			continue
		}
		now, was := wiper.Chance(m.w.m.Solver()), m.sight.Chances[i]
		if now == device.ChanceKept && was == device.ChanceLasting {
			now = was
		}
		m.sight.Chances[i] = now
	}
}

// reading is what the multimeter would show. An ohmmeter on a live circuit is a load that may light a filament or hold a relay;
// only an exact model connects it.
func (m *Model) reading() (value, foreign float64) {
	w := m.w
	if !m.exact {
		var err error
		if value, foreign, err = w.bench.Ideal(w.m); err != nil {
			m.otherDoubt, value = true, math.NaN()
		}
		m.sight.Feeble = w.bench.Feeble(w.m)
		return value, foreign
	}
	if m.sight.Restless { // nothing that is shown is sure
		return math.NaN(), math.NaN()
	}
	shown, err := w.bench.Read(w.m)
	if err != nil {
		m.sight.Restless = true
	}
	d, on := shown[meter.Multimeter]
	if slices.Contains(d.Words, meter.LiveWord) {
		foreign = math.Inf(1)
	}
	switch {
	case !on || w.bench.Unknown() || d.Text == meter.Blank:
		return math.NaN(), foreign
	case !d.Valid:
		return w.bench.Beyond(w.m), foreign
	}
	return d.Value, foreign
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
