package attempt

import (
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Course is where an attempt stands by its records, moved on by actions that are only planned: what they would cost, and what
// they would leave apart. It knows nothing of the fault. It is not safe for concurrent use.
type Course struct{ t *track }

// NewCourse returns the course of an attempt at a harness after its records.
func NewCourse(h *harness.Harness, records []Record) *Course {
	c := &Course{newTrack(h)}
	for _, rec := range records {
		c.t.take(rec)
	}
	return c
}

// Clone returns a course that moves on its own.
func (c *Course) Clone() *Course { return &Course{c.t.clone()} }

// Seconds returns the bench time in seconds that an action would take now, if it can be done.
func (c *Course) Seconds(act Action) float64 { return duration(c.t.h, c.t.accessed, c.t.open, act) }

// Take moves the course by a record, of which a planned action's has no more than the action.
func (c *Course) Take(rec Record) { c.t.take(rec) }

// Go moves the course as if the action had been done, and returns its bench time in seconds.
func (c *Course) Go(act Action) float64 {
	s := c.Seconds(act)
	c.t.take(Record{Action: act})
	return s
}

// Position returns the position in which a control stands, "" if there is no such control.
func (c *Course) Position(control string) string { return c.t.controls[control] }

// Parted reports whether the halves of a connector are apart.
func (c *Course) Parted(connector string) bool { return c.t.parted[connector] }

// Open reports whether the loom is open at a splice.
func (c *Course) Open(splice string) bool { return c.t.open[splice] }

// Dial returns what the multimeter is turned to.
func (c *Course) Dial() meter.Function { return c.t.dial }

// Leads returns where a tool's two ends are, "" for one that is lifted.
func (c *Course) Leads(t meter.Tool) [2]harness.Point { return c.t.leads[t] }

// Fuse returns what is known of the fuse in a holder.
func (c *Course) Fuse(holder string) FuseState { return c.t.fuses[holder] }

// Stage returns the stage of the plan that the last action belongs to.
func (c *Course) Stage() string { return c.t.stage }

// Mark returns how a line of the check is marked: 1 good, -1 not good, 0 not since the stage began.
func (c *Course) Mark(line int) int { return c.t.marks[line] }

// Finding returns the last finding in text form, "" when none was declared.
func (c *Course) Finding() string { return c.t.finding }

// Repairs returns how many repairs have been made.
func (c *Course) Repairs() int { return len(c.t.repairs) }

// Closed reports whether the job is closed.
func (c *Course) Closed() bool { return c.t.closed }
