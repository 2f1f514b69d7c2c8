package attempt

import (
	"errors"
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

// atOnce reports whether the vehicle comes to what a sight shows while a person looks.
func (m *Model) atOnce(s *Sight) bool {
	for i, k := range m.kinds {
		if k == "lamp" && !settled(s.Effects[i]) {
			return false
		}
	}
	return m.prompt && !s.Drawn && (s.Lamp.Word == "" || settled(s.Lamp))
}

func settled(e device.Effect) bool { return e.Level < DarkLevel || e.Level > BrightLevel }

// OneWay reports whether what the model, which is not exact, shows is what its circuit comes to from wherever it starts, with its fuses as they
// are: nothing else in it remembers, and what is one thing or another, turned over one at a time and all together, comes back to where it
// is once timers are done, and bears there that all starts at once, cold. It leaves the model as it was.
func (m *Model) OneWay() (bool, error) {
	if m.exact || m.remembers || m.adrift || m.sight.Restless {
		return false, nil
	}
	var was [][]float64
	var stands [][]bool
	var parts [][2]int   // of which device, and which of its parts
	var reverting []bool // by part: nothing comes of turning it over alone
	for k, d := range m.turning {
		n := d.Parts()
		if n == 0 {
			return false, nil
		}
		for i := range n {
			parts = append(parts, [2]int{k, i})
			r, may := d.(device.Reverting)
			reverting = append(reverting, may && r.Reverts(m.w.m.Solver(), i))
		}
		was, stands = append(was, d.State()), append(stands, d.Stands())
	}
	if len(parts) == 0 {
		return true, nil
	}
	back := func() {
		for k, d := range m.turning {
			d.SetState(was[k])
		}
	}
	same := true
	for turn := -1; same && turn < len(parts); turn++ { // first all of them
		if turn == 0 && len(parts) == 1 {
			break
		}
		if back(); turn >= 0 && reverting[turn] {
			continue
		}
		for k, p := range parts {
			if turn < 0 || turn == k {
				m.turning[p[0]].Turn(p[1])
			}
		}
		if err := m.settleTimers(); err != nil {
			same = false
			break
		}
		for k, d := range m.turning {
			same = same && slices.Equal(d.Stands(), stands[k])
		}
	}
	back()
	if rests, err := m.settles(); err != nil || !rests || !same {
		return false, err
	}
	return m.bearsStart()
}

// settles brings the circuit to rest, and reports whether there is one from here.
func (m *Model) settles() (bool, error) {
	err := m.w.m.Settle()
	if errors.Is(err, harness.ErrRestless) {
		return false, nil
	}
	return err == nil, err
}

// mostTimers bounds how many timers may come to their end one after the other.
const mostTimers = 16

// settleTimers settles the circuit and lets all timers come to their end. Those that start one another without end have no rest.
func (m *Model) settleTimers() error {
	for range mostTimers {
		if err := m.w.m.Settle(); err != nil {
			return err
		}
		ran := false
		for _, d := range m.timed {
			ran = d.Expire() || ran
		}
		if !ran {
			return nil
		}
	}
	return harness.ErrRestless
}

// bearsStart reports whether what is one thing or another stays so when all that draws more until it is warm or at its speed begins with that.
// It leaves the circuit, which must be settled, as it was.
func (m *Model) bearsStart() (bool, error) {
	for _, l := range m.lamps {
		l.Chill()
	}
	for _, d := range m.starting {
		d.Halt()
	}
	bears, err := m.w.m.Bears()
	if err != nil {
		return false, err
	}
	rests, err := m.settles()
	return bears && rests, err
}
