package robot

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

const (
	// firstProbes is for how long the prober probes before the first guess, moreProbes before each further one.
	firstProbes, moreProbes = 20, 10
	// lookShare is how often the prober parts something and looks at it rather than measures volts. It leaves ohms alone: measured
	// anywhere they are measured live.
	lookShare = 0.25
	// fusesFirst is the share of such persons who look at the fuses on the way of the current before anything else.
	fusesFirst = 0.5
	// besideOdd is after how many guesses beside what looked odd the prober thinks more widely.
	besideOdd = 2
	// oddVolts is how far from the good reading a person notices that a reading is odd.
	oddVolts = 1.0

	proberStream = 0x70726f6265
)

// prober measures wherever a lead happens to go, and blames what looked odd.
type prober struct {
	*hand
	random   *rand.Rand
	odd      []string // places at which something looked odd
	readings []reading
	whole    []string // holders whose fuse was seen whole
}

// reading is what was read in one stance of the controls, all mated, against the battery's negative post.
type reading struct {
	stance stance
	minus  harness.Point
	volts  map[harness.Point]float64
}

// probe does a whole job by probing at random.
func probe(h *hand, seed uint64) error {
	p := &prober{hand: h, random: rand.New(rand.NewPCG(seed, proberStream^h.ex.Seed))}
	troubles := h.check()
	for n := 0; len(troubles) > 0 && !h.spent(); n++ {
		probes := firstProbes
		if n > 0 {
			probes = moreProbes
		}
		found, ok := p.unmended() // seen on the way to another repair
		if !ok {
			var err error
			if found, ok, err = p.about(troubles, probes); err != nil {
				return err
			}
		}
		h.home()
		if !ok {
			var err error
			if found, ok, err = p.pick(h.outcomeOf(troubles), h.worst(troubles).component); !ok || err != nil {
				h.err = first(h.err, err)
				break
			}
		}
		h.declare(found)
		h.repair(h.book.RepairFor(found))
		h.refill()
		troubles = h.check()
	}
	h.do(attempt.Close{})
	return h.err
}

// about probes a number of times with a line of the check on that fails. It ends early when a trouble was seen with eyes.
func (p *prober) about(troubles []trouble, probes int) (fault.Fault, bool, error) {
	t := troubles[p.random.IntN(len(troubles))]
	s := p.stanceOf(t.line)
	sh, err := p.sheet(s)
	if err != nil {
		return fault.Fault{}, false, err
	}
	if len(p.readings) == 0 && p.random.Float64() < fusesFirst {
		p.set(p.rest())
		if f, ok, err := p.lookAtFuses(t); ok || err != nil {
			return f, ok, err
		}
	}
	p.set(s)
	last := reading{s, sh.minus, map[harness.Point]float64{}}
	defer func() { p.readings = append(p.readings, last) }()
	for range probes {
		switch x := p.random.Float64(); {
		case x < lookShare:
			if f, ok := p.lookSomewhere(); ok {
				return f, true, nil
			}
		default:
			q := p.somewhere()
			if q == "" {
				continue
			}
			v, ok := p.read(meter.Volts, q, sh.minus)
			if ok {
				last.volts[q] = v
			}
			if ok && math.Abs(v-sh.volts[q]) > oddVolts {
				p.odd = append(p.odd, p.place(q))
			}
		}
	}
	return fault.Fault{}, false, nil
}

// somewhere is a point that a lead can get to now, any of them.
func (p *prober) somewhere() harness.Point {
	var all []harness.Point
	for _, r := range p.a.State().Reach {
		if r.Ok && r.Point != harness.Body {
			all = append(all, r.Point)
		}
	}
	if len(all) == 0 {
		return ""
	}
	return all[p.random.IntN(len(all))]
}

// lookSomewhere parts a connector, looks, and mates it again; or looks at a ground point.
func (p *prober) lookSomewhere() (f fault.Fault, ok bool) {
	p.lift()
	n := p.random.IntN(len(p.h.Connectors) + len(p.h.Grounds))
	if n < len(p.h.Connectors) {
		return p.lookInto(p.h.Connectors[n])
	}
	id := p.h.Grounds[n-len(p.h.Connectors)].ID
	p.looked[id] = true
	if all := faultsIn(p.do(attempt.Inspect{Place: id}).Seen); len(all) > 0 {
		return all[0], true
	}
	return f, false
}

// lookInto parts a connector, looks, and mates it again, unless it is a holder whose fuse has melted.
func (p *prober) lookInto(c harness.Connector) (f fault.Fault, ok bool) {
	p.looked[c.ID] = true
	seen := p.look(c.ID)
	fuse := p.a.State().Fuses[c.ID]
	if fuse.Looked && !fuse.Blown {
		p.whole = append(p.whole, c.ID)
	}
	switch {
	case fuse.Looked && fuse.Amps != p.ratingOf(c.ID):
		return fault.Fault{Place: "fuse " + c.Component, Kind: fault.WrongRating, Severity: fuse.Amps}, true
	case fuse.Blown:
		p.odd = append(p.odd, c.ID)
	default:
		p.do(attempt.Plug{Connector: c.ID})
	}
	if all := faultsIn(seen); len(all) > 0 {
		return all[0], true
	}
	return f, false
}

// lookAtFuses looks at the fuses on the way of the current to what does not work.
func (p *prober) lookAtFuses(t trouble) (fault.Fault, bool, error) {
	list, err := p.shelf(t)
	for _, r := range list {
		c := p.connector(p.connectorOf(r.Component()))
		if c == nil || c.Mount != harness.Holder || r != fault.FitFuse(r.Component()) {
			break // fuses come first
		}
		if f, ok := p.lookInto(*c); ok {
			return f, true, nil
		}
	}
	return fault.Fault{}, false, err
}

// place is the thing on the vehicle that a point belongs to.
func (p *prober) place(q harness.Point) string {
	id, _, _ := strings.Cut(string(q), ".")
	return id
}

// pick guesses among the troubles that would show in the check as it did and that agree, roughly, with the
// readings that it happened to see, at or next to something that looked odd, if there are such; else more and more widely.
func (p *prober) pick(seen outcome, load string) (fault.Fault, bool, error) {
	var all, fit, agree []supposed
	for _, s := range p.suppose(seen) {
		if p.tried[s.entry.Repair.String()] || s.entry.Visible && p.sighted(s.fault.Place) {
			continue
		}
		all = append(all, s)
		if !s.fits {
			continue
		}
		fit = append(fit, s)
		ok, err := p.agrees(s.fault)
		if err != nil {
			return fault.Fault{}, false, err
		}
		if ok {
			agree = append(agree, s)
		}
	}
	if len(p.odd) == 0 {
		// Nothing looked odd: then it must be what does not work.
		own := slices.DeleteFunc(slices.Clone(agree), func(s supposed) bool { return s.fault.Place != "component "+load })
		if len(own) > 0 {
			return p.draw(own), true, nil
		}
	}
	for _, list := range [][]supposed{agree, fit, all} {
		for _, places := range [][]string{p.odd, nil} {
			if places != nil && len(p.tried) >= besideOdd {
				continue
			}
			near := slices.DeleteFunc(slices.Clone(list), func(s supposed) bool { return places != nil && !p.beside(s.fault.Place, places) })
			if len(near) > 0 {
				return p.draw(near), true, nil
			}
		}
	}
	return fault.Fault{}, false, nil
}

// draw takes one of the things in which the trouble may be, likelier ones more often and parts before joints and wires, and of its
// troubles the likeliest.
func (p *prober) draw(all []supposed) fault.Fault {
	var things []string
	weight := map[string]float64{}
	best := map[string]supposed{}
	sum := 0.0
	for _, s := range all {
		id, w := thing(s.fault.Place), s.likely
		if word, _, _ := strings.Cut(s.fault.Place, " "); word == "component" || word == "fuse" {
			w *= partInMind
		}
		if _, ok := best[id]; !ok {
			things = append(things, id)
		}
		weight[id] += w
		sum += w
		if s.likely > best[id].likely {
			best[id] = s
		}
	}
	x := p.random.Float64() * sum
	for _, id := range things {
		if x -= weight[id]; x < 0 {
			return best[id].fault
		}
	}
	return best[things[len(things)-1]].fault
}

// partInMind is how much sooner a part comes to mind of somebody who guesses than a joint or wire that is as likely. Common practice,
// no source.
const partInMind = 8

// thing is what a person would point at for a place: a wire, a part, a connector, a ground.
func thing(place string) string {
	word, name, _ := strings.Cut(place, " ")
	id, _, _ := strings.Cut(name, " ")
	id, _, _ = strings.Cut(id, ".")
	if word == "wire" || word == "component" || word == "fuse" {
		return word + " " + name
	}
	return id
}

// agrees reports whether the volts that were read are, as far as a person remembers them, those that a fault would make, and whether it would
// have left the fuses whole that were seen whole.
func (p *prober) agrees(f fault.Fault) (bool, error) {
	for _, r := range p.readings {
		off := false
		err := p.imagine(f, []stance{r.stance}, "", func() {
			for q, v := range r.volts {
				off = off || math.Abs(p.good.Volts(q)-p.good.Volts(r.minus)-v) > oddVolts
			}
		})
		if err != nil || off {
			return false, err
		}
	}
	melts, err := p.melts(f, p.whole...)
	return !melts, err
}

// beside reports whether a fault's place is at one of some things: in a connector, on a ground, the component in a plug, or a wire
// that ends there.
func (p *prober) beside(place string, things []string) bool {
	word, name, _ := strings.Cut(place, " ")
	id, _, _ := strings.Cut(name, ".")
	id, _, _ = strings.Cut(id, " ")
	switch word {
	case "wire":
		w := p.wire(name)
		return w != nil && (slices.Contains(things, p.place(w.From)) || slices.Contains(things, p.place(w.To)))
	case "component", "fuse":
		return slices.Contains(things, name) || slices.Contains(things, p.connectorOf(name))
	}
	return slices.Contains(things, id)
}
