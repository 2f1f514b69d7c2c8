package grading

import (
	"math"
	"slices"

	"faultloom/sim/attempt"
)

const (
	// finestCut is the ratio of ends below which no cell is cut that falls or stands by degree: as near as parts are to their nominal
	// values.
	finestCut = 1 + partShareOf
	// hairCut is the same for a cell that stands though neither of its ends agrees by itself, for something switches between them. Behaviour
	// of its own, such as a relay that chatters, has a wider range than this, and of two ends so near one does at every moment what
	// all between them does.
	hairCut = 1.0005
	// mixedCut is the same for a cell at whose ends control units make something else of their inputs: between them they may do what they do at
	// neither, such as switch on what then has voltage enough.
	mixedCut = 1.25
	// wideCell is the ratio of ends from which a cell that falls is looked into at three places, not one.
	wideCell = 2
	// leapLevel is the difference of an effect's level, 1 being its rated strength, that ends as near as finestCut do not have by
	// degree: light goes with the 3.4th power of voltage, so 2 % of ohms are less than 7 % of light.
	leapLevel = 0.1
)

// mind is a cell with how many records it has been tried against.
type mind struct {
	cell
	known int
	own   [2]bool // whether the lower and the upper end agree by themselves with all records
	leaps bool    // at some record its ends have differed by more than degree
	// failed is the record at which the second of its ends did not agree by itself, and fails how.
	failed int
	fails  Margin
	whole  bool   // it fell at rest, and all that lies between its ends with it
	keen   bool   // an end that does not agree by itself is looked at as the attempt went
	other  bool   // it fell where at one of its ends something came and went, so that between them it may have stayed
	mixed  bool   // control units have made something else of their inputs at its ends
	torn   bool   // its ends have shown different things at some record, so what lies between may show a third
	cycles bool   // a breaker that closes again by itself was open at one of its ends and not at the other
	phase  bool   // it fell by what hangs on such a breaker, where that was a matter of when it had begun
	sways  uint64 // components, by bit, that did something else where it was open
}

// entry tries the cells of one entry, and returns those that stand, the lowest first.
func (l *learner) entry(cells []mind) ([]mind, error) {
	todo := slices.Clone(cells)
	var done []mind
	for len(todo) > 0 {
		c := todo[0]
		todo = todo[1:]
		if err := l.try(&c, len(done)+len(todo) < mostCells); err != nil {
			return nil, err
		}
		split, err := l.split(&c, len(done)+len(todo))
		if err != nil {
			return nil, err
		}
		if split {
			mid := amidst(c.lo, c.hi)
			share := math.Log(mid/c.lo) / math.Log(c.hi/c.lo)
			a, b := c, c
			a.hi, b.lo = mid, mid
			a.weight, b.weight = c.weight*share, c.weight*(1-share)
			a.fresh(false)
			b.fresh(false)
			todo = append([]mind{a, b}, todo...)
			continue
		}
		if c.fell < 0 {
			done = append(done, c)
		} else if l.fallen != nil {
			l.fallen = append(l.fallen, c.cell)
		}
	}
	return done, nil
}

// split reports whether a cell that has been tried is to be cut, and decides what becomes of one that is so narrow that cutting tells
// no more, or for which there is no room beside the entry's other cells. A cell falls only if nothing in it can agree:
// when what lies between its ends does not lie between what they show, it is cut until it does.
func (l *learner) split(c *mind, others int) (bool, error) {
	if !(c.hi > c.lo) {
		return false, nil
	}
	ratio, room := c.hi/c.lo, others < mostCells
	if c.fell >= 0 {
		c.torn = c.torn || c.mixed && !c.whole && ratio > mixedCut
		if !c.torn && !c.whole && (ratio > lastCut || ratio > finestCut && (c.other || c.phase)) {
			strange, err := l.strange(c)
			if err != nil {
				return false, err
			}
			c.torn = strange
		}
		switch {
		case !c.torn || ratio <= finestCut:
			return false, nil
		case !room:
			c.fell, c.known = -1, len(l.records)
		}
		return room, nil
	}
	lost := !c.own[0] && !c.own[1] // neither end agrees by itself
	switch {
	case !room:
		return false, nil
	case ratio > lastCut && !c.sure, ratio > finestCut && lost, ratio > hairCut && lost && c.leaps:
		return true, nil
	case lost && c.leaps:
		c.fell, c.why = c.failed, c.fails
	}
	return false, nil
}

// strange reports whether anything looked at between the ends of a cell that fell shows something that does not lie between what they
// show, or agrees with what they contradict. From one steady state to the next is enough to see that something switches.
func (l *learner) strange(c *mind) (bool, error) {
	probe := *c
	probe.exact = false
	mid := amidst(c.lo, c.hi)
	places := []float64{mid}
	if c.hi > c.lo*wideCell {
		places = append(places, amidst(c.lo, mid), amidst(mid, c.hi))
	}
	for _, between := range places {
		for i := range c.fell + 1 {
			a, b, err := l.ends(&probe, i)
			if err != nil {
				return false, err
			}
			mid, err := l.sight(trackKey{c.entry, between, false}, i)
			if err != nil {
				return false, err
			}
			if !alike(a, mid) || !alike(b, mid) || !mid.Restless && !amid(a, mid, b) {
				return true, nil
			}
			if i == c.fell && mid.Restless { // what it shows here is chance
				sharp, err := l.sharpEnd(c, between, i)
				if err != nil {
					return false, err
				}
				if mid = sharp; mid == nil {
					if mid, err = l.sight(trackKey{c.entry, between, true}, i); err != nil {
						return false, err
					}
				}
			}
			if i == c.fell && l.agrees(i, mid, mid) == nil {
				return true, nil
			}
		}
	}
	return false, nil
}

// amid reports whether what one sight shows lies between what two others show, by degree.
func amid(a, mid, b *attempt.Sight) bool {
	for i, e := range mid.Effects {
		if x, y := a.Effects[i].Level, b.Effects[i].Level; e.Level < min(x, y)-leapLevel || e.Level > max(x, y)+leapLevel {
			return false
		}
	}
	if math.IsNaN(mid.Meter) || math.IsInf(mid.Meter, 0) {
		return true
	}
	slack := partVolts + float64(partShareOf*math.Abs(mid.Meter))
	return !(mid.Meter < min(a.Meter, b.Meter)-slack) && !(mid.Meter > max(a.Meter, b.Meter)+slack)
}

// try takes a cell through the records that it has not been tried against: from one steady state to the next, and once something
// contradicts it, exactly as the attempt went: from the last moment at which nothing was left of what went before (sharp), or from the
// beginning. Only that can make it fall, but where no drive could mend it. room says whether the entry may have one more cell.
func (l *learner) try(c *mind, room bool) error {
	for i := c.known; i < len(l.records); i++ {
		a, b, err := l.ends(c, i)
		if err != nil {
			return err
		}
		why := l.agrees(i, a, b)
		if !c.exact && (why != nil || a.Restless && b.Restless) {
			x, y, idle, err := l.cheaply(c, i, why == nil)
			if err != nil {
				return err
			}
			if x != nil {
				a, b, why = x, y, l.agrees(i, x, y)
			}
			if idle && why != nil {
				c.fell, c.why, c.torn, c.whole = i, *why, false, true
				return nil
			}
		}
		if why != nil && !c.exact {
			margin, within, err := l.fallsAtRest(c, i, a, b)
			if err != nil {
				return err
			}
			if margin != nil {
				c.fell, c.why, c.torn, c.whole = i, *margin, within == differs, within == falls
				return nil
			}
			if a, b, err = l.sharpEnds(c, i); err != nil {
				return err
			}
			if a == nil {
				c.fresh(true)
				return l.try(c, room)
			}
			why = l.agrees(i, a, b)
		}
		if c.lo < c.hi {
			c.torn, c.mixed = c.torn || !alike(a, b), c.mixed || mixed(a, b)
			c.leaps = c.leaps || leap(a, b)
			if l.cycles(a, b) {
				c.cycles, c.sways = true, c.sways|differing(a, b)
			}
			if (a.Cycling || b.Cycling) && l.stood(i) {
				c.cycles, c.sways = true, math.MaxUint64 // in step by chance
			}
		}
		if why != nil {
			if l.chance(c, a, b, why) {
				continue
			}
			c.fell, c.why, c.other, c.phase = i, *why, a.Wavers || b.Wavers, l.swayed(c, a, b, why)
			return nil
		}
		if c.exact && a.Swarms != b.Swarms && room && c.hi > c.lo*lastCut && !chatters(l.records[i].Observation) {
			c.sure = false // cut it first: to go on with an end that cannot be, and that comes and goes on and on, is what costs most
			return nil
		}
		if c.lo < c.hi && (c.own[0] || c.own[1]) {
			for k, s := range [2]*attempt.Sight{a, b} {
				if !c.own[k] {
					continue
				}
				m := l.agrees(i, s, s)
				if m != nil && c.keen && !c.exact {
					if s, err = l.sharpEnd(c, [2]float64{c.lo, c.hi}[k], i); err != nil {
						return err
					}
					if s == nil {
						c.fresh(true)
						return l.try(c, room)
					}
					m = l.agrees(i, s, s)
				}
				if m != nil && !l.chance(c, a, b, m) {
					c.sure, c.own[k], c.failed, c.fails = false, false, i, *m
				}
			}
		}
	}
	if !c.exact && !c.keen && c.lo < c.hi && !c.own[0] && !c.own[1] {
		// It stands only because its ends lie on either side of what was shown, or because something was moving.
		c.fresh(false)
		c.keen = true
		return l.try(c, room)
	}
	c.known = len(l.records)
	return nil
}

// agrees compares what a record shows with what a candidate shows at the two ends of its interval, see agrees.
func (l *learner) agrees(i int, lo, hi *attempt.Sight) *Margin {
	if l.r.aside[i] {
		return nil
	}
	if lo != hi {
		return agrees(l.r.ex.Harness, l.records[i], l.dials[i], lo, hi)
	}
	for len(l.asked) <= i {
		l.asked = append(l.asked, asked{})
	}
	// Many candidates show at many records what the leader does, which is one sight.
	if q := &l.asked[i]; q.sight != lo {
		*q = asked{lo, agrees(l.r.ex.Harness, l.records[i], l.dials[i], lo, lo)}
	}
	return l.asked[i].why
}

// asked is the sight of which agrees was asked last at a record, with the answer.
type asked struct {
	sight *attempt.Sight
	why   *Margin
}

// fresh makes a cell one that has not been tried yet.
func (c *mind) fresh(exact bool) {
	c.known, c.exact, c.keen, c.fell = 0, exact, false, -1
	c.sure, c.own, c.mixed, c.torn, c.leaps, c.whole, c.other, c.cycles, c.phase, c.sways = true, [2]bool{true, true}, false, false, false, false, false, false, false, 0
}

// leap reports whether two sights differ by so much that not degree but something that switches, such as a relay or a fuse, lies
// between them.
func leap(a, b *attempt.Sight) bool {
	for i := range a.Effects {
		if math.Abs(a.Effects[i].Level-b.Effects[i].Level) > leapLevel {
			return true
		}
	}
	return !alike(a, b)
}

// mixed reports whether control units make something else of their inputs in two sights that are not restless.
func mixed(a, b *attempt.Sight) bool {
	return a != b && !a.Restless && !b.Restless && !slices.Equal(a.Sensed, b.Sensed)
}

// alike reports whether two sights differ only by degree: where a relay has moved or a fuse has opened at one end of a cell and not at the
// other, what lies between need not lie between what they show. Of what does not come to rest the phase is chance.
func alike(a, b *attempt.Sight) bool {
	if a == b || a.Restless || b.Restless {
		return a.Restless == b.Restless
	}
	return slices.Equal(a.Clicked, b.Clicked) && slices.Equal(a.Switched, b.Switched)
}
