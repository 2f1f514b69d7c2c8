package harness_test

import (
	"fmt"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// entry picks one of a catalogue, each kind of fault as often as any other: wires and joints are many, defects of components few.
func (b *robot) entry(list []fault.Entry) fault.Entry {
	var kinds []fault.Kind
	by := map[fault.Kind][]fault.Entry{}
	for _, e := range list {
		if by[e.Fault.Kind] == nil {
			kinds = append(kinds, e.Fault.Kind)
		}
		by[e.Fault.Kind] = append(by[e.Fault.Kind], e)
	}
	some := by[kinds[b.r.IntN(len(kinds))]]
	return some[b.r.IntN(len(some))]
}

// disturbances are what can be done to a vehicle besides operating it and measuring.
var disturbances = []struct {
	name string
	do   func(b *robot) error
}{
	{"wiggle", func(b *robot) error { return b.m.Wiggle(b.place()) }},
	{"wiggle no more", func(b *robot) error { return b.m.Wiggle("") }},
	{"warm", func(b *robot) error { return b.m.Warm(b.place()) }},
	{"cool", func(b *robot) error { return b.m.Cool(b.place()) }},
	{"age", func(b *robot) error { b.m.Age(10 + 1000*b.r.Float64()); return nil }},
	{"replace", func(b *robot) error { return b.m.Replace(b.h.Components[b.r.IntN(len(b.h.Components))].ID) }},
	{"fit a fuse", func(b *robot) error {
		for _, c := range b.h.Connectors {
			if c.Mount == harness.Holder {
				if f := b.m.Fuse(c.ID); f != nil {
					return b.m.FitFuse(c.ID, f.Fitted())
				}
			}
		}
		return nil
	}},
	{"repair", func(b *robot) error { return b.m.Alter(nil) }},
	{"open the loom", func(b *robot) error {
		s := b.h.Splices[b.r.IntN(len(b.h.Splices))].ID
		b.m.OpenLoom(s)
		return nil
	}},
	{"go back", func(b *robot) error { return b.m.Restore(b.m.Snapshot()) }},
	{"look closer", func(b *robot) error {
		n := 0
		err := b.m.Watch(0.01, 0.1, func(at, dt float64) bool {
			if n++; !(dt > 0) || !(at >= 0) {
				b.fail("a step of %g s at %g s", dt, at)
			}
			b.sums()
			return n < 500
		})
		b.judge(err)
		return nil
	}},
	{"stand", func(b *robot) error { // with whatever is on, wrong and connected
		c := b.h.Controls[len(b.h.Controls)-1]
		b.operate(c, c.Positions[0])
		b.operate(c, c.Stands[b.r.IntN(len(c.Stands))].Position)
		return nil
	}},
	{"capture", func(b *robot) error { b.tools.SetCapture(!b.tools.Capturing()); return nil }},
	{"relative", func(b *robot) error {
		if b.tools.Shows() {
			return b.tools.SetRelative(!b.tools.Relative())
		}
		return nil
	}},
	{"zero the clamp", func(b *robot) error {
		if b.tools.Leads(meter.Clamp)[0] == "" {
			return nil
		}
		b.judge(b.tools.Zero(meter.Clamp, b.m))
		return nil
	}},
}

// operate puts a control to a position. When that lets the vehicle stand, it must do so to its end, with all as it is in any solution.
func (b *robot) operate(c harness.Control, position string) {
	stood, was := b.m.Stood(), b.m.Position(c.ID)
	solved := b.judge(b.m.Operate(c.ID, position))
	s, stands := c.StandFor(position)
	if !solved || !stands || was == position {
		return
	}
	b.what += fmt.Sprintf(" for %g s", s.Seconds)
	b.tally.stood++
	if want := stood + s.Seconds; !s.Charged && b.m.Stood() != want || s.Charged && b.m.Stood() != 0 {
		b.fail("it has stood for %g s, %g wanted", b.m.Stood(), want)
	}
	for _, q := range b.m.Charges() {
		if !(q >= 0 && q <= 1) || s.Charged && q != 1 {
			b.fail("the battery's charge is %g", q)
		}
	}
	b.sums()
	b.looks()
}

// disturb does one of them, on a circuit at rest as far as it has one.
func (b *robot) disturb() {
	d := disturbances[b.r.IntN(len(disturbances))]
	b.what += "; " + d.name
	b.tally.happened[d.name]++
	if d.name == "look closer" && !b.judge(b.m.Settle()) {
		return
	}
	if err := d.do(b); err != nil {
		b.fail("%v", err)
	}
}

// place is one that can be wiggled, warmed or cooled.
func (b *robot) place() string {
	var p string
	switch b.r.IntN(4) {
	case 0:
		p = b.h.Components[b.r.IntN(len(b.h.Components))].ID
	case 1:
		p = b.h.Splices[b.r.IntN(len(b.h.Splices))].ID
	case 2:
		p = b.h.Grounds[b.r.IntN(len(b.h.Grounds))].ID
	default:
		c := b.h.Connectors[b.r.IntN(len(b.h.Connectors))]
		p = fmt.Sprintf("%s.%s", c.ID, c.Cavities[b.r.IntN(len(c.Cavities))].Number)
	}
	b.what += " " + p
	return p
}
