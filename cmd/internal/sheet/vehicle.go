package sheet

import (
	"math"
	"sort"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Vehicle is the picture of a harness's vehicle with what can be operated, seen, heard and reached on it. It is made for a
// size and a state of the words on it.
type Vehicle struct {
	h       *harness.Harness
	size    draw.Rect
	outline outline
	box     draw.Rect // the vehicle's length and height
	things  []thing
	targets []Target
	row     float64 // height of a plate
	text    float64
}

// thing is one thing on the vehicle: a spot, and a plate with its name if there is room.
type thing struct {
	kind     Kind
	id       string
	comp     int // index of the component for a component or the component a control moves, -1 for none
	at       draw.Point
	name     string
	state    string // in words, after the name
	label    string
	rank     int // 0 is named first
	plate    draw.Rect
	top      bool
	percentY float64
}

// VehicleView lays out the vehicle of h in the state of live, w by hgt units large. Text has the size of the theme's
// captions.
func VehicleView(h *harness.Harness, live Live, w, hgt float64) *Vehicle {
	v := &Vehicle{h: h, size: draw.Rect{W: max(w, 40), H: max(hgt, 40)}, outline: outlineOf(h.Vehicle.Outline)}
	th := live.theme()
	v.text = th.Type.Caption
	v.row = math.Ceil(v.text*1.75) + 4
	v.list(&live)
	v.arrange()
	for i := range v.things {
		t := &v.things[i]
		box := t.plate
		if box.Empty() {
			box = draw.RectAround(t.at, 14, 14)
		}
		v.targets = append(v.targets, Target{Kind: t.kind, ID: t.id, Label: t.label, Box: box, At: box.Center()})
	}
	linkTargets(v.targets)
	return v
}

// list collects the things: controls, components that no control moves, connectors with a name of their own, grounds,
// splices.
func (v *Vehicle) list(live *Live) {
	h := v.h
	moved := map[string]int{}
	for i, c := range h.Components {
		if c.Control != "" {
			if _, ok := moved[c.Control]; !ok {
				moved[c.Control] = i
			}
		}
	}
	for i := range h.Controls {
		c := &h.Controls[i]
		t := thing{kind: ControlTarget, id: c.ID, comp: -1, name: shorter(c.Title, c.ID), state: live.position(h, c.ID)}
		spot := c.Spot
		if k, ok := moved[c.ID]; ok {
			t.comp = k
			if spot == (harness.Spot{}) {
				spot = h.Components[k].Spot
			}
		}
		t.label = fullName(c.Title, c.ID) + ": " + t.state
		v.put(t, spot)
	}
	for i := range h.Components {
		c := &h.Components[i]
		if c.Control != "" {
			continue
		}
		t := thing{kind: ComponentTarget, id: c.ID, comp: i, name: c.ID, rank: 2, label: fullName(c.Title, c.ID)}
		if noticed(c) {
			t.rank = 1
			t.state = Said(live.Effects[c.ID])
		}
		if t.state != "" {
			t.label += ": " + t.state
		}
		if c.Where != "" {
			t.label += ", " + c.Where
		}
		v.put(t, c.Spot)
	}
	component := map[string]bool{}
	for _, c := range h.Components {
		component[c.ID] = true
	}
	for i := range h.Connectors {
		c := &h.Connectors[i]
		if component[c.ID] || c.Mount == harness.Holder || c.Mount == harness.Socket {
			continue // the part is named
		}
		t := thing{kind: ConnectorTarget, id: c.ID, comp: -1, name: c.ID, rank: 3, label: connectorLabel(c)}
		spot := c.Spot
		if spot == (harness.Spot{}) {
			for _, k := range h.Components {
				if k.ID == c.Component {
					spot = k.Spot
				}
			}
		}
		if live.Unplugged[c.ID] {
			t.state = "parted"
			t.label += ", parted"
		}
		if c.Where != "" {
			t.label += ", " + c.Where
		}
		v.put(t, spot)
	}
	for i := range h.Grounds {
		g := &h.Grounds[i]
		t := thing{kind: GroundTarget, id: g.ID, comp: -1, name: g.ID, rank: 4, label: "ground point " + g.ID}
		if g.Where != "" {
			t.label += ", " + g.Where
		}
		v.put(t, g.Spot)
	}
	for i := range h.Splices {
		s := &h.Splices[i]
		t := thing{kind: SpliceTarget, id: s.ID, comp: -1, name: s.ID, rank: 5, label: "splice " + s.ID}
		if live.OpenLooms[s.ID] {
			t.state = "open"
			t.label += ", loom open"
		}
		if s.Where != "" {
			t.label += ", " + s.Where
		}
		v.put(t, s.Spot)
	}
}

func (v *Vehicle) put(t thing, spot harness.Spot) {
	// Percent for now; arrange knows where the vehicle is.
	t.at = draw.Point{X: min(max(spot.X, 0), 100), Y: min(max(spot.Y, 0), 100)}
	t.percentY = t.at.Y
	v.things = append(v.things, t)
}

// noticed reports whether a person can see or hear what a component does.
func noticed(c *harness.Component) bool {
	k, ok := device.Lookup(c.Spec.Kind)
	return ok && len(k.Words) > 0
}

// shorter returns a title if it is short enough for a plate, else the id.
func shorter(title, id string) string {
	const most = 17 // letters
	if title == "" || len([]rune(title)) > most {
		return id
	}
	return title
}

// fullName is an id with its title, for people who cannot see the picture.
func fullName(title, id string) string {
	if title == "" || title == id {
		return id
	}
	return id + ", " + title
}

const (
	plateGap  = 5.0
	plateEdge = 7.0 // from a plate's edge to its text
	// vehicleShare is the least share of the height that the drawing itself keeps; plates of lesser things give way.
	vehicleShare = 0.42
)

func (v *Vehicle) plateW(t *thing) float64 {
	w := draw.Measure(t.name, draw.Bold, v.text)
	if t.state != "" {
		w += draw.Measure(" ", draw.Bold, v.text) + draw.Measure(t.state, draw.Regular, v.text)
	}
	return math.Ceil(min(w+2*plateEdge, v.size.W-4))
}

// arrange finds the place of the vehicle between rows of plates, and the plates' places in their rows.
func (v *Vehicle) arrange() {
	named := make([]int, len(v.things))
	for i := range named {
		named[i] = i
	}
	var top, bottom [][]int
	for rank := 5; ; rank-- {
		top, bottom = v.rows(named)
		if float64(len(top)+len(bottom))*v.row <= v.size.H*(1-vehicleShare) || rank < 0 {
			break
		}
		kept := named[:0:0]
		for _, i := range named {
			if v.things[i].rank < rank {
				kept = append(kept, i)
			}
		}
		named = kept
	}
	area := v.size
	area.Y += float64(len(top)) * v.row
	area.H -= float64(len(top)+len(bottom)) * v.row
	area = area.InsetXY(8, 10)
	wide := min(area.W*0.94, area.H*v.outline.aspect)
	v.box = draw.RectAround(area.Center(), wide, wide/v.outline.aspect)
	for i := range v.things {
		t := &v.things[i]
		t.at = draw.Point{X: v.box.X + v.box.W*t.at.X/100, Y: v.box.Y + v.box.H*t.at.Y/100}
	}
	for k, row := range top {
		v.setRow(row, v.size.Y+float64(k)*v.row, true)
	}
	for k, row := range bottom {
		v.setRow(row, v.size.MaxY()-float64(k+1)*v.row, false)
	}
}

// rows deals the named things out to rows above and below the vehicle, the outermost row first: the upper half of them above.
func (v *Vehicle) rows(named []int) (top, bottom [][]int) {
	byY := append([]int(nil), named...)
	sort.SliceStable(byY, func(a, b int) bool { return v.things[byY[a]].percentY < v.things[byY[b]].percentY })
	var total float64
	for _, i := range byY {
		total += v.plateW(&v.things[i]) + plateGap
	}
	var sum float64
	var above, below []int
	for _, i := range byY {
		if sum*2 < total {
			above = append(above, i)
		} else {
			below = append(below, i)
		}
		sum += v.plateW(&v.things[i]) + plateGap
	}
	return v.deal(above), v.deal(below)
}

func (v *Vehicle) deal(list []int) [][]int {
	if len(list) == 0 {
		return nil
	}
	sort.SliceStable(list, func(a, b int) bool { return v.things[list[a]].at.X < v.things[list[b]].at.X })
	for n := 1; ; n++ {
		out := make([][]int, n)
		for k, i := range list {
			out[k%n] = append(out[k%n], i)
		}
		fits := true
		for _, row := range out {
			w := -plateGap
			for _, i := range row {
				w += v.plateW(&v.things[i]) + plateGap
			}
			fits = fits && w <= v.size.W-4
		}
		if fits || n >= len(list) {
			return out
		}
	}
}

// setRow places the plates of a row as near above their spots as their widths allow.
func (v *Vehicle) setRow(row []int, y float64, top bool) {
	x := make([]float64, len(row))
	offset := make([]float64, len(row)+1)
	for k, i := range row {
		offset[k+1] = offset[k] + v.plateW(&v.things[i]) + plateGap
	}
	var pools []pool
	for k, i := range row {
		want := v.things[i].at.X - v.plateW(&v.things[i])/2 - offset[k]
		p := pool{data: []datum{{want, 1}}, first: k, last: k, at: want}
		for len(pools) > 0 && pools[len(pools)-1].at > p.at {
			q := pools[len(pools)-1]
			pools = pools[:len(pools)-1]
			p = pool{data: append(q.data, p.data...), first: q.first, last: k}
			p.at = median(p.data, want)
		}
		pools = append(pools, p)
	}
	last := v.size.W - 2 - (offset[len(row)] - plateGap)
	for _, p := range pools {
		for k := p.first; k <= p.last; k++ {
			x[k] = min(max(p.at, 2), max(last, 2)) + offset[k]
		}
	}
	for k, i := range row {
		t := &v.things[i]
		t.top = top
		t.plate = draw.Rect{X: x[k], Y: y + 2, W: v.plateW(t), H: v.row - 4}
	}
}

// Bounds returns the extent of the picture; its upper left corner is 0, 0.
func (v *Vehicle) Bounds() draw.Rect { return v.size }

// Targets returns the controls, then components, connectors, grounds and splices. The slice is not to be changed.
func (v *Vehicle) Targets() []Target { return v.targets }

// At returns what is at p: a plate, or with none there the spot nearest to p within DefaultReach.
func (v *Vehicle) At(p draw.Point) (Target, bool) { return v.Pick(p, DefaultReach) }

// Pick is At for a pointer that may be reach units off.
func (v *Vehicle) Pick(p draw.Point, reach float64) (Target, bool) {
	best, dist := -1, math.Inf(1)
	for i := range v.things {
		t := &v.things[i]
		d := t.at.Dist(p)
		if !t.plate.Empty() {
			d = min(d+1, rectDistance(t.plate, p)) // of a plate and a spot as near the plate is meant
		}
		if d < dist {
			best, dist = i, d
		}
	}
	if best < 0 || dist > reach {
		return Target{}, false
	}
	return v.targets[best], true
}

// Spot returns where a thing sits on the vehicle in the picture; ok is false when it is not shown.
func (v *Vehicle) Spot(kind Kind, id string) (at draw.Point, ok bool) {
	for i := range v.things {
		if v.things[i].kind == kind && v.things[i].id == id {
			return v.things[i].at, true
		}
	}
	return draw.Point{}, false
}
