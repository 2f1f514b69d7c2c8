package attempt

import (
	"errors"
	"math"
	"strings"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// world is the vehicle with its faults and the instruments on it: what really is, of which observations tell a part.
type world struct {
	ex     *Exercise
	book   *fault.Book
	m      *harness.Machine
	bench  *meter.Bench
	faults []fault.Fault // those that are still in
	ticks  int64
}

// arrivalStood is how long, in seconds, the vehicle has stood with its fault and all controls at rest when the job begins: long
// enough for what is always live to have settled, and for a dead short there to have blown its fuse.
const arrivalStood = 60

func newWorld(ex *Exercise) (*world, error) {
	m, err := harness.NewMachine(ex.Harness)
	if err != nil {
		return nil, err
	}
	b, err := meter.NewBench(meter.Kit{Tools: ex.Tools, Functions: ex.Functions, Volts: ex.Harness.Vehicle.Volts},
		meter.NewCalibration(ex.Seed))
	if err != nil {
		return nil, err
	}
	w := &world{ex: ex, book: fault.NewBook(ex.Harness), m: m, bench: b, faults: append([]fault.Fault(nil), ex.Faults...)}
	if err := w.arrive(); err != nil {
		return nil, err
	}
	return w, nil
}

// alter puts the faults that are left into the machine.
func (w *world) alter() error {
	var all []harness.Alteration
	for _, f := range w.faults {
		list, err := w.book.Alterations(f)
		if err != nil {
			return err
		}
		all = append(all, list...)
	}
	return w.m.Alter(all)
}

// arrive puts the faults into a vehicle that stands sound, and lets it stand. So of two fuses in a row that opens which would in a vehicle, and not
// one that has been warmed by what the other would never have borne.
func (w *world) arrive() error {
	if err := w.m.Settle(); err != nil && !errors.Is(err, harness.ErrRestless) {
		return err
	}
	if err := w.alter(); err != nil {
		return err
	}
	_, err := w.m.Run(arrivalStood)
	return err
}

// step does one action: it asks whether it can be done, lets its time pass, changes the vehicle or the tools, and tells
// what a person would notice. An error means that the circuit could not be solved; the world is of no use then.
func (w *world) step(t *track, act Action) (Observation, error) {
	why := w.refuse(t, act)
	seconds := float64(costRefused)
	if why == "" {
		seconds = duration(w.ex.Harness, t.accessed, t.open, act)
	}
	whole := int64(math.Round(seconds / Tick))
	after := min(whole, int64(watching/Tick))
	if _, waits := act.(Wait); waits {
		after = whole
	}
	switch act.(type) {
	case Sweep, Mark, Study, Ask, Relative, Capture, Zero: // what is on the trace stays to be looked at
	default:
		w.bench.Forget()
	}
	var obs Observation
	if _, err := w.release(); err != nil {
		return obs, err
	}
	if err := w.pass(whole-after, &obs); err != nil {
		return obs, err
	}
	var atRest map[meter.Tool]meter.Display
	if _, ok := act.(Wiggle); ok && why == "" {
		var err error
		if atRest, err = w.bench.Read(w.m); err != nil {
			return obs, err
		}
	}
	if why == "" {
		if err := w.apply(act); err != nil {
			return obs, err
		}
	}
	if err := w.bench.Connect(w.m); err != nil {
		return obs, err
	}
	if err := w.pass(after, &obs); err != nil {
		return obs, err
	}
	if inspect, ok := act.(Inspect); ok && why == "" {
		obs.Seen = w.seen(inspect.Place)
	}
	obs.Ticks, obs.Refused = w.ticks, why
	err := w.notice(&obs)
	flicker(atRest, obs.Displays)
	return obs, err
}

// pass lets ticks go by.
func (w *world) pass(ticks int64, obs *Observation) error {
	events, err := w.m.RunSeeing(float64(ticks)*Tick, w.bench.Seeing(w.m))
	if err != nil {
		return err
	}
	for _, e := range events {
		if e.What != harness.EffectChanged && !e.Loud {
			continue // nobody notices a fuse that opens or a tool's own innards
		}
		obs.Events = append(obs.Events, Event{
			Ticks: w.ticks + min(ticks, int64(math.Round(e.Seconds/Tick))), Component: e.Component, What: e.What, Word: e.Word,
		})
	}
	w.ticks += ticks
	return nil
}

// notice adds what the vehicle does and what the instruments show.
func (w *world) notice(obs *Observation) error {
	obs.Events = calm(obs.Events)
	obs.Effects = map[string]string{}
	for id, e := range w.m.Effects() {
		if e.Word != "" {
			obs.Effects[id] = e.Word
		}
	}
	displays, err := w.bench.Read(w.m)
	if len(displays) > 0 {
		obs.Displays = displays
	}
	return err
}

// mostAlike is how many events of one component and kind are told one by one; of more a person only says that it goes on and
// on.
const mostAlike = 6

// calm shortens what repeats itself, such as a buzzing relay.
func calm(events []Event) []Event {
	type alike struct{ component, what string }
	count := map[alike]int{}
	var out []Event
	for _, e := range events {
		key := alike{e.Component, e.What}
		if key.what == EventClickOut {
			key.what = EventClickIn
		}
		count[key]++
		switch n := count[key]; {
		case n <= mostAlike:
			out = append(out, e)
		case n == mostAlike+1:
			out = append(out, Event{Ticks: e.Ticks, Component: e.Component, What: EventChatter, Word: key.what})
		}
	}
	return out
}

// apply changes the vehicle or the tools. The action has been found possible.
func (w *world) apply(act Action) error {
	switch act := act.(type) {
	case Operate:
		return w.m.Operate(act.Control, act.Position)
	case Dial:
		return w.bench.Dial(act.Function)
	case Relative:
		return w.bench.SetRelative(act.On)
	case Zero:
		return w.bench.Zero(act.Tool, w.m)
	case Sweep:
		w.bench.SetSweep(meter.Sweep{Seconds: act.Seconds, Level: act.Level})
	case Capture:
		w.bench.SetCapture(act.On)
	case Lead:
		return w.bench.Place(act.Tool, act.End, act.Point)
	case Unplug:
		return w.m.Unplug(act.Connector)
	case Plug:
		return w.m.Plug(act.Connector)
	case OpenLoom:
		w.m.OpenLoom(act.Splice)
	case CloseLoom:
		w.m.CloseLoom(act.Splice)
	case Wiggle, Warm, Cool:
		return w.provoke(act)
	case Repair:
		r, err := fault.ParseRepair(act.Repair)
		if err != nil {
			return err
		}
		return w.repair(r)
	case FitFuse:
		if err := w.fit(act.Connector, act.Amps); err != nil {
			return err
		}
		return w.m.Plug(act.Connector)
	case ResetFuse:
		return w.bench.ResetFuse(act.Tool)
	}
	return nil
}

// repair carries out a repair: what it mends is gone, and a part that it replaces is new. What lies apart stays apart, but a
// new fuse is in its holder.
func (w *world) repair(r fault.Repair) error {
	word, id, _ := strings.Cut(r.Place, " ")
	switch word {
	case "fuse":
		holder := w.holder(id)
		if err := w.fit(holder, ratedAmps(w.ex.Harness, id)); err != nil {
			return err
		}
		return w.m.Plug(holder)
	case "component":
		if err := w.m.Replace(id); err != nil {
			return err
		}
	}
	return w.mend(r)
}

// fit puts a new fuse into a holder, which takes away all that was wrong with the old one.
func (w *world) fit(holder string, amps float64) error {
	if err := w.m.FitFuse(holder, amps); err != nil {
		return err
	}
	c, _ := connector(w.ex.Harness, holder)
	return w.mend(fitFuse(c.Component))
}

// mend takes out the faults that the repair mends.
func (w *world) mend(r fault.Repair) error {
	var left []fault.Fault
	for _, f := range w.faults {
		if !w.book.Mends(r, f) {
			left = append(left, f)
		}
	}
	w.faults = left
	return w.alter()
}

// holder returns the id of the fuse holder that a component sits in, "" if it does not.
func (w *world) holder(component string) string {
	for _, c := range w.ex.Harness.Connectors {
		if c.Mount == harness.Holder && c.Component == component {
			return c.ID
		}
	}
	return ""
}
