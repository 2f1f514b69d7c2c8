package attempt_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
	"faultloom/sim/meter"
)

// monkey does whatever comes to its mind, much of it impossible.
type monkey struct {
	r       *rand.Rand
	h       *harness.Harness
	points  []harness.Point
	places  []string
	entries []fault.Entry
	repairs []fault.Repair
}

func newMonkey(seed uint64, h *harness.Harness) *monkey {
	m := &monkey{r: rand.New(rand.NewPCG(seed, 1)), h: h, points: append(h.Points(), "X9.1.a", ""), entries: fault.Catalogue(h), repairs: fault.Repairs(h)}
	for _, c := range h.Connectors {
		m.places = append(m.places, c.ID, c.ID+"."+c.Cavities[0].Number)
	}
	for _, c := range h.Components {
		m.places = append(m.places, c.ID, "component "+c.ID, "fuse "+c.ID)
	}
	for _, w := range h.Wires {
		m.places = append(m.places, "wire "+w.ID)
	}
	m.places = append(m.places, "S1", "S3", "G1", "nowhere", "", "BAT.30", "body", "splice S3 24", "ring G1.29", "crimp X2.1.a")
	return m
}

func pick[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

func (m *monkey) connector() string { return pick(m.r, m.h.Connectors).ID }

func (m *monkey) action() attempt.Action {
	r := m.r
	switch n := r.IntN(30); {
	case n < 6:
		c := pick(r, m.h.Controls)
		return attempt.Operate{Control: c.ID, Position: pick(r, append(c.Positions, "sideways"))}
	case n < 7:
		return attempt.Mark{Line: r.IntN(7), Good: r.IntN(2) == 0}
	case n < 8:
		return attempt.Study{Page: pick(r, append(attempt.Pages(), "answer"))}
	case n < 11:
		return attempt.Dial{Function: pick(r, append(meter.Functions(), "henrys"))}
	case n < 18:
		return attempt.Lead{Tool: pick(r, append(meter.Tools(), "hammer")), End: r.IntN(2), Point: pick(r, m.points)}
	case n < 20:
		return attempt.Unplug{Connector: m.connector()}
	case n < 22:
		return attempt.Plug{Connector: m.connector()}
	case n < 23:
		return attempt.OpenLoom{Splice: pick(r, m.h.Splices).ID}
	case n < 24:
		return attempt.CloseLoom{Splice: pick(r, m.h.Splices).ID}
	case n < 25:
		place := pick(r, m.places)
		switch r.IntN(4) {
		case 0:
			return attempt.Wiggle{Place: place}
		case 1:
			return attempt.Warm{Place: place}
		case 2:
			return attempt.Cool{Place: place}
		}
		return attempt.Inspect{Place: place}
	case n < 26:
		f := pick(r, m.entries).Fault
		if f.Kind != fault.WrongRating {
			f.Severity = 0
		}
		return attempt.Find{Fault: f.String()}
	case n < 27:
		return attempt.Repair{Repair: pick(r, m.repairs).String()}
	case n < 28:
		return attempt.FitFuse{Connector: pick(r, []string{"XF0", "XF1", "XF2", "X1"}), Amps: pick(r, []float64{3, 10, 15, 20, 40, 11})}
	case n < 29:
		return attempt.ResetFuse{Tool: pick(r, meter.Tools())}
	}
	return attempt.Wait{Seconds: pick(r, []float64{0.004, 1, 60, 600, -1})}
}

// Whatever is done, nothing panics, nothing is lost, refused actions change nothing but the clock, and the log replays to the
// same observations and the same state.
func TestRandomAttempts(t *testing.T) {
	h := sample.Tractor()
	catalogue := fault.Catalogue(h)
	const attempts, actions = 60, 40
	for seed := range uint64(attempts) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			m := newMonkey(seed, h)
			ex := exerciseOn(t, h)
			ex.Seed = seed
			for range m.r.IntN(3) {
				f := pick(m.r, catalogue).Fault
				if len(ex.Faults) == 0 || ex.Faults[0].Place != f.Place { // a component has one defect at most
					ex.Faults = append(ex.Faults, f)
				}
			}
			a, log := start(t, ex)
			done := 0
			for range actions {
				act := m.action()
				before := a.State()
				obs, err := a.Do(act)
				if err != nil {
					var malformed *attempt.MalformedError
					require.ErrorAs(t, err, &malformed, "%#v with %v", act, ex.Faults)
					require.Equal(t, before, a.State())
					continue
				}
				done++
				after := a.State()
				require.Equal(t, done, after.Seq)
				require.Equal(t, obs.Ticks, after.Ticks)
				require.GreaterOrEqual(t, after.Ticks, before.Ticks, "time does not run back")
				require.Equal(t, done+1, log.lines)
				if obs.Refused != "" {
					require.Equal(t, before.Unplugged, after.Unplugged)
					require.Equal(t, before.Controls, after.Controls)
					require.Equal(t, before.Leads, after.Leads)
					require.Equal(t, before.Fuses, after.Fuses)
				}
				for tool, ends := range after.Leads {
					for _, p := range ends {
						require.True(t, p == "" || reachable(after, harness.Point(p)), "%s lies on %s, which is out of reach after %#v", tool, p, act)
					}
				}
			}
			again, err := attempt.Resume(ex, bytes.NewReader(log.Bytes()), &memory{})
			require.NoError(t, err, "%v", ex.Faults)
			require.Equal(t, a.Records(), again.Records())
			require.Equal(t, a.State(), again.State())
		})
	}
}

func reachable(s attempt.State, p harness.Point) bool {
	for _, r := range s.Reach {
		if r.Point == p {
			return r.Ok
		}
	}
	return false
}
