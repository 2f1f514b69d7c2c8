package sheet

import (
	"math"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// wiper draws what is in the box of a wiper motor, between the heights v0 and v1: the motor between its brushes and 31, and the park switch,
// which joins 31b to 53a, and to 31 while the wiper is parked. It reports false where the terminals do not stand so that this can be drawn.
func (p *painter) wiper(b *block, c *harness.Component, v0, v1 float64) bool {
	x, top := map[string]float64{}, map[string]bool{}
	for i := range b.taps {
		x[b.taps[i].terminal], top[b.taps[i].terminal] = b.taps[i].x, b.taps[i].top
	}
	for _, t := range [...]string{"53", "53i", "53a", "31b", "31"} {
		if _, ok := x[t]; !ok || top[t] == (t == "31") {
			return false
		}
	}
	const (
		rim          = 9.0 // from the box to where leads bend
		pivot        = 11.0
		throw, aside = 20.0, 8.0 // of the blade, downwards and to each side
	)
	pen := draw.RoundPen(p.th.Ink, 1.1)
	line := func(points ...draw.Point) {
		for i := 1; i < len(points); i++ {
			p.l.Line(p.at(b, points[i-1].X, points[i-1].Y), p.at(b, points[i].X, points[i].Y), pen)
		}
	}
	dot := func(x, v float64) { p.l.Circle(p.at(b, x, v), 1.6, p.th.Paper, pen) }

	motor, middle := (x["53"]+x["53i"])/2, (v0+v1)/2
	line(draw.Point{X: x["53"], Y: v0}, draw.Point{X: x["53"], Y: v0 + rim}, draw.Point{X: motor, Y: middle})
	line(draw.Point{X: x["53i"], Y: v0}, draw.Point{X: x["53i"], Y: v0 + rim}, draw.Point{X: motor, Y: middle})
	line(draw.Point{X: motor, Y: middle}, draw.Point{X: motor, Y: v1 - rim}, draw.Point{X: x["31"], Y: v1 - rim}, draw.Point{X: x["31"], Y: v1})
	draw.SymGearMotor.Draw(p.l, draw.Place{At: p.at(b, motor, middle), Scale: symScale}, draw.State{Level: p.live.level(c.ID)}, p.th)

	to := math.Copysign(aside, x["53a"]-x["31b"])
	contact := v0 + pivot + throw
	line(draw.Point{X: x["53a"], Y: v0}, draw.Point{X: x["53a"], Y: contact}, draw.Point{X: x["31b"] + to, Y: contact})
	line(draw.Point{X: x["31b"] - to, Y: contact}, draw.Point{X: x["31b"] - to, Y: v1 - rim}, draw.Point{X: motor, Y: v1 - rim})
	blade := x["31b"] + to
	if w := p.live.Effects[c.ID].Word; w == "parked" || w == "" {
		blade = x["31b"] - to
	}
	line(draw.Point{X: x["31b"], Y: v0}, draw.Point{X: x["31b"], Y: v0 + pivot}, draw.Point{X: blade, Y: contact})
	for _, at := range [...]draw.Point{{X: x["31b"], Y: v0 + pivot}, {X: x["31b"] + to, Y: contact}, {X: x["31b"] - to, Y: contact}} {
		dot(at.X, at.Y)
	}
	return true
}
