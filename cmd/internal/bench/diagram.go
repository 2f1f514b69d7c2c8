package bench

import (
	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/harness"
)

type facePic struct{ con *harness.Connector }

func (m *Model) faceOf(id string) facePic { return facePic{m.connector(id)} }

type faceCavity struct {
	Point harness.Point
	Box   draw.Rect
}

func (f facePic) Size() draw.Rect { return draw.Rect{W: 40 * float64(len(f.con.Cavities)), H: 40} }
func (f facePic) Draw(l *draw.List, v sheet.Live) {
	for _, c := range f.Cavities() {
		l.Rect(c.Box, 3, v.Theme.Raised, draw.Pen(v.Theme.Ink, 1))
		l.Text(c.Box.Center(), string(c.Point), draw.TextStyle{Size: 9, Align: draw.Middle, Colour: v.Theme.Ink})
	}
}
func (f facePic) Cavities() []faceCavity {
	var out []faceCavity
	for i, c := range f.con.Cavities {
		out = append(out, faceCavity{harness.CavityPoint(f.con.ID, c.Number, "a"), draw.Rect{X: float64(i) * 40, W: 38, H: 38}})
	}
	return out
}

// outline draws the vehicle.
func (p *pen) outline(c *column) {}
