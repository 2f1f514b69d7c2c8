package attempt

import (
	"math"
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// What a model that goes from one steady state to the next cannot know is what an inrush has left in a fuse. So it says of a fuse that
// has carried too much for a while whether it is sure to have opened, or sure not to have.

// fuseAt is a fuse of the vehicle with the limb that carries its current.
type fuseAt struct {
	component int // its index, -1 when the holder is empty by the harness
	limb      harness.Limb
}

// fuse returns what sits in a holder, nil when that is no fuse.
func (m *Model) fuse(f fuseAt) *device.Fuse {
	if f.component < 0 {
		return nil
	}
	x, _ := m.w.m.Component(f.component).(*device.Fuse)
	return x
}

// strain is what a fuse has gone through.
type strain struct {
	since  float64         // seconds for which it has carried more than its rating without a break
	begun  device.FuseHeat // how warm it was at least when the last steady state began
	cool   device.FuseHeat // and at its end
	due    float64         // seconds for which it would have gone on doing so
	maybe  float64         // seconds that must pass before it is sure to have opened
	doubts bool            // it is not sure whether it has
}

const (
	// doubtFrom is the load of a fuse, as a share of its rating, from which it counts: blade fuses carry 110 % for ever (ISO 8820-3). The inrush
	// of filaments is over before it matters to a fuse that carries them for good: at its rating the model fuse reaches 70 % of its melting heat.
	doubtFrom = 1.0
	// doubtTo is the load of a tool's fuse from which it opens while somebody looks: blade fuses open within seconds from 200 % on
	// (ISO 8820-3); 160 % takes up to 50 s.
	doubtTo = 1.7
	// doubtShare and doubtSeconds are how far the time at which a fuse opens may be off, as a share of the time that it takes and beside
	// that: an inrush that comes first warms it by no more than what it carries for good does in that time.
	doubtShare, doubtSeconds = 0.5, 1.0
	// A fuse has got at least as warm as one that was cold on arrival would have under coldAmps of the currents of all steady states since, for a
	// battery's voltage is followed by degrees of less than a thousandth; what is switched on beside it draws the supply down until it is warm, which
	// puts off its opening by no more than coldSeconds. Below warmFrom of its rating it counts as cold.
	coldAmps, coldSeconds, warmFrom = 0.99, 0.3, 0.5
	// selective is how many times as long a fuse would take as another in series with it to be sure to outlast it.
	selective = 3.0
)

// strain notes what seconds of the present steady state will do to the vehicle's fuses. It comes before they pass.
func (m *Model) strain(seconds float64) {
	if m.exact {
		return
	}
	sol, first := m.w.m.Solver(), math.Inf(1)
	m.sure += seconds
	for i, f := range m.fuses {
		fuse, x := m.fuse(f), &m.strains[i]
		if x.maybe > 0 {
			m.sure = 0
			x.doubts = x.doubts || m.stirred
			x.maybe = max(0, x.maybe-seconds)
		}
		was := *x
		x.since, x.due = 0, math.Inf(1)
		share := 0.0
		if fuse != nil && !fuse.Blown() {
			share = m.fuseShare(i)
		}
		if x.begun, x.cool = was.cool, (device.FuseHeat{}); share > warmFrom {
			x.cool = fuse.Warmed(was.cool, coldAmps*share*fuse.Rating(), seconds)
		}
		loaded := share > doubtFrom
		if was.since > 0 && (!loaded || m.stirred) && was.due < doubtShare*was.since+doubtSeconds {
			x.doubts = true
		}
		if !loaded {
			continue
		}
		m.sure = 0
		x.since, x.due = was.since+seconds, fuse.Due(sol)-seconds
		first = min(first, x.due)
	}
	for i := range m.strains {
		x := &m.strains[i]
		switch due := x.due + seconds; {
		case x.since == 0:
		case x.due == first && first <= 0: // it opens
			x.maybe = max(0, m.late(i, x.since-seconds+due, due)+x.due)
			x.since, x.due = 0, math.Inf(1)
		case first <= 0 && due < selective*(first+seconds): // the one that opens takes the load off this one, or the other way round
			x.doubts = true
		}
	}
	m.stirred = false
}

// cool counts all fuses as cold, for one may be new.
func (m *Model) cool() {
	for i := range m.strains {
		m.strains[i].cool = device.FuseHeat{}
	}
}

// late returns by how many seconds a fuse may open later than it does from one steady state to the next, since seconds after it began to carry too much
// and due after the present steady state began: where no motor comes to its speed, hardly later than one that was cold on arrival.
func (m *Model) late(i int, since, due float64) float64 {
	late := doubtShare*since + doubtSeconds
	if m.speedsUp() {
		return late
	}
	fuse := m.fuse(m.fuses[i])
	return min(late, fuse.Bears(m.strains[i].begun, coldAmps*m.fuseShare(i)*fuse.Rating())-due+coldSeconds)
}

// poise keeps how what may start stands before an action.
func (m *Model) poise() {
	m.started = m.started[:0]
	for _, d := range m.starting {
		m.started = append(m.started, d.State())
	}
}

// start looks what a start would do to the vehicle's fuses, all else having come to where it is now.
func (m *Model) start() error {
	if m.exact || len(m.starting) == 0 || m.sight.Restless {
		return nil
	}
	var now [][]float64
	moved := false
	for k, d := range m.starting {
		now = append(now, d.State())
		moved = moved || len(m.started[k]) == len(now[k]) && !slices.EqualFunc(m.started[k], now[k], sameStart)
	}
	if !moved {
		return nil
	}
	for k, d := range m.starting {
		if len(m.started[k]) == len(now[k]) {
			d.SetState(m.started[k])
		}
	}
	if err := m.w.m.Instant(); err != nil {
		return err
	}
	sol, seconds := m.w.m.Solver(), 0.0
	for _, d := range m.starting {
		seconds = max(seconds, d.Starts(sol))
	}
	for i, f := range m.fuses {
		if fuse := m.fuse(f); fuse != nil && !fuse.Blown() && fuse.Due(sol) < seconds {
			m.strains[i].doubts = true
		}
	}
	for k, d := range m.starting {
		d.SetState(now[k])
	}
	rests, err := m.settles()
	if err == nil && !rests {
		m.roam(0)
	}
	return err
}

// startGrain is by how much of its rated speed or heat what may start must have moved to start.
const startGrain = 1e-3

// sameStart reports whether a number of what may start is the same after an action as before.
func sameStart(x, y float64) bool { return math.Abs(x-y) <= startGrain*max(1, math.Abs(x)) }

// fuseShare is the current of a fuse of the vehicle over its rating.
func (m *Model) fuseShare(i int) float64 {
	f := m.fuses[i]
	return math.Abs(m.w.m.LimbAmps(f.limb)) / m.fuse(f).Rating()
}

// doubt fills in what the sight tells about fuses.
func (m *Model) doubt() {
	s := &m.sight
	s.Strained, s.Doubtful = false, false
	s.Blown, s.Loaded, s.Doubts = s.Blown[:0], s.Loaded[:0], s.Doubts[:0]
	for i, f := range m.fuses {
		fuse, x := m.fuse(f), &m.strains[i]
		blown := fuse != nil && fuse.Blown()
		loaded := fuse != nil && !blown && m.fuseShare(i) > doubtFrom
		s.Blown, s.Loaded, s.Doubts = append(s.Blown, blown), append(s.Loaded, loaded), append(s.Doubts, x.doubts || x.maybe > 0 || loaded)
		s.Doubtful = s.Doubtful || x.doubts
		s.Strained = s.Strained || x.maybe > 0 || loaded
	}
	s.ToolStrained = false
	for _, share := range m.w.bench.FuseLoads(m.w.m) {
		m.otherDoubt = m.otherDoubt || share > doubtFrom && share < doubtTo
		s.ToolStrained = s.ToolStrained || share > doubtFrom
	}
	s.ToolStrained = s.ToolStrained || m.otherDoubt
	s.Strained, s.Doubtful = s.Strained || s.ToolStrained, s.Doubtful || m.otherDoubt
}
