package bench

import (
	"fmt"
	"math"

	"faultloom/sim/attempt"
	"faultloom/sim/harness"
)

// provokeActions offers to wiggle, warm and cool the thing on the card, and the one cavity or ring in it that was chosen.
func (p *pen) provokeActions(o object, add func(btn)) {
	m := p.m
	if o.kind == "body" || o.kind == "splice" && !m.st.OpenLooms[o.id] {
		return
	}
	place := o.place()
	p.wiggle("wiggle", place, add)
	if at := m.chosenPart(o); at != "" {
		p.wiggle("wiggle/part", at, add)
	}
	if o.kind == "wire" {
		return // an end of it can be warmed, at its connector
	}
	for _, b := range []struct {
		id, label, what string
		act             attempt.Action
	}{
		{"warm", "Warm it", "with a hot-air blower", attempt.Warm{Place: place}},
		{"cool", "Cool it", "with freezer spray", attempt.Cool{Place: place}},
	} {
		add(btn{
			id: b.id, label: b.label, say: b.label[:4] + " " + place, hint: b.what + "; takes " + m.cost(b.act),
			act: func() { m.do(b.act) },
		})
	}
}

// wiggle offers to shake a place, or to let go of it.
func (p *pen) wiggle(id, place string, add func(btn)) {
	m := p.m
	if m.st.Shaking == place {
		add(btn{id: id, label: "Let go", say: "Let go of " + place, main: true, act: func() { m.do(attempt.Wait{Seconds: 1}) }})
		return
	}
	act := attempt.Wiggle{Place: place}
	label := "Wiggle it"
	if id == "wiggle/part" {
		label = "Wiggle " + place
	}
	add(btn{id: id, label: label, say: "Wiggle " + place, hint: "with an eye on the display and the vehicle; takes " + m.cost(act), act: func() { m.do(act) }})
}

// chosenPart is the cavity or ring that was chosen in a thing with several, "" for none.
func (m *Model) chosenPart(o object) string {
	if con := m.connector(o.id); o.kind == "connector" && con != nil {
		if cav := m.cavity(con); cav != "" && len(con.Cavities) > 1 {
			return con.ID + "." + cav
		}
		return ""
	}
	if i, ok := m.infos[m.point]; ok && m.objectOf(m.point) == o && (i.Kind == harness.GroundRing || i.Kind == harness.PostRing) {
		return string(m.point)
	}
	return ""
}

// provoked tells what is being done to a thing, and how warm it is where a finger tells.
func (p *pen) provoked(c *column, o object) {
	m := p.m
	if at := m.st.Shaking; at != "" {
		c.para(upper(at)+" is being wiggled: displays and vehicle show what that does. Whatever you do next lets go of it.",
			p.th.Text(p.th.Type.Caption).In(p.th.Caution))
	}
	if t, ok := m.st.Celsius[o.id]; ok {
		c.soft(fmt.Sprintf("It is at about %.0f °C now, and comes back to its surroundings.", math.Round(t)))
	}
}
