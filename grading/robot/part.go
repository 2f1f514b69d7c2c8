package robot

import (
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// decide tells some suspects apart by what a technician still can do when feed and ground lead nowhere, as long as more than one repair
// is left: volts with a failing line on, parting connectors, a look, ohms along wires and between them. What is left then is condemned, the
// likeliest first. ok is false for no suspects.
func (b *halver) decide(list []supposed) (f fault.Fault, ok bool, err error) {
	if len(list) == 0 {
		return f, false, b.err
	}
	if !b.agreed(list) {
		if list, err = b.sift(list); err != nil {
			return f, false, err
		}
	}
	if !b.agreed(list) {
		if f, ok, err = b.parting(&list); ok || err != nil {
			return f, ok, err
		}
	}
	if f, ok = b.peek(&list); ok {
		return f, true, b.err
	}
	if !b.agreed(list) {
		list = b.touching(list)
		list = slices.DeleteFunc(list, func(s supposed) bool { return b.fine[s.fault.String()] })
		if f, ok = b.measured(&list); ok {
			return f, true, b.err
		}
	}
	var r fault.Repair
	f, r, ok = b.choose(list)
	if id := r.Component(); ok && id != "" {
		if list, err = b.vouch(list, id); err != nil {
			return f, false, err
		}
		f, r, ok = b.choose(list)
	}
	b.chosen = r
	return f, ok, b.err
}

// vouch reads volts at the terminals of a part that is about to be condemned, with the failing line on, as far as that was not done yet: no part
// is condemned before its feed and ground were measured. Those are taken off the list that would have shown otherwise, unless all would.
func (b *halver) vouch(list []supposed, part string) ([]supposed, error) {
	way := b.wayTo(b.troubles[0].line)
	sh, err := b.sheet(way[len(way)-1])
	if err != nil {
		return nil, err
	}
	b.goTo(way)
	var points []harness.Point
	var read []float64
	for _, p := range b.wiresAt(part) {
		if b.reach(p) && !b.metered[p] {
			if v, ok := b.read(meter.Volts, p, sh.minus); ok {
				points, read = append(points, p), append(read, v)
				b.metered[p] = true
			}
		}
	}
	b.home()
	var left []supposed
	for _, s := range list {
		agrees := true
		for i, can := range b.volts(s, way, sh.minus, points) {
			agrees = agrees && can.holds(read[i])
		}
		if agrees {
			left = append(left, s)
		}
	}
	if len(left) == 0 {
		return list, b.err
	}
	return left, b.err
}

// wiresAt lists the points at which wires end at a part, each once.
func (b *halver) wiresAt(part string) []harness.Point {
	var out []harness.Point
	for _, w := range b.h.Wires {
		from, to := b.h.Ends(w)
		for _, p := range [2]harness.Point{from, to} {
			info := b.h.PointInfo(p)
			if (info.Component == part || info.Connector != "" && info.Connector == b.connectorOf(part)) && !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	return out
}

// agreed reports whether one repair is left for some suspects.
func (b *halver) agreed(list []supposed) bool {
	return !slices.ContainsFunc(list, func(s supposed) bool { return s.entry.Repair != list[0].entry.Repair })
}

// mostParted bounds the suspects, taken evenly from the list, by which it is thought through which connector tells most.
const mostParted = 40

// parting parts one connector after the other with everything at rest, goes into the failing line, and takes off the list what would then have
// made the vehicle do something else. Each time the connector is taken that halves the list best; what is parted is looked into.
func (b *halver) parting(list *[]supposed) (f fault.Fault, ok bool, err error) {
	way := b.wayTo(b.troubles[0].line)
	does := func(f fault.Fault, apart string) (all string) {
		if err := b.imagine(f, way, apart, func() { all = b.all(func(id string) string { return b.good.EffectOf(id).Word }) }); err != nil {
			return "" // it does not come to rest: then it may do anything
		}
		return all
	}
	tested := map[string]bool{}
	for b.err == nil && !b.agreed(*list) {
		best, most := "", 0
		few := min(len(*list), mostParted)
		for _, c := range b.h.Connectors {
			if tested[c.ID] {
				continue
			}
			heaps, largest := map[string]int{}, 0
			for k := range few {
				each := does((*list)[k*len(*list)/few].fault, c.ID)
				heaps[each]++
				largest = max(largest, heaps[each])
			}
			if split := few - largest; split > most {
				best, most = c.ID, split
			}
		}
		if best == "" {
			break
		}
		tested[best] = true
		b.home()
		if found := faultsIn(b.look(best)); len(found) > 0 {
			return found[0], true, b.err
		}
		b.looked[best] = true
		b.goTo(way)
		obs := b.do(attempt.Wait{Seconds: harness.CheckSeconds})
		b.home()
		now := b.all(func(id string) string { return obs.Effects[id] })
		var left []supposed
		for _, s := range *list {
			could := slices.ContainsFunc(s.each(), func(f fault.Fault) bool { would := does(f, best); return would == now || would == "" })
			if could && !(s.entry.Visible && b.sighted(s.fault.Place)) {
				left = append(left, s)
			}
		}
		if len(left) > 0 {
			*list = left
		}
	}
	return f, false, b.err
}

// all is what everything does that the check looks at, as one word.
func (b *halver) all(word func(component string) string) string {
	var out []string
	been := map[string]bool{}
	for _, line := range b.h.Check {
		for _, e := range line.Expect {
			if !been[e.Component] {
				been[e.Component] = true
				out = append(out, word(e.Component))
			}
		}
	}
	return strings.Join(out, " ")
}

// measured measures the suspected wires from end to end, and takes those off the list that are good.
func (b *halver) measured(list *[]supposed) (fault.Fault, bool) {
	b.set(b.rest())
	for _, s := range slices.Clone(*list) {
		w := b.wire(strings.TrimPrefix(s.fault.Place, "wire "))
		if w == nil || s.fault.Kind != fault.Open && s.fault.Kind != fault.HighResistance {
			continue
		}
		from, to := b.h.Ends(*w)
		l := limb{s.fault.Place, from, to}
		if f, ok := b.measureOut([]limb{l}); ok {
			return f, true
		}
		if b.fine[l.place] {
			*list = slices.DeleteFunc(*list, func(t supposed) bool {
				return len(*list) > 1 && (t.fault.Kind == fault.Open || t.fault.Kind == fault.HighResistance) && (t.fault.Place == l.place || b.belongs(t.fault.Place, l))
			})
		}
	}
	return fault.Fault{}, false
}
