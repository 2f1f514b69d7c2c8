package attempt

import (
	"math"
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/meter"
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
	// Sensed is what the harness's control units make of their inputs (device.Sensed).
	Sensed []bool
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
	// Stirring tells for each component whether something that a person would notice happened to it ManyStirs times or more during the action. Only an
	// Exact model tells; of another it is nil.
	Stirring []bool
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
	// the harness; Unrest is for how many seconds anything else but motors may still be on its way, and Unchanged for how many nothing has changed,
	// however fuses in doubt have turned out. Still says that nothing is on its way, but filaments that cool in the dark and heats that are
	// known; StillAsTold says so if motors did what was told of them before the circuit changed last. Of an Exact model they say nothing.
	Kelvin             []float64
	Heats              [][2]float64
	Unrest, Unchanged  float64
	Still, StillAsTold bool
	// Cycling says that a breaker that closes again by itself is open, or carries so much that it may open: when depends on when it began.
	Cycling bool
	// Blown tells which of the vehicle's fuses are open, Loaded which carry more than their rating, and Doubts of which it is not sure whether
	// they are open. Of an Exact model they say nothing.
	Blown, Loaded, Doubts []bool
	// ToolStrained says that the fuse of a tool carries more than its rating, or that it is not sure whether it has opened.
	ToolStrained bool
	// Strained says that a fuse of the vehicle or of a tool carries more than its rating and has not opened.
	Strained bool
	// Charges are those of the batteries, 0 to 1. Adrift says that when the vehicle stood for a time another model that goes through time may have
	// come to others.
	Charges []float64
	Adrift  bool
	// Drained says that so much may have gone into or out of a battery without being counted that its voltage is another. Of an Exact model it
	// says nothing.
	Drained bool
	// Doubtful says that since Suppose a fuse of the vehicle or of a tool has carried so much for so long that it is not sure whether it
	// opened, or which of two did: only an Exact model tells.
	Doubtful bool
}

// look reads everything off the settled machine.
func (m *Model) look() {
	w, s := m.w, &m.sight
	for i := range w.ex.Harness.Components {
		s.Effects[i] = w.m.EffectAt(i)
	}
	for _, i := range m.relays {
		s.Clicked[i] = m.heard[i] || m.relay(i).PulledIn() != m.before[i]
	}
	s.Meter, s.Foreign = m.reading()
	s.Lamp = w.bench.LampEffect(w.m)
	s.Clamp, s.ClampSlack = w.bench.IdealClamp(w.m)
	s.Logic = w.bench.IdealLogic(w.m)
	s.MeterFuse, s.JumperFuse = w.bench.Blown(meter.Multimeter), w.bench.Blown(meter.Jumper)
	s.Charges, s.Adrift = w.m.Charges(), m.adrift
	s.Switched, s.Sensed = append(s.Switched[:0], s.MeterFuse, s.JumperFuse), s.Sensed[:0]
	for i := range w.ex.Harness.Components {
		d := w.m.Component(i)
		s.Switched, s.Sensed = append(s.Switched, device.Switched(d)...), append(s.Sensed, device.Sensed(d)...)
	}
	s.Moved, s.Stirring, s.Cycling = nil, nil, m.busy()
	if m.exact {
		s.Moved, s.Stirring = m.moved, m.stirring
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

// Cyclers returns which of Sight.Switched tell whether a breaker that closes again by itself is open.
func (m *Model) Cyclers() []int {
	var out []int
	at := 2 // the fuses of the tools come first
	for _, c := range m.w.ex.Harness.Components {
		d := m.w.m.Device(c.ID)
		n := len(device.Switched(d))
		if _, ok := d.(*device.Breaker); ok {
			for i := range n {
				out = append(out, at+i)
			}
		}
		at += n
	}
	return out
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
	var shown map[meter.Tool]meter.Display
	if !m.sight.Restless || w.bench.Ranging() {
		var err error
		if shown, err = w.bench.Read(w.m); err != nil {
			m.sight.Restless = true
		}
	}
	if m.sight.Restless { // nothing that is shown is sure
		w.bench.Unread()
		return math.NaN(), math.NaN()
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

// Clone returns a copy that the Model does not overwrite.
func (s *Sight) Clone() Sight {
	c := *s
	c.Effects, c.Clicked = slices.Clone(s.Effects), slices.Clone(s.Clicked)
	c.Astir, c.Switched, c.Seen = slices.Clone(s.Astir), slices.Clone(s.Switched), slices.Clone(s.Seen)
	c.Sensed = slices.Clone(s.Sensed)
	c.Moved, c.Stirring = slices.Clone(s.Moved), slices.Clone(s.Stirring)
	c.Kelvin, c.Heats, c.Blown = slices.Clone(s.Kelvin), slices.Clone(s.Heats), slices.Clone(s.Blown)
	c.Charges, c.Chances = slices.Clone(s.Charges), slices.Clone(s.Chances)
	c.Loaded, c.Doubts = slices.Clone(s.Loaded), slices.Clone(s.Doubts)
	return c
}

// remembered returns of a sight what the next depends on: what was noticed, what has come and gone and where things stand by chance. Of the rest only
// what is no slice.
func (s *Sight) remembered() Sight {
	c := *s
	c.unlisted(&Sight{})
	c.Effects, c.Astir, c.Chances = slices.Clone(s.Effects), slices.Clone(s.Astir), slices.Clone(s.Chances)
	return c
}

// recall makes a sight one that was remembered, in the slices that it has.
func (s *Sight) recall(from *Sight) {
	was := *s
	*s = *from
	s.unlisted(&was)
	s.Moved, s.Stirring = nil, nil
	s.Effects = append(was.Effects[:0], from.Effects...)
	s.Astir, s.Chances = append(was.Astir[:0], from.Astir...), append(was.Chances[:0], from.Chances...)
}

// unlisted gives a sight the slices of another that are written anew each time.
func (s *Sight) unlisted(from *Sight) {
	s.Clicked, s.Switched, s.Sensed, s.Seen = from.Clicked, from.Switched, from.Sensed, from.Seen
	s.Kelvin, s.Heats, s.Blown, s.Loaded, s.Doubts = from.Kelvin, from.Heats, from.Blown, from.Loaded, from.Doubts
	s.Charges, s.Moved, s.Stirring = from.Charges, from.Moved, from.Stirring
}
