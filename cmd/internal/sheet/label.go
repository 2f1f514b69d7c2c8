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
	l := label{number: w.ID, spec: sizeText(w.Size) + " " + w.Colour}
	l.width = max(draw.Measure(l.number, draw.Bold, sizeWire), draw.Measure(l.spec, draw.Regular, sizeWire))
	return l
}

// sizeText is a cross-section in mm² without its unit, as wiring diagrams write it: "0.75", "1.5", "16".
func sizeText(mm2 float64) string {
	return strconv.FormatFloat(mm2, 'f', -1, 64)
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

func widest(lines []string, face draw.Face, size float64) float64 {
	var w float64
	for _, s := range lines {
		w = max(w, draw.Measure(s, face, size))
	}
	return w
}
