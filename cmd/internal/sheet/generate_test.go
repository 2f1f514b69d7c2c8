package sheet_test

import (
	"fmt"
	"math/rand/v2"
	"strconv"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// generator makes harnesses of any size and shape for property tests: invented, electrically plausible, with what makes
// layout hard: connectors used in both directions, cavities with two wires, big splices, parts with many terminals,
// things that hang in the air.
type generator struct {
	maker
	r     *rand.Rand
	n     int      // number of the next wire
	highs []string // places that are fed: a wire may start there
}

func generated(seed uint64, wires int) *harness.Harness {
	g := &generator{r: rand.New(rand.NewPCG(seed, 7))}
	g.h.ID, g.h.Title = fmt.Sprintf("gen-%d", seed), "Generated circuit"
	g.h.Vehicle = harness.Vehicle{Fleet: "GX-1", Title: "generated vehicle", Outline: "plain", Volts: 12, Celsius: 20}
	g.part("BAT", "battery", "battery", []string{"30", "31"}, map[string]float64{"volts": 12, "capacity": 70})
	for i := range 1 + g.r.IntN(3) {
		g.ground(fmt.Sprintf("G%d", i+1), g.title())
	}
	g.lead("BAT.31", g.anyGround())
	g.part("F0", "main fuse", "large-fuse", []string{"1", "2"}, map[string]float64{"rating": 60})
	g.plug("XF0", "main fuse holder", harness.Holder, "F0", "1", "1", "2", "2")
	g.splice("Q0")
	g.lead("BAT.30", "XF0.1.a")
	g.highs = []string{"Q0", "Q0", "Q0", "Q0"}
	if wires > 2 {
		g.lead("XF0.2.a", "Q0")
	}
	for g.n < wires {
		g.step(wires - g.n)
	}
	return &g.h
}

func (g *generator) title() string {
	words := []string{"left", "rear", "work lamp", "beacon", "cab", "pump", "supply", "switched", "auxiliary"}
	s := words[g.r.IntN(len(words))]
	for range g.r.IntN(4) {
		s += " " + words[g.r.IntN(len(words))]
	}
	return s
}

func (g *generator) lead(from, to string) {
	codes := []string{"RD", "BK", "BN", "YE/RD", "GN/WH", "BU", "WH/VT", "GY/RD", "OG", "PK/BK", "GNYE"}
	sizes := []float64{0.5, 0.75, 1, 1.5, 2.5, 4, 6, 16}
	g.n++
	g.wire(strconv.Itoa(g.n)+[]string{"", "a", "L"}[g.r.IntN(3)], from, to, codes[g.r.IntN(len(codes))], sizes[g.r.IntN(len(sizes))])
}

func (g *generator) anyGround() string { return g.h.Grounds[g.r.IntN(len(g.h.Grounds))].ID }

func (g *generator) anyHigh() string {
	// Recent places are taken more often: circuits get deep.
	i := len(g.highs) - 1 - min(g.r.IntN(len(g.highs)), g.r.IntN(len(g.highs)))
	return g.highs[i]
}

func (g *generator) id(prefix string) string {
	return fmt.Sprintf("%s%d", prefix, len(g.h.Components)+len(g.h.Connectors)+len(g.h.Splices))
}

// step adds one thing with its wires, at most left of them if it can.
func (g *generator) step(left int) {
	two := []string{"in", "out"}
	switch k := g.r.IntN(10); {
	case k < 2: // fuse
		id := g.id("F")
		g.part(id, g.title(), "fuse", []string{"1", "2"}, map[string]float64{"rating": 10})
		g.plug("X"+id, "holder", harness.Holder, id, "1", "1", "2", "2")
		g.lead(g.anyHigh(), "X"+id+".1.a")
		g.highs = append(g.highs, "X"+id+".2.a")
	case k < 5: // load
		id := g.id("L")
		kind := []string{"lamp", "horn", "resistor", "buzzer", "diode", "mystery"}[g.r.IntN(6)]
		g.part(id, g.title(), kind, two, nil)
		g.plug("X"+id, "plug", harness.Plug, id, "1", "in", "2", "out")
		g.lead(g.anyHigh(), "X"+id+".1.a")
		if left > 1 {
			g.lead("X"+id+".2.a", g.anyGround())
		}
	case k < 6: // switch of many throws
		id := g.id("S")
		terms := []string{"30"}
		pos := []device.Position{{Name: "off"}}
		cav := []string{"1", "30"}
		for i := range 1 + g.r.IntN(4) {
			t := strconv.Itoa(50 + i)
			terms = append(terms, t)
			pos = append(pos, device.Position{Name: "position " + t, Joins: [][2]string{{"30", t}}})
			cav = append(cav, strconv.Itoa(i+2), t)
			g.highs = append(g.highs, "X"+id+"."+strconv.Itoa(i+2)+".a")
		}
		c := g.part(id, g.title(), "switch", terms, nil)
		c.Spec.Positions, c.Control = pos, id
		ctl := harness.Control{ID: id, Title: "control " + id}
		for _, p := range pos {
			ctl.Positions = append(ctl.Positions, p.Name)
		}
		g.h.Controls = append(g.h.Controls, ctl)
		g.plug("X"+id, "plug", harness.Plug, id, cav...)
		g.lead(g.anyHigh(), "X"+id+".1.a")
	case k < 7: // relay
		id := g.id("K")
		cav := []string{"1", "86", "2", "85", "3", "30", "4", "87"}
		terms := []string{"85", "86", "30", "87"}
		if g.r.IntN(2) == 0 {
			terms = append(terms, "87a")
			cav = append(cav, "5", "87a")
		}
		g.part(id, g.title(), "relay", terms, nil)
		g.plug("X"+id, "socket", harness.Socket, id, cav...)
		g.lead(g.anyHigh(), "X"+id+".1.a")
		g.lead("X"+id+".2.a", g.anyGround())
		g.lead(g.anyHigh(), "X"+id+".3.a")
		g.highs = append(g.highs, "X"+id+".4.a")
	case k < 8: // splice
		id := g.id("Q")
		g.splice(id)
		g.lead(g.anyHigh(), id)
		for range 1 + g.r.IntN(3) {
			g.highs = append(g.highs, id)
		}
	case k < 9: // in-line connector: something goes through, something comes back
		id := g.id("C")
		var cav []string
		n := 1 + g.r.IntN(6)
		for i := range n {
			cav = append(cav, strconv.Itoa(i+1), "")
		}
		g.plug(id, g.title(), harness.InLine, "", cav...)
		for i := range n {
			a, b := id+"."+strconv.Itoa(i+1)+".a", id+"."+strconv.Itoa(i+1)+".b"
			switch g.r.IntN(4) {
			case 0:
				g.lead(b, a[:len(a)-1]+"a")
			case 1:
				g.lead(a, g.anyGround())
				g.highs = append(g.highs, b) // a return, or what somebody took for one
			default:
				g.lead(g.anyHigh(), a)
				g.highs = append(g.highs, b)
			}
		}
	default: // something with many terminals and no symbol
		id := g.id("M")
		var cav, terms []string
		n := 3 + g.r.IntN(5)
		for i := range n {
			terms = append(terms, "t"+strconv.Itoa(i))
			cav = append(cav, strconv.Itoa(i+1), "t"+strconv.Itoa(i))
		}
		g.part(id, g.title(), "module", terms, nil)
		half := len(cav) / 4 * 2
		g.plug("X"+id, "plug", harness.Plug, id, cav[:half]...)
		g.plug("Y"+id, "plug", harness.Plug, id, cav[half:]...)
		g.lead(g.anyHigh(), "X"+id+".1.a")
		for i := 1; i < n; i++ {
			p := fmt.Sprintf("Y%s.%d.a", id, i+1)
			if i < half/2 {
				p = fmt.Sprintf("X%s.%d.a", id, i+1)
			}
			if g.r.IntN(3) == 0 {
				g.lead(p, g.anyGround())
			} else {
				g.highs = append(g.highs, p)
			}
		}
	}
}
