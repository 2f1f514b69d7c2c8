package attempt

import (
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// prompt are the kinds of components that come to rest while a person looks: no inertia, no timers, nothing that latches. A relay and a
// fuse are among them, for it can be seen whether what they do depends on how it came about.
var prompt = [...]string{"battery", "fuse", "switch", "button", "relay", "lamp", "horn", "buzzer", "resistor", "diode"}

const (
	// DarkLevel and BrightLevel bound the light, as a share of the rated, between which a filament may take long to come to rest. Below,
	// at an eighth of its voltage (light goes with about the 3.4th power), nothing is seen of it; above, what lies in series with it
	// is at most a quarter of its hot resistance, so that cold it gets most of its rated power at once.
	DarkLevel, BrightLevel = 1e-3, 0.5
)

// isPrompt reports whether all components are of such kinds.
func isPrompt(kinds []string) bool {
	for _, k := range kinds {
		if !slices.Contains(prompt[:], k) {
			return false
		}
	}
	return true
}

// sure reports whether what the model shows follows from the circuit alone, and not from the way in which it came there: nothing in it
// takes long, no fuse has been overloaded, and its relays come to the same state from wherever they start.
func (m *Model) sure() (bool, error) {
	s := &m.sight
	if m.exact || s.Strained || s.Doubtful || s.Restless || !m.atOnce(s) {
		return false, nil
	}
	if !m.stale {
		return s.oneWay, nil
	}
	var err error
	s.oneWay, err = m.oneWay()
	m.stale = false
	return s.oneWay, err
}

// atOnce reports whether the vehicle comes to what a sight shows while a person looks.
func (m *Model) atOnce(s *Sight) bool {
	for i, k := range m.kinds {
		if k == "lamp" && !settled(s.Effects[i]) {
			return false
		}
	}
	return m.prompt && (s.Lamp.Word == "" || settled(s.Lamp))
}

func settled(e device.Effect) bool { return e.Level < DarkLevel || e.Level > BrightLevel }

// oneWay reports whether the relays, turned over one at a time and all together, come back to where they are. It leaves the model as
// it was.
func (m *Model) oneWay() (bool, error) {
	for _, a := range m.w.m.Alterations() {
		if series, ok := a.(harness.SeriesOhms); ok && series.When != harness.Always {
			return false, nil // it comes and goes
		}
	}
	if len(m.relays) == 0 {
		return true, nil
	}
	was := make([][]float64, len(m.relays))
	for k, i := range m.relays {
		was[k] = m.relay(i).State()
	}
	back := func() {
		for k, i := range m.relays {
			m.relay(i).SetState(was[k])
		}
	}
	same := true
	for turn := 0; same && turn <= len(m.relays); turn++ {
		if turn == 1 && len(m.relays) == 1 {
			break // all together was this one
		}
		back()
		for k, i := range m.relays {
			if turn == 0 || turn == k+1 {
				m.relay(i).Turn(was[k][0] == 0)
			}
		}
		if err := m.w.m.Settle(); err != nil {
			same = false
			break
		}
		for k, i := range m.relays {
			same = same && m.relay(i).State()[0] == was[k][0]
		}
	}
	back()
	return same, m.w.m.Settle()
}
