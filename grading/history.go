package grading

import (
	"faultloom/sim/attempt"
	"faultloom/sim/meter"
)

// history is what has been measured and in which stances the attempt has been.
type history struct {
	stances  map[string]bool
	measures map[string]map[measure]bool
}

// past reads off the records what need not be done again since the last repair or fuse.
func (p *Planner) past() history {
	h := history{map[string]bool{}, map[string]map[measure]bool{}}
	c := attempt.NewCourse(p.ex.Harness, nil)
	p.lab.zeroed = false
	for _, rec := range p.records {
		c.Take(rec)
		switch rec.Action.(type) {
		case attempt.Zero:
			if rec.Observation.Refused == "" {
				p.lab.zeroed = c.Leads(meter.Clamp)[0] == ""
			}
		case attempt.Repair, attempt.FitFuse:
			if rec.Observation.Refused == "" {
				h = history{map[string]bool{}, map[string]map[measure]bool{}}
			}
		}
		at := p.lab.stanceOf(c)
		at.hand = handOf(rec)
		key := at.key()
		h.stances[key] = true
		if w := p.lab.wireAt(c.Leads(meter.Clamp)[0]); w != none {
			h.did(key, measure{meter.Amps, w, none})
		}
		p.took(&h, key, c, meter.Multimeter, c.Dial())
		p.took(&h, key, c, meter.TestLamp, meter.Off)
	}
	return h
}

// took notes what a tool with two ends has shown.
func (p *Planner) took(h *history, stance string, c *attempt.Course, tool meter.Tool, f meter.Function) {
	ends := c.Leads(tool)
	a, ok := p.lab.index[ends[0]]
	b, too := p.lab.index[ends[1]]
	if ok && too && (tool == meter.TestLamp) == (f == meter.Off) {
		h.did(stance, measure{f, a, b})
		h.did(stance, measure{f, b, a})
	}
}

func (h *history) did(stance string, m measure) {
	if h.measures[stance] == nil {
		h.measures[stance] = map[measure]bool{}
	}
	h.measures[stance][m] = true
}
