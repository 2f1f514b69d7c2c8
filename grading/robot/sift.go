package robot

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Where feed and ground lead nowhere, because a unit or a cam decides what flows, the halver halves what is suspected: with a line on that
// fails a voltage is measured at the point where the suspects differ most, and what would have shown another one is put aside.

const (
	// siftVolts is how far two voltages lie apart that a technician tells apart without a thought. Common practice, no source.
	siftVolts = 1.0
	// mostSifts bounds the readings with one line on.
	mostSifts = 6
	// leastSplit is the least share of suspects that a reading must be able to put aside.
	leastSplit = 0.05
)

// sift measures until what is left of some suspects would show the same in all lines that fail.
func (b *halver) sift(all []supposed) ([]supposed, error) {
	done := map[int]bool{}
	for _, t := range b.troubles {
		if done[t.line] || len(all) < 2 {
			continue
		}
		done[t.line] = true
		var err error
		if all, err = b.siftIn(all, b.wayTo(t.line)); err != nil {
			return nil, err
		}
	}
	b.lift()
	b.set(b.rest())
	return all, b.err
}

// siftIn is sift with the controls moved so.
func (b *halver) siftIn(all []supposed, way []stance) ([]supposed, error) {
	sh, err := b.sheet(way[len(way)-1])
	if err != nil {
		return nil, err
	}
	b.home()
	b.goTo(way)
	var points []harness.Point
	for _, r := range b.a.State().Reach {
		if r.Ok && r.Point != harness.Body && r.Point != sh.minus {
			points = append(points, r.Point)
		}
	}
	shows := make([][]span, len(all)) // by suspect, by point
	for k, x := range all {
		shows[k] = b.volts(x, way, sh.minus, points)
	}
	left := make([]int, len(all))
	for k := range all {
		left[k] = k
	}
	for range mostSifts {
		best, most := -1, leastSplit
		for i := range points {
			if x := split(all, left, func(k int) float64 { return shows[k][i].usual }); x > most {
				best, most = i, x
			}
		}
		if best < 0 {
			break
		}
		v, ok := b.read(meter.Volts, points[best], sh.minus)
		agree := slices.DeleteFunc(slices.Clone(left), func(k int) bool { return !shows[k][best].holds(v) })
		for k := range all {
			shows[k][best].usual = math.NaN() // not again
		}
		if ok && len(agree) > 0 {
			left = agree
		}
	}
	var out []supposed
	for _, k := range left {
		out = append(out, all[k])
	}
	return out, nil
}

// span is what a suspect can show at a point in volts, by how bad it is; NaN for one that does not come to rest, which may show anything.
type span struct{ usual, low, high float64 }

// holds reports whether a reading can be this suspect's.
func (s span) holds(volts float64) bool {
	return !(volts < s.low-siftVolts || volts > s.high+siftVolts)
}

// volts is what a suspect can show at some points against the battery's negative post, the controls moved so.
func (b *halver) volts(x supposed, way []stance, minus harness.Point, points []harness.Point) []span {
	out := make([]span, len(points))
	for n, f := range x.each() {
		err := b.imagine(f, way, "", func() {
			for i, p := range points {
				v := b.good.Volts(p) - b.good.Volts(minus)
				if n == 0 {
					out[i] = span{v, v, v}
				}
				out[i].low, out[i].high = min(out[i].low, v), max(out[i].high, v)
			}
		})
		if err != nil {
			for i := range points {
				out[i] = span{math.NaN(), math.NaN(), math.NaN()}
			}
			break
		}
	}
	return out
}

// peek looks where eyes would tell one of some suspects, the likeliest first, and takes those off the list that would have been seen.
func (b *halver) peek(all *[]supposed) (fault.Fault, bool) {
	for len(*all) > 1 && b.err == nil {
		var next *supposed
		for k := range *all {
			if s := &(*all)[k]; s.entry.Visible && !b.sighted(s.fault.Place) && (next == nil || s.likely > next.likely) {
				next = s
			}
		}
		if next == nil {
			break
		}
		place := b.whereToLook(next.fault.Place)
		var seen []string
		if b.connector(place) != nil {
			seen = b.look(place)
		} else {
			seen = b.do(attempt.Inspect{Place: place}).Seen
		}
		_, name, _ := strings.Cut(next.fault.Place, " ")
		b.looked[place], b.looked[name] = true, true
		if found := faultsIn(seen); len(found) > 0 {
			return found[0], true
		}
		*all = slices.DeleteFunc(*all, func(s supposed) bool { return s.entry.Visible && b.sighted(s.fault.Place) })
	}
	b.home()
	return fault.Fault{}, false
}

// whereToLook is what to look at to see a trouble at a place: the connector or ground point that it is part of, else the thing itself.
func (b *halver) whereToLook(place string) string {
	word, name, _ := strings.Cut(place, " ")
	id, _, _ := strings.Cut(name, ".")
	switch word {
	case "cavity", "ring", "ground", "post", "crimp":
		return id
	case "component", "fuse":
		if c := b.connectorOf(name); c != "" {
			return c
		}
		return "component " + name
	case "splice":
		id, _, _ = strings.Cut(name, " ")
		return id
	}
	return place
}

// split is the share of what is likely that a reading is expected to put aside.
func split(all []supposed, left []int, shows func(k int) float64) float64 {
	order := slices.Clone(left)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(shows(a), shows(b)) })
	sum, squares, heap := 0.0, 0.0, 0.0
	for n, k := range order {
		if math.IsNaN(shows(k)) {
			return 0
		}
		if n > 0 && shows(k)-shows(order[n-1]) > siftVolts {
			squares, heap = squares+heap*heap, 0
		}
		heap += all[k].likely
		sum += all[k].likely
	}
	if !(sum > 0) {
		return 0
	}
	return 1 - (squares+heap*heap)/(sum*sum)
}
