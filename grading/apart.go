package grading

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/harness"
)

// Two faults that are in at once show two troubles, mostly of different components, and no single fault agrees with both. A coach then does what a
// technician does: takes one trouble first and leaves aside what the component shows that would need another cause.

// mostTroubles is how many components the coach tries to leave aside one after the other, mostMuted how many together: a motor, and the relay that is not
// heard to switch it on.
const mostTroubles, mostMuted = 8, 3

// oneTrouble looks for a component that is not as it would be on a sound vehicle, such that some fault agrees with all else that was seen, and leaves it
// aside; if there is none, for two, and so on, as long as something wrong is left. It reports whether there is one; else the planner knows that no fault
// agrees.
func (k *Coach) oneTrouble(records []attempt.Record) (bool, error) {
	if err := k.leave(records, nil); err != nil {
		return false, err
	}
	troubles, muted := k.p.team.troubles(), []string(nil)
	for range min(mostMuted, len(troubles)-1) {
		var best []string
		longest := -1
		for _, id := range troubles {
			if slices.Contains(muted, id) {
				continue
			}
			if err := k.leave(records, append(slices.Clone(muted), id)); err != nil {
				return false, err
			}
			if len(k.p.cells) > 0 {
				return true, nil
			}
			if n := k.p.team.lasted(); n > longest {
				longest, best = n, k.mute
			}
		}
		muted = best
	}
	return false, k.leave(records, nil)
}

// leave weighs the records with these components left aside.
func (k *Coach) leave(records []attempt.Record, ids []string) error {
	k.mute = ids
	k.p.relearn(without(records, ids))
	return k.p.weigh()
}

// troubles lists the components that were not as they would have been, from one steady state to the next, on the vehicle without the fault: the first to
// be seen first.
func (t *team) troubles() []string {
	var list []string
	l := t.members[0]
	for i := range l.fork {
		s, rec := l.leader.plain[leads].sights[i], l.records[i]
		for !l.r.aside[i] && len(list) < mostTroubles {
			m := agrees(l.r.ex.Harness, rec, l.dials[i], s, s)
			if m == nil || !slices.ContainsFunc(l.r.ex.Harness.Components, func(c harness.Component) bool { return c.ID == m.What }) {
				break
			}
			if !slices.Contains(list, m.What) {
				list = append(list, m.What)
			}
			rec = without([]attempt.Record{rec}, []string{m.What})[0]
		}
	}
	return list
}

// without returns records as they would be if nobody had looked at, or heard, some components.
func without(records []attempt.Record, ids []string) []attempt.Record {
	if len(ids) == 0 {
		return records
	}
	out := slices.Clone(records)
	for i := range out {
		obs := &out[i].Observation
		obs.Effects = maps.Clone(obs.Effects)
		maps.DeleteFunc(obs.Effects, func(id, _ string) bool { return slices.Contains(ids, id) })
		obs.Events = slices.DeleteFunc(slices.Clone(obs.Events), func(e attempt.Event) bool { return slices.Contains(ids, e.Component) })
	}
	return out
}

// apart says what is left aside, "" for nothing.
func (k *Coach) apart(records []attempt.Record) string {
	what := ""
	switch {
	case len(k.mute) > 0:
		names := make([]string, len(k.mute))
		for n, id := range k.mute {
			i := slices.IndexFunc(k.ex.Harness.Components, func(c harness.Component) bool { return c.ID == id })
			names[n] = fmt.Sprintf("the %s (%s)", lower(k.ex.Harness.Components[i].Title), id)
		}
		what = "what " + and(names) + " do"
		if len(names) == 1 {
			what += "es"
		}
	case len(k.aside) > 0:
		steps := make([]string, len(k.aside))
		for i, n := range slices.Sorted(slices.Values(k.aside)) {
			steps[i] = strconv.Itoa(records[n].Seq + 1)
		}
		word := "step"
		if len(steps) > 1 {
			word = "steps"
		}
		what = fmt.Sprintf("what %s %s showed", word, strings.Join(steps, ", "))
	default:
		return ""
	}
	return fmt.Sprintf("No single fault agrees with all that was seen, so there is more than one. Look for one of them first, and leave aside %s. ", what)
}
