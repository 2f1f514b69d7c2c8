package sample

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Random returns a harness that nobody would build, but could: a battery and a number of components of any kind, 1 or more, with
// random values, each of their terminals wired to somewhere: to the supply, to a ground point, to a cavity of an in-line
// connector, to a splice that leads anywhere. Two in three have the first terminal on the supply side and the last on the
// ground side, the others are wired at random. Its last control lets it stand for a time or be charged. The harness is valid. It is the same for the same state of r.
func Random(r *rand.Rand, components int) *harness.Harness {
	volts := []float64{12, 24}[r.IntN(2)]
	g := &gamble{r: r, volts: volts, builder: &builder{h: &harness.Harness{
		ID: "random", Title: "random circuits",
		Vehicle: harness.Vehicle{Fleet: "XX-00", Title: "made-up vehicle", Outline: "plain", Volts: volts, Celsius: -30 + 100*r.Float64()},
	}}}
	g.component("BAT", "battery", map[string]float64{"volts": volts, "charge": 100 * r.Float64(),
		"resistance": g.around(0.01, 1e-4, 10), "capacity": g.around(70, 0.1, 1e4)}, "")
	for i := range 1 + r.IntN(3) {
		g.h.Grounds = append(g.h.Grounds, harness.GroundPoint{ID: fmt.Sprintf("G%d", i), Title: "ground point"})
	}
	g.supply = g.splices("SP", 1+r.IntN(3))
	g.free = g.splices("SF", 1+r.IntN(3))
	for i, s := range g.supply {
		if i == 0 {
			g.join("BAT.30", s)
		} else {
			g.join(g.supply[r.IntN(i)], s)
		}
	}
	g.join("BAT.31", "G0")
	for i := range components {
		g.part(i)
	}
	// A splice joins three wires at least: what is short of it gets some to other places.
	for _, s := range append(append(append([]harness.Point{}, g.supply...), g.free...), g.bus...) {
		for g.ends[s] < 3 {
			g.join(s, g.elsewhere(s))
		}
	}
	// From ten minutes to thirty days, evenly in the logarithm.
	left := harness.LeastStand * math.Exp(r.Float64()*math.Log(harness.MostStand/harness.LeastStand))
	g.h.Controls = append(g.h.Controls, harness.Control{ID: "time", Title: "time", Positions: []string{"now", "left", "on the charger"},
		Stands: []harness.Stand{{Position: "left", Seconds: min(left, harness.MostStand)}, {Position: "on the charger", Seconds: 43200, Charged: true}}})
	return g.h
}

// gamble is a builder with a die.
type gamble struct {
	*builder
	r            *rand.Rand
	volts        float64
	supply, free []harness.Point // splices
	bus          []harness.Point // splices of the bus wires: that of high, that of low; none without a bus
	sent         map[float64][]string
	ends         map[harness.Point]int
	inline       int
	wires        int
}

func (g *gamble) splices(name string, n int) []harness.Point {
	if g.ends == nil {
		g.ends = map[harness.Point]int{}
	}
	var all []harness.Point
	for i := range n {
		id := fmt.Sprintf("%s%d", name, i)
		g.h.Splices = append(g.h.Splices, harness.Splice{ID: id})
		all = append(all, harness.Point(id))
	}
	return all
}

// join leads a wire from a to b, now and then through an in-line connector.
func (g *gamble) join(a, b harness.Point) {
	g.ends[a]++
	g.ends[b]++
	if g.r.Float64() < 0.3 {
		g.inline++
		x := fmt.Sprintf("X%d", g.inline)
		g.connector(x, harness.InLine, "", "")
		g.lead(a, harness.CavityPoint(x, "1", "a"))
		g.lead(harness.CavityPoint(x, "1", "b"), b)
		return
	}
	g.lead(a, b)
}

func (g *gamble) lead(a, b harness.Point) {
	g.wires++
	sizes := device.MetricSizes()
	bundle := fmt.Sprintf("bundle %d", g.r.IntN(3))
	g.wire(fmt.Sprint(g.wires), a, b, g.around(2, 0.05, 30), sizes[g.r.IntN(len(sizes))], "RD", bundle)
	g.h.Wires[len(g.h.Wires)-1].Flexing = g.r.IntN(5) == 0
}

// elsewhere returns a place other than p, not the battery. A splice is never led to ground bare, or the supply would burn.
func (g *gamble) elsewhere(p harness.Point) harness.Point {
	all := append(append([]harness.Point{}, g.supply...), g.free...)
	for {
		if len(all) == 1 {
			return "BAT.30"
		}
		if q := all[g.r.IntN(len(all))]; q != p {
			return q
		}
	}
}

// ground returns a ground point.
func (g *gamble) ground() harness.Point {
	return harness.Point(g.h.Grounds[g.r.IntN(len(g.h.Grounds))].ID)
}

// anywhere returns any place for a component's terminal.
func (g *gamble) anywhere() harness.Point {
	switch g.r.IntN(3) {
	case 0:
		return g.supply[g.r.IntN(len(g.supply))]
	case 1:
		return g.free[g.r.IntN(len(g.free))]
	}
	return g.ground()
}

// part adds component number i with its plug, its wires, and its control if it has positions.
func (g *gamble) part(i int) {
	id := fmt.Sprintf("C%d", i)
	k, spec := g.draw()
	for spec.Kind == "" {
		k, spec = g.draw()
	}
	control := ""
	if k.Table {
		control = "c" + id
		c := harness.Control{ID: control, Title: control}
		for _, p := range spec.Positions {
			c.Positions = append(c.Positions, p.Name)
			switch g.r.IntN(8) {
			case 0:
				c.Hot = append(c.Hot, p.Name)
			case 1:
				c.Shakes = append(c.Shakes, p.Name)
			}
		}
		g.h.Controls = append(g.h.Controls, c)
	}
	g.place(id, control, k, spec)
	if spec.Logic != nil && spec.Logic.Bus != nil {
		if g.sent == nil {
			g.sent = map[float64][]string{}
		}
		g.sent[spec.Logic.Bus.Number] = append(g.sent[spec.Logic.Bus.Number], spec.Logic.Bus.Sends...)
	}
}

// busWire is which bus wire a component's terminal is for: 0 high, 1 low, -1 for any other terminal.
func busWire(spec device.Spec, terminal string) int {
	high, low := "high", "low"
	switch {
	case spec.Logic != nil && spec.Logic.Bus != nil:
		high, low = spec.Logic.Bus.High, spec.Logic.Bus.Low
	case spec.Kind != "node":
		return -1
	}
	return slices.Index([]string{high, low}, terminal)
}

// draw returns a component of any kind. Its Spec has no kind where luck gave values that do not go together.
func (g *gamble) draw() (device.Kind, device.Spec) {
	kinds := device.Kinds()
	k := kinds[g.r.IntN(len(kinds))]
	spec := device.Spec{Kind: k.Name, Values: map[string]float64{}, Terminals: names(k.Name)}
	for _, p := range k.Params {
		switch {
		case p.Key == "bus":
			spec.Values[p.Key] = float64(1 + g.r.IntN(2))
		case p.Key == "volts" && g.volts >= p.Min && g.volts <= p.Max && g.r.Float64() < 0.8:
			spec.Values[p.Key] = g.volts
		case p.Required:
			spec.Values[p.Key] = g.around(max(10, p.Min), p.Min, p.Max)
		case p.Default == 0 && g.r.Float64() < 0.4:
			// Near nothing there is only nothing.
			spec.Values[p.Key] = p.Min + (p.Max-p.Min)*g.r.Float64()
		case g.r.Float64() < 0.4:
			spec.Values[p.Key] = g.around(p.Default, p.Min, p.Max)
		}
	}
	switch {
	case k.Logic:
		spec.Logic = g.logic()
		spec.Terminals = spec.Logic.Terminals()
	case k.OwnTerminals:
		spec.Terminals = []string{"in", "out", "other", "last"}[:2+g.r.IntN(3)]
	}
	if k.Table {
		g.table(&spec, k.OwnTerminals)
	}
	if _, err := device.New(spec); err != nil {
		return k, device.Spec{}
	}
	return k, spec
}

// place adds a component with its plug and wires.
func (g *gamble) place(id, control string, k device.Kind, spec device.Spec) {
	g.h.Components = append(g.h.Components, harness.Component{ID: id, Title: id, Control: control, Spec: spec})
	mount := harness.Plug
	if k.Name == "fuse" || k.Name == "large-fuse" {
		mount = harness.Holder
	}
	g.connector("P"+id, mount, id, spec.Terminals...)
	wild := g.r.IntN(3) == 0
	last := len(spec.Terminals) - 1
	if k.Logic {
		last = slices.Index(spec.Terminals, spec.Logic.Ground)
	}
	for n := range spec.Terminals {
		to := g.anywhere()
		switch {
		case wild:
		case busWire(spec, spec.Terminals[n]) >= 0:
			if g.bus == nil {
				g.bus = g.splices("SB", 2)
			}
			to = g.bus[busWire(spec, spec.Terminals[n])]
		case n == 0:
			to = g.supply[g.r.IntN(len(g.supply))]
		case n == last && mount != harness.Holder:
			to = g.ground()
		case n == last:
			to = g.free[g.r.IntN(len(g.free))]
		}
		g.join(harness.CavityPoint("P"+id, fmt.Sprint(n+1), "a"), to)
	}
}

// table makes up positions, with random joins where the terminals are of our own naming.
func (g *gamble) table(spec *device.Spec, joins bool) {
	for i := range 2 + g.r.IntN(3) {
		p := device.Position{Name: fmt.Sprintf("p%d", i)}
		for range g.r.IntN(3) {
			a, b := g.r.IntN(len(spec.Terminals)), g.r.IntN(len(spec.Terminals))
			if joins && a != b {
				p.Joins = append(p.Joins, [2]string{spec.Terminals[a], spec.Terminals[b]})
			}
		}
		spec.Positions = append(spec.Positions, p)
	}
}

// around returns a number near x, or now and then anywhere from low to high, evenly in its logarithm where both are positive.
func (g *gamble) around(x, low, high float64) float64 {
	if g.r.Float64() < 0.1 {
		if low > 0 {
			return min(high, max(low, low*math.Exp(g.r.Float64()*math.Log(high/low))))
		}
		return low + (high-low)*g.r.Float64()
	}
	return min(high, max(low, x*math.Exp(2*g.r.Float64()-1)))
}
