package grading

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// Two faults that are in at once show two troubles, mostly of different components, and no single fault agrees with both. A coach then does what a
// technician does: takes one trouble first and leaves aside what the component shows that would need another cause.

// mostTroubles is how many components the coach tries to leave aside.
const mostTroubles = 5

// oneTrouble looks for a component such that some fault agrees with all else that was seen, and leaves it aside. It reports whether there is one; the
// planner knows nothing when there is none.
func (k *Coach) oneTrouble(records []attempt.Record, given []fault.Fault) (bool, error) {
	for _, id := range k.troubles() {
		k.mute = id
		if err := k.begin(given); err != nil {
			return false, err
		}
		k.p.Learn(without(records, id))
		if err := k.p.weigh(); err != nil || len(k.p.cells) > 0 {
			return err == nil, err
		}
	}
	k.mute = ""
	return false, k.begin(given)
}

// troubles lists the components that contradicted the last faults to fall, first the one that contradicted the likeliest. These explain most of what
// was seen.
func (k *Coach) troubles() []string {
	fell := k.p.team.all()
	last := 0
	for _, c := range fell {
		last = max(last, c.fell)
	}
	weight := map[string]float64{}
	for pass := 0; pass < 2 && len(weight) == 0; pass++ {
		for _, c := range fell {
			if pass == 0 && c.fell < last {
				continue
			}
			if slices.ContainsFunc(k.ex.Harness.Components, func(x harness.Component) bool { return x.ID == c.why.What }) {
				weight[c.why.What] += c.weight
			}
		}
	}
	list := slices.SortedFunc(maps.Keys(weight), func(a, b string) int {
		return cmp.Or(cmp.Compare(weight[b], weight[a]), strings.Compare(a, b))
	})
	return list[:min(len(list), mostTroubles)]
}

// without returns records as they would be if nobody had looked at, or heard, a component; all of them for "".
func without(records []attempt.Record, id string) []attempt.Record {
	if id == "" {
		return records
	}
	out := slices.Clone(records)
	for i := range out {
		obs := &out[i].Observation
		if _, shown := obs.Effects[id]; shown {
			obs.Effects = maps.Clone(obs.Effects)
			delete(obs.Effects, id)
		}
		obs.Events = slices.DeleteFunc(slices.Clone(obs.Events), func(e attempt.Event) bool { return e.Component == id })
	}
	return out
}

// apart says what is left aside, "" for nothing.
func (k *Coach) apart(records []attempt.Record) string {
	what := ""
	switch {
	case k.mute != "":
		i := slices.IndexFunc(k.ex.Harness.Components, func(c harness.Component) bool { return c.ID == k.mute })
		what = fmt.Sprintf("what the %s (%s) does", lower(k.ex.Harness.Components[i].Title), k.mute)
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
