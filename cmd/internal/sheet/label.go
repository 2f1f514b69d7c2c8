package sheet

import (
	"strconv"
	"strings"

	"faultloom/cmd/internal/draw"
	"faultloom/sim/harness"
)

// label is what is written on a wire, in two lines: circuit number; size and colour.
type label struct {
	number, spec string
	width        float64
}

func newLabel(w *harness.Wire) label {
	const most = 90.0 // no wire's number is that long; what is shows that it goes on
	l := label{
		number: draw.Ellipsize(w.ID, draw.Bold, sizeWire, most),
		spec:   draw.Ellipsize(sizeText(w.Size)+" "+w.Colour, draw.Regular, sizeWire, most),
	}
	l.width = max(wide(l.number, draw.Bold, sizeWire), wide(l.spec, draw.Regular, sizeWire))
	return l
}

// sizeText is a cross-section in mm² without its unit, as wiring diagrams write it: "0.75", "1.5", "16".
func sizeText(mm2 float64) string {
	return strconv.FormatFloat(mm2, 'f', -1, 64)
}

// longWire is the number of layers that a wire passes before it is labelled a second time.
const longWire = 3

// secondLabel returns the pass of wire i below which its label can stand once more: the one farthest from the first label
// that has the room to its right, in the height that the channel keeps for labels anyway; -1 when there is none.
func (g *grid) secondLabel(i int, chans []channel) int {
	t := g.through[i]
	if len(t) < longWire {
		return -1
	}
	w := &g.m.wires[i]
	for k := range t {
		p := t[len(t)-1-k]
		if w.labelled == 1 {
			p = t[k]
		}
		if k > len(t)/2 {
			return -1
		}
		c := g.passes[p].layer + 1
		if chans[c].upper < labelZone {
			continue
		}
		lo := g.passes[p].x
		if g.clearBelow(c, lo, lo+labelGap+w.label.width+labelTail) {
			return p
		}
	}
	return -1
}

// clearBelow reports whether nothing stands between lo and hi right below the layer above channel c: no wire, no label.
func (g *grid) clearBelow(c int, lo, hi float64) bool {
	for _, s := range g.spans[c] {
		for _, q := range [2]pin{s.a, s.b} {
			if !q.top {
				continue
			}
			x := g.pinX(q)
			end := x + wireWidth
			if q.port >= 0 {
				if l := g.m.labelAt(q.port); l > 0 {
					end = x + l + labelTail
				}
			}
			if x > lo && x < hi || x < lo && end > lo {
				return false
			}
		}
	}
	return true
}

// wrapTitle breaks a title into at most most lines of width units; what does not fit ends in an ellipsis.
func wrapTitle(s string, size, width float64, most int) []string {
	s = strings.TrimSpace(s)
	if s == "" {
		return nil
	}
	lines := draw.Wrap(s, draw.Regular, size, width)
	if len(lines) > most {
		rest := strings.Join(lines[most-1:], " ")
		lines = append(lines[:most-1], draw.Ellipsize(rest, draw.Regular, size, width))
	}
	return lines
}
