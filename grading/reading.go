package grading

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// measure is a reading that can be taken: a function of the multimeter and the points of its leads, as indexes into the harness's
// points; or the current in a wire, by the clamp: then f is Amps, red the index of the wire, and black none; or the light of the test lamp
// between two points: then f is Off.
type measure struct {
	f          meter.Function
	red, black int
}

// none is the index of no point.
const none = -1

// clamped reports whether a measure is the clamp's, lit whether it is the test lamp's.
func (m measure) clamped() bool { return m.black == none }
func (m measure) lit() bool     { return m.f == meter.Off }

// tool is what a measure with two ends is taken with.
func (m measure) tool() meter.Tool {
	if m.lit() {
		return meter.TestLamp
	}
	return meter.Multimeter
}

// setting is a stance that can be reached from where the attempt is, with what it would show.
type setting struct {
	stance
	plan    *route
	seen    bool      // the attempt has been in this stance: what the vehicle does there is known
	words   []int     // by circuit: which of told it shows
	told    []picture // what the vehicle may be noticed doing
	menu    []measure
	wanted  []bool      // by measure: whether to foresee it, nil for all
	values  [][]float64 // by measure, then by circuit; nil where the measure may not be taken
	inspect []string    // places to look at
	sights  [][]int     // by place, then by suspect: which of shown it shows
	shown   [][]string
}

// picture is what a person would notice of the vehicle: a word for each component, and which relays clicked.
type picture struct {
	words  []string
	clicks []bool
}

// menu lists what can be measured in a stance, in a fixed order.
func (l *lab) menu(s stance) ([]measure, error) {
	key := s.open()
	if l.dead(s) {
		key += "dead"
	}
	if m, ok := l.menus[key]; ok {
		return m, nil
	}
	reach, err := l.reach(s)
	if err != nil {
		return nil, err
	}
	var out []measure
	known := map[measure]bool{}
	add := func(f meter.Function, p, q harness.Point) {
		i, ok := l.index[p]
		k, too := l.index[q]
		if f == meter.Off || !ok || !too || i == k || !reach[i] || !reach[k] || known[measure{f, i, k}] || known[measure{f, k, i}] {
			return
		}
		known[measure{f, i, k}] = true
		out = append(out, measure{f, i, k})
	}
	for _, info := range l.infos {
		add(l.volts, info.Point, harness.Body)
	}
	add(l.volts, l.supply[0], l.supply[1])
	for i, c := range l.h.Connectors {
		if s.parted[i] {
			continue
		}
		for _, cav := range c.Cavities {
			add(l.volts, harness.CavityPoint(c.ID, cav.Number, "a"), harness.CavityPoint(c.ID, cav.Number, "b"))
		}
	}
	ends := l.h.AllEnds()
	for _, e := range ends {
		add(l.volts, e[0], e[1])
	}
	for _, info := range l.infos {
		switch info.Kind {
		case harness.GroundRing:
			add(l.volts, info.Point, harness.Point(info.Ground))
		case harness.PostRing:
			add(l.volts, info.Point, harness.Point(info.Component+"."+info.Terminal))
		case harness.CavityHalf:
			add(l.volts, l.supply[0], info.Point)
		}
	}
	across := l.across()
	for _, e := range across {
		add(l.volts, e[0], e[1])
	}
	if l.fore != nil {
		plus := l.index[l.supply[0]]
		body := l.index[harness.Body]
		for i, info := range l.infos {
			for _, other := range [2]int{body, plus} {
				if i != other && reach[i] && reach[other] && info.Kind != harness.BodyMetal {
					out = append(out, measure{meter.Off, i, other})
				}
			}
		}
	}
	if l.clamp {
		for i := range l.h.Wires {
			out = append(out, measure{meter.Amps, i, none})
		}
	}
	if l.dead(s) {
		for _, info := range l.infos {
			add(l.ohms, info.Point, harness.Body)
		}
		for _, e := range append(across, ends...) {
			add(l.ohms, e[0], e[1])
		}
	}
	l.menus[key] = out
	return out, nil
}

// dead reports whether ohms may be measured in a stance by the trade's rule: everything switched off, or a fuse pulled. Whether
// the place measured is without voltage is another question.
func (l *lab) dead(s stance) bool {
	for i, c := range l.h.Connectors {
		if c.Mount == harness.Holder && s.parted[i] {
			return true
		}
	}
	return slices.Equal(s.positions, l.rest())
}

// across lists the pairs of terminals of each component, on the loom's half and on its own.
func (l *lab) across() [][2]harness.Point {
	var out [][2]harness.Point
	for _, c := range l.h.Connectors {
		if c.Component == "" {
			continue
		}
		for _, half := range [2]string{"a", "b"} {
			for i, p := range c.Cavities {
				for _, q := range c.Cavities[:i] {
					out = append(out, [2]harness.Point{harness.CavityPoint(c.ID, q.Number, half), harness.CavityPoint(c.ID, p.Number, half)})
				}
			}
		}
	}
	return out
}

// foresee fills in what every circuit shows in a setting.
func (l *lab) foresee(s *setting, circuits []*circuit) error {
	var err error
	if s.hand == nil { // leads are placed with both hands
		if s.menu, err = l.menu(s.stance); err != nil {
			return err
		}
	}
	s.words = make([]int, len(circuits))
	s.values = make([][]float64, len(s.menu))
	flat := make([]float64, len(s.menu)*len(circuits))
	for i := range s.menu {
		if s.wanted == nil || s.wanted[i] {
			s.values[i] = flat[i*len(circuits) : (i+1)*len(circuits)]
		}
	}
	known := map[string]int{}
	var name []byte
	at := newPotentials(len(l.infos))
	for k, c := range circuits {
		rests := false
		if !c.wild {
			if rests, err = l.put(c, s.stance, s.plan.seconds); err != nil {
				return err
			}
		}
		if !rests {
			s.words[k] = -1
			for i := range s.values {
				if s.values[i] != nil {
					s.values[i][k] = math.NaN()
				}
			}
			continue
		}
		pic := l.picture(c)
		name = name[:0]
		for i, w := range pic.words {
			name = append(append(name, w...), byte(i))
		}
		for _, on := range pic.clicks {
			name = append(name, map[bool]byte{false: '.', true: 'x'}[on])
		}
		n, ok := known[string(name)]
		if !ok {
			n = len(s.told)
			known[string(name)] = n
			s.told = append(s.told, pic)
		}
		s.words[k] = n
		if len(s.menu) > 0 {
			at.take(l)
		}
		for i, m := range s.menu {
			if s.values[i] == nil {
				continue
			}
			v, live := at.read(l, m)
			if live { // ohms are measured only where no suspect would make the circuit live
				s.values[i] = nil
				continue
			}
			s.values[i][k] = v
		}
	}
	return nil
}

// picture reads off the machine what would be noticed of it.
func (l *lab) picture(c *circuit) picture {
	p := picture{words: make([]string, len(l.h.Components)), clicks: l.pulled()}
	for i := range p.clicks {
		p.clicks[i] = p.clicks[i] != c.clicks[i]
	}
	for i, comp := range l.h.Components {
		p.words[i] = l.m.EffectOf(comp.ID).Word
	}
	return p
}

// potentials are the voltage of every point against the body, and the resistance between them, in a machine's present state.
type potentials struct {
	volts, ohms []float64
	amps        []float64 // in every wire, where there is a clamp
	room        []float64 // scratch
}

func newPotentials(n int) *potentials {
	return &potentials{volts: make([]float64, n), ohms: make([]float64, n)}
}

// still is a voltage that no load of a meter brings to what tells: a two hundredth of partVolts.
const still = 1e-4

func (t *potentials) take(l *lab) {
	copy(t.volts, l.m.Potentials()) // the body, which is last, stays 0
	t.room = l.m.Resistances(t.room)
	copy(t.ohms, t.room)
	if l.clamp {
		t.amps = t.amps[:0]
		for _, w := range l.h.Wires {
			t.amps = append(t.amps, l.m.LimbAmps(harness.Limb(meter.WirePlace(w.ID))))
		}
	}
}

// openOhms stands for an open circuit: beyond the end of every range.
const openOhms = 1e9

// read returns what a measure shows. live says that it must not be taken in ohms.
func (t *potentials) read(l *lab, m measure) (value float64, live bool) {
	switch {
	case m.clamped():
		return t.amps[m.red], false
	case m.lit():
		return l.light(m), false
	}
	v, r, other := t.volts[m.red]-t.volts[m.black], t.ohms[m.red], t.ohms[m.black]
	toBody := l.infos[m.black].Kind == harness.BodyMetal
	tight := r < looseOhms && other < looseOhms
	if m.f == meter.Volts {
		switch {
		case toBody:
			return v * meter.InputOhms / (meter.InputOhms + r), false
		case tight || math.Abs(v) < still:
			return v, false
		case min(r, other) < looseOhms: // between two points lies no less than the difference and no more than the sum
			return v * meter.InputOhms / (meter.InputOhms + max(r, other)), false
		}
		v, r = l.m.Thevenin(l.infos[m.red].Point, l.infos[m.black].Point)
		return v * meter.InputOhms / (meter.InputOhms + r), false
	}
	const calm = meter.LiveVolts / liveMargin
	if tight && math.Abs(v) > calm {
		return 0, true
	}
	if far := math.Abs(r - other); !toBody && far > l.fullOhms && math.Abs(v)*meter.InputOhms/(meter.InputOhms+far) < calm {
		return openOhms, false
	}
	if !toBody {
		v, r = l.m.Thevenin(l.infos[m.red].Point, l.infos[m.black].Point)
	}
	if math.Abs(v*meter.InputOhms/(meter.InputOhms+r)) > calm {
		return 0, true
	}
	r += meter.LeadOhms
	if r > l.fullOhms || math.IsInf(r, 1) {
		return openOhms, false
	}
	return r, false
}

// surelyOther is how far apart two lights are that nobody takes for each other: more than half of the way from one word to the next.
const surelyOther = 0.75

// light foretells what the test lamp shows: 0 for off, 1 for dim and so on; between two of them where either may be said. NaN where it cannot
// be told.
func (l *lab) light(m measure) float64 {
	v, r := l.m.Thevenin(l.infos[m.red].Point, l.infos[m.black].Point)
	e, err := l.fore.Light(v, r)
	k, ok := device.Lookup("lamp")
	i := slices.Index(k.Words, e.Word)
	if err != nil || !ok || i < 0 {
		return math.NaN()
	}
	for _, n := range [2]int{i - 1, i + 1} {
		if n >= 0 && n < len(k.Words) && e.Plausible("lamp", k.Words[n]) {
			return float64(i+n) / 2
		}
	}
	return float64(i)
}

// lightWords puts what light has foretold into words.
func lightWords(lo, hi float64) string {
	k, _ := device.Lookup("lamp")
	a, b := k.Words[int(math.Floor(lo))], k.Words[int(math.Ceil(hi))]
	if a == b {
		return a
	}
	return a + " or " + b
}

// sep returns how far two predictions must lie apart for a reading to tell them apart, times of the tolerance within which a
// candidate is kept.
func (m measure) sep(v, times float64) float64 {
	if v >= openOhms {
		return openOhms / 2
	}
	part := partVolts
	if m.f != meter.Volts {
		part = partOhms
	}
	t := m.f.Tolerance(v)
	switch {
	case m.clamped():
		t, part = meter.ClampTolerance(v), partAmps
	case m.lit():
		return surelyOther
	}
	if math.IsInf(t, 1) {
		t = overMargin * math.Abs(v)
	}
	return times * (t + part + float64(partShareOf*math.Abs(v)))
}

// look fills in what looking at places would show: what lies apart shows itself, and so does what lies in the open.
func (l *lab) look(s *setting, suspects []suspect, circuits []*circuit, places []string) error {
	fuses, err := l.fuses(circuits)
	if err == nil {
		l.lookAt(s, suspects, fuses, places)
	}
	return err
}

// lookAt is look where it is known what the fuses in each circuit look like.
func (l *lab) lookAt(s *setting, suspects []suspect, fuses [][]fuseLook, places []string) {
	parted := func(id string) bool {
		return s.parted[slices.IndexFunc(l.h.Connectors, func(c harness.Connector) bool { return c.ID == id })]
	}
	opened := func(id string) bool {
		return s.opened[slices.IndexFunc(l.h.Splices, func(c harness.Splice) bool { return c.ID == id })]
	}
	for _, place := range places {
		known := map[string]int{}
		row := make([]int, len(suspects))
		for i, sus := range suspects {
			var seen []string
			name := ""
			for _, f := range l.book.Seen(l.with(sus.fault), place, parted, opened) {
				if l.isFuse(f) {
					continue
				}
				f.Severity = 0
				seen = append(seen, l.book.Title(f))
				name += f.String() + "|"
			}
			for k, c := range l.h.Connectors {
				if c.ID == place && c.Mount == harness.Holder {
					text := fuses[sus.circuit][k].looks(c.Component, s.parted[k])
					seen = append(seen, text)
					name += text
				}
			}
			n, ok := known[name]
			if !ok {
				n = len(s.shown)
				known[name] = n
				s.shown = append(s.shown, seen)
			}
			row[i] = n
		}
		s.inspect, s.sights = append(s.inspect, place), append(s.sights, row)
	}
}

// isFuse reports whether a fault lies in a fuse itself, which is seen by its rating and its element.
func (l *lab) isFuse(f fault.Fault) bool {
	id := placeName(f.Place)
	return slices.ContainsFunc(l.h.Connectors, func(c harness.Connector) bool { return c.Mount == harness.Holder && c.Component == id })
}

// fuseLook is what can be seen of a fuse.
type fuseLook struct {
	amps  float64
	blown bool
}

// fuses tells what the fuse in each holder looks like in each circuit as it is now.
func (l *lab) fuses(circuits []*circuit) ([][]fuseLook, error) {
	out := make([][]fuseLook, len(circuits))
	for i, c := range circuits {
		out[i] = make([]fuseLook, len(l.h.Connectors))
		if err := l.m.Restore(c.now); err != nil {
			return nil, err
		}
		for k, con := range l.h.Connectors {
			if f := l.m.Fuse(con.ID); f != nil {
				out[i][k] = fuseLook{f.Rating(), f.Blown()}
			}
		}
	}
	return out, nil
}

// looks says what is seen of the fuse of a component: the rating always, the element once it is pulled.
func (f fuseLook) looks(component string, pulled bool) string {
	s := fmt.Sprintf("a %g A fuse %s", f.amps, component)
	switch {
	case !pulled:
		return s
	case f.blown:
		return s + ", element melted"
	}
	return s + ", element whole"
}

// placeName is the second word of a place in text form.
func placeName(place string) string {
	_, name, _ := strings.Cut(place, " ")
	return name
}
