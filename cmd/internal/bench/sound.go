package bench

import (
	"sort"

	"faultloom/sim/attempt"
	"faultloom/sim/device"
	"faultloom/sim/meter"
)

// Cue is a sound to play once. Nothing waits for it, and what it says also stands on the screen.
type Cue string

// The sounds.
const (
	CueClick  Cue = "click"  // a relay pulls in or lets go
	CueHorn   Cue = "horn"   // a horn or another loud thing sounds
	CueBuzzer Cue = "buzzer" // a small one does
	CueBeep   Cue = "beep"   // the meter's continuity
)

// Cues returns the sounds since the last call and forgets them; none when sounds are off.
func (m *Model) Cues() []Cue {
	c := m.cues
	m.cues = nil
	if m.set.Mute {
		return nil
	}
	return c
}

// listen works out what is heard after an action: what was there before is not heard anew.
func (m *Model) listen(was attempt.State, obs attempt.Observation) {
	m.heard = nil
	clicked := false
	for _, e := range obs.Events {
		switch e.What {
		case "click-in", "click-out", "chatter":
			name := m.name(e.Component)
			word := map[string]string{"click-in": "clicks in", "click-out": "clicks out", "chatter": "clicks on and on"}[e.What]
			m.heard = append(m.heard, name+" "+word)
			if !clicked {
				m.cues = append(m.cues, CueClick)
				clicked = true
			}
		}
	}
	ids := make([]string, 0, len(m.st.Effects))
	for id := range m.st.Effects {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	for _, id := range ids {
		e := m.st.Effects[id]
		const silent = 0.02
		if e.Sense != device.Sound || e.Level <= silent || was.Effects[id].Level > silent {
			continue
		}
		cue := CueHorn
		if c := m.component(id); c != nil && c.Spec.Kind == "buzzer" {
			cue = CueBuzzer
		}
		m.cues = append(m.cues, cue)
	}
	if beeps(m.st) && !(beeps(was) && sameLeads(was, m.st)) {
		m.cues = append(m.cues, CueBeep)
	}
}

func beeps(s attempt.State) bool { return has(s.Displays[meter.Multimeter].Words, "beep") }

func sameLeads(a, b attempt.State) bool {
	return a.Leads[meter.Multimeter] == b.Leads[meter.Multimeter]
}

// name is a component's name for people.
func (m *Model) name(id string) string {
	if c := m.component(id); c != nil && c.Title != "" {
		return c.Title
	}
	return id
}
