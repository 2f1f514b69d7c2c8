package grading

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

const (
	// repRatio is the widest range of ohms for which one value stands, and mostReps how many stand for one candidate's range at
	// most: what matters is whether a test tells places apart, and the middle of a decade does as well as its ends.
	repRatio, mostReps = 6, 3
	// mostSpare is how many other severities are tried for one that does not agree with the log by itself.
	mostSpare = 3
	// repGrid is the number of values per decade to which such values are moved where they may be, so that candidates that lie in one
	// series circuit become one circuit: a ratio of 1.3, well inside repRatio.
	repGrid = 8
	// looseOhms is the resistance from a point to the body above which the meter's own 10 megohm is counted: below it the meter takes
	// less than 0.2 % off, a tenth of partShareOf.
	looseOhms = 20e3
)

// suspect is an entry of the catalogue at one severity, which stands for a range that has not been ruled out.
type suspect struct {
	entry   int
	fault   fault.Fault
	weight  float64
	circuit int       // index of the circuit that it makes
	spare   []float64 // severities that agree with the log by themselves, where that of fault may not
}

// circuit is the vehicle with a suspect in it, as it would be now. Suspects that nothing electrical could ever tell apart share one.
type circuit struct {
	fault  fault.Fault
	spare  []float64 // other severities of the same, for when this one does not agree with the log by itself
	now    *harness.Snapshot
	clicks []bool // by relay: pulled in
	proved bool   // it agrees with the log by itself, and not only as part of a range
	wild   bool   // nothing is counted on
}

// lab foresees what tests would show if a suspect were true.
type lab struct {
	h     *harness.Harness
	book  *fault.Book
	model *attempt.Model
	m     *harness.Machine
	given []fault.Fault // beside a suspect
	aside map[int]bool  // records that are left aside

	infos  []harness.Info
	index  map[harness.Point]int
	wiring *wiring
	relays []string         // components that click
	supply [2]harness.Point // battery posts, positive first

	reaches  map[string][]bool    // by what is apart and open: the points within reach
	menus    map[string][]measure // by the same: what can be measured
	volts    meter.Function       // functions that may be used, Off for none
	ohms     meter.Function
	lamp     bool            // the test lamp may be used
	clamp    bool            // the clamp may be used
	fore     *meter.Forelamp // the test lamp, where it may be used and volts may not: then it has to tell what is live
	zeroed   bool            // its zero has been set with its jaw empty
	fullOhms float64         // end of the highest range of ohms
}

func newLab(ex *attempt.Exercise, book *fault.Book, model *attempt.Model, given []fault.Fault) (*lab, error) {
	h := ex.Harness
	l := &lab{
		h: h, book: book, model: model, m: model.Machine(), given: given,
		infos: h.Infos(), index: map[harness.Point]int{}, wiring: newWiring(h, book),
		reaches: map[string][]bool{}, menus: map[string][]measure{}, volts: meter.Off, ohms: meter.Off,
	}
	for i, info := range l.infos {
		l.index[info.Point] = i
	}
	for _, c := range h.Components {
		if _, ok := l.m.Device(c.ID).(*device.Relay); ok {
			l.relays = append(l.relays, c.ID)
		}
	}
	l.supply[0], l.supply[1], _ = h.Supply()
	if slices.Contains(ex.Tools, meter.Multimeter) {
		for _, f := range [2]meter.Function{meter.Continuity, meter.Ohms} {
			if slices.Contains(ex.Functions, f) {
				l.ohms = f
			}
		}
		if slices.Contains(ex.Functions, meter.Volts) {
			l.volts = meter.Volts
		}
	}
	l.clamp = slices.Contains(ex.Tools, meter.Clamp)
	l.lamp = slices.Contains(ex.Tools, meter.TestLamp)
	l.fullOhms = fullScale(l.ohms)
	if l.lamp && l.volts == meter.Off {
		var err error
		if l.fore, err = meter.NewForelamp(h.Vehicle.Volts); err != nil {
			return nil, err
		}
	}
	return l, nil
}

// pulled returns which relays are pulled in.
func (l *lab) pulled() []bool {
	out := make([]bool, len(l.relays))
	for i, id := range l.relays {
		if d, ok := l.m.Device(id).(*device.Relay); ok {
			out[i] = d.PulledIn()
		}
	}
	return out
}

// with returns a suspect's fault and what is taken as given.
func (l *lab) with(f fault.Fault) []fault.Fault { return append([]fault.Fault{f}, l.given...) }

// suspects makes suspects of cells that stand, likeliest candidates first where there are more than most circuits, and the circuits
// that they make.
func (l *lab) suspects(entries []fault.Entry, cells []mind, most int) ([]suspect, []*circuit, error) {
	var all []suspect
	for start := 0; start < len(cells); {
		end := start
		for end < len(cells) && cells[end].entry == cells[start].entry {
			end++
		}
		all = append(all, reps(&entries[cells[start].entry], cells[start:end])...)
		start = end
	}
	slices.SortStableFunc(all, func(a, b suspect) int {
		switch {
		case a.weight > b.weight:
			return -1
		case a.weight < b.weight:
			return 1
		}
		return a.entry - b.entry
	})
	var circuits []*circuit
	known := map[string]int{}
	out := all[:0]
	for _, s := range all {
		key, err := l.wiring.does(s.fault)
		if err != nil {
			return nil, nil, err
		}
		k, ok := known[key]
		if !ok {
			if len(circuits) == most {
				continue
			}
			k = len(circuits)
			known[key] = k
			circuits = append(circuits, &circuit{fault: s.fault, spare: s.spare})
		}
		s.circuit = k
		out = append(out, s)
	}
	return out, circuits, nil
}

// reps returns suspects that stand for the standing cells of one entry, which are in rising order.
func reps(e *fault.Entry, cells []mind) []suspect {
	var out []suspect
	for start := 0; start < len(cells); {
		end, weight := start+1, cells[start].weight
		for end < len(cells) && cells[end].lo <= cells[end-1].hi*(1+1e-9) {
			weight += cells[end].weight
			end++
		}
		lo, hi := cells[start].lo, cells[end-1].hi
		n := 1
		if hi > lo && lo > 0 {
			n = min(mostReps, max(1, int(math.Ceil(math.Log(hi/lo)/math.Log(repRatio)))))
		}
		for k := range n {
			s := suspect{entry: cells[start].entry, fault: e.Fault, weight: weight / float64(n)}
			s.fault.Severity = rep(lo, hi, (float64(k)+0.5)/float64(n))
			if n == 1 {
				s.spare = alone(cells[start:end])
			}
			out = append(out, s)
		}
		start = end
	}
	return out
}

// alone lists the ends of cells that agree with the log by themselves, as far as not all do.
func alone(cells []mind) []float64 {
	var out []float64
	all := true
	for i := range cells {
		c := &cells[i]
		all = all && c.sure
		for k, x := range [2]float64{c.lo, c.hi} {
			if c.own[k] && (len(out) == 0 || out[len(out)-1] != x) {
				out = append(out, x)
			}
		}
	}
	if all {
		return nil
	}
	return out
}

// rep returns the value at a share of the way from lo to hi, on the grid where a value of the grid lies near enough.
func rep(lo, hi, share float64) float64 {
	if !(hi > lo && lo > 0) {
		return lo
	}
	x := lo * math.Pow(hi/lo, share)
	g := math.Pow(10, math.Round(repGrid*math.Log10(x))/repGrid)
	if g >= lo && g <= hi {
		return g
	}
	return x
}

// bring takes every circuit through the records, to where it would be now. quiet is done last: it ends what a tool does to the
// circuit that is not to be part of a test. Of a candidate that agrees with the log only as a range it takes a severity that
// agrees by itself; where there is none, the one that agrees longest, and the circuit stays unproved.
func (l *lab) bring(circuits []*circuit, records []attempt.Record, quiet []attempt.Action) error {
	defer l.model.Exact(false)
	for _, c := range circuits {
		tries := append([]float64{c.fault.Severity}, c.spare[:min(len(c.spare), mostSpare)]...)
		best, longest := 0, -1
		for k := 0; k < 2*len(tries) && longest < len(records); k++ {
			c.fault.Severity = tries[k%len(tries)]
			n, err := l.through(c, records, k >= len(tries), false)
			if err != nil {
				return err
			}
			if n > longest {
				best, longest = k, n
			}
		}
		if c.proved = longest == len(records); !c.proved {
			c.fault.Severity = tries[best%len(tries)]
			if _, err := l.through(c, records, false, true); err != nil {
				return err
			}
		}
		for _, act := range quiet {
			if _, err := l.model.Take(planned(act)); err != nil {
				return fmt.Errorf("candidate %q: %w", c.fault, err)
			}
		}
		// A model that is exact carries the meter itself, which will be somewhere else.
		if err := l.m.Detach(string(meter.Multimeter)); err != nil {
			return err
		}
		c.now, c.clicks = l.m.Snapshot(), l.pulled()
	}
	return nil
}

// through takes a circuit through the records, through time if exact, and returns how many it agrees with before the first with
// which it does not. It stops there unless it is to go through all.
func (l *lab) through(c *circuit, records []attempt.Record, exact, all bool) (agreed int, err error) {
	l.model.Exact(exact)
	if err := l.model.Suppose(l.with(c.fault)...); err != nil {
		return 0, fmt.Errorf("candidate %q: %w", c.fault, err)
	}
	dial := meter.Off
	agreed = len(records)
	for i, rec := range records {
		l.model.Hasty(calm(rec, l.aside[i]))
		s, err := l.model.Take(rec)
		if err != nil {
			return 0, fmt.Errorf("candidate %q: %w", c.fault, err)
		}
		dial = dialAfter(dial, rec)
		// What agrees only because it is in doubt is to be gone through in time.
		if agreed == len(records) && (!exact && (s.Doubtful || math.Abs(s.Foreign) > meter.LiveVolts) || !l.aside[i] && agrees(l.h, rec, dial, s, s) != nil) {
			if agreed = i; !all {
				return agreed, nil
			}
		}
	}
	return agreed, nil
}

// planned is the record of an action that has not been done. A few seconds are enough for a steady state.
func planned(act attempt.Action) attempt.Record {
	return attempt.Record{Action: act, Observation: attempt.Observation{Ticks: plannedTicks}}
}

// plannedTicks are three seconds: reach over and look.
const plannedTicks = 300

// stance is where controls stand and what is apart and open.
type stance struct {
	positions []string       // by control
	parted    []bool         // by connector
	opened    []bool         // by splice
	hand      attempt.Action // what is done to a place while all stands so: wiggled, warmed, cooled; nil for nothing
	fit       int            // 1 and the index of the holder that is given a new fuse on the way, 0 for none
}

func (s stance) clone() stance {
	s.positions, s.parted, s.opened = slices.Clone(s.positions), slices.Clone(s.parted), slices.Clone(s.opened)
	return s
}

// key names the stance; open is the part of it that decides what can be reached.
func (s stance) key() string {
	return fmt.Sprintf("%s\x01%s\x01%d%s", strings.Join(s.positions, "\x00"), s.open(), s.fit, handWords(s.hand))
}

func (s stance) open() string {
	b := make([]byte, 0, len(s.parted)+len(s.opened))
	for _, list := range [2][]bool{s.parted, s.opened} {
		for _, on := range list {
			b = append(b, map[bool]byte{false: '.', true: 'x'}[on])
		}
	}
	return string(b)
}

// stanceOf reads a stance off a course.
func (l *lab) stanceOf(c *attempt.Course) stance {
	var s stance
	for _, k := range l.h.Controls {
		s.positions = append(s.positions, c.Position(k.ID))
	}
	for _, k := range l.h.Connectors {
		s.parted = append(s.parted, c.Parted(k.ID))
	}
	for _, k := range l.h.Splices {
		s.opened = append(s.opened, c.Open(k.ID))
	}
	return s
}

// part brings the machine's connectors and looms into a stance.
func (l *lab) part(s stance) error {
	for i, c := range l.h.Connectors {
		if s.parted[i] == !l.m.Plugged(c.ID) {
			continue
		}
		do := l.m.Plug
		if s.parted[i] {
			do = l.m.Unplug
		}
		if err := do(c.ID); err != nil {
			return err
		}
	}
	for i, c := range l.h.Splices {
		if s.opened[i] {
			l.m.OpenLoom(c.ID)
		} else {
			l.m.CloseLoom(c.ID)
		}
	}
	return nil
}

// put brings a circuit into a stance, and lets seconds pass. It reports whether the circuit comes to rest there.
func (l *lab) put(c *circuit, s stance, seconds float64) (atRest bool, err error) {
	if err := l.m.Restore(c.now); err != nil {
		return false, err
	}
	if s.fit > 0 {
		holder := l.h.Connectors[s.fit-1].ID
		if err := l.m.FitFuse(holder, l.rating(holder)); err != nil {
			return false, err
		}
	}
	if err := l.part(s); err != nil {
		return false, err
	}
	if err := l.m.MoveAll(s.positions); err != nil {
		return false, err
	}
	if err := l.handle(nil); err != nil {
		return false, err
	}
	_, err = l.m.Hold(seconds)
	if err == nil && s.hand != nil {
		if err := l.handle(s.hand); err != nil {
			return false, err
		}
		_, err = l.m.Hold(handSeconds)
	}
	if errors.Is(err, harness.ErrRestless) {
		return false, nil
	}
	return err == nil, err
}

// reach returns for each point whether a lead can get there in a stance.
func (l *lab) reach(s stance) ([]bool, error) {
	key := s.open()
	if r, ok := l.reaches[key]; ok {
		return r, nil
	}
	if err := l.part(s); err != nil {
		return nil, err
	}
	r := make([]bool, len(l.infos))
	for i, info := range l.infos {
		r[i], _ = l.m.Reach(info.Point)
	}
	l.reaches[key] = r
	return r, nil
}
