package debrief

import (
	"bytes"
	"fmt"
	"html/template"

	"faultloom/cmd/internal/curve"
	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/grading"
	"faultloom/sim/harness"
)

// plotWidth is the width of the plot in its own units; the page scales it.
const plotWidth = 760

// plot draws what the steps were worth.
func plot(r *grading.Report) (template.HTML, error) {
	var l draw.List
	size := draw.Point{X: plotWidth, Y: curve.Height(plotWidth)}
	curve.Draw(&l, draw.Workshop(), r, draw.Rect{W: size.X, H: size.Y})
	return picture(&l, size, "What each step was worth", "Bits gained against bench minutes, with the number of faults still suspected.", "plot")
}

// mostFrames bounds the sheets in a page, each of which is some hundred kilobytes.
const mostFrames = 10

// Frame is the wiring sheet with the suspects after one step.
type Frame struct {
	Step  int // as people count
	Did   string
	Left  int
	Sheet template.HTML
}

// frames draws the sheet as suspicion narrowed: before the first step and after each that narrowed it, the largest steps first
// when there are too many.
func frames(r *grading.Report, h *harness.Harness) ([]Frame, error) {
	if h == nil {
		return nil, nil
	}
	s := sheet.Layout(h)
	var out []Frame
	for _, n := range telling(r.Steps) {
		step := r.Steps[n]
		live := sheet.Live{}
		for _, p := range step.Suspects {
			live.Suspects = append(live.Suspects, sheet.Suspect{Place: p.Place, Value: p.Share, Label: percent(p.Share)})
		}
		var l draw.List
		s.Draw(&l, live)
		size := draw.Point{X: s.Bounds().W, Y: s.Bounds().H}
		svg, err := picture(&l, size, fmt.Sprintf("Suspects after step %d", step.Seq+1), "The wiring sheet with every place hatched that is still suspected.", fmt.Sprintf("s%d", n))
		if err != nil {
			return nil, err
		}
		out = append(out, Frame{step.Seq + 1, step.Did, step.Evidence.Left, svg})
	}
	return out, nil
}

// telling returns the indexes of the steps that gained most, in their order, the last telling one among them.
func telling(steps []grading.Step) []int {
	var all []int
	for i, s := range steps {
		if s.Evidence.Gained > 0 && len(s.Suspects) > 0 {
			all = append(all, i)
		}
	}
	for len(all) > mostFrames {
		least := 0
		for k := range all[:len(all)-1] {
			if steps[all[k]].Evidence.Gained < steps[all[least]].Evidence.Gained {
				least = k
			}
		}
		all = append(all[:least], all[least+1:]...)
	}
	return all
}

// percent writes a share; what is small is told as such.
func percent(share float64) string {
	if share < 0.01 {
		return ""
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

func picture(l *draw.List, size draw.Point, title, desc, prefix string) (template.HTML, error) {
	var b bytes.Buffer
	if err := draw.WriteSVG(&b, l, size, draw.SVGOptions{Title: title, Desc: desc, IDPrefix: prefix}); err != nil {
		return "", err
	}
	svg := b.Bytes()
	if i := bytes.Index(svg, []byte("<svg")); i > 0 {
		svg = svg[i:] // without the declaration that only a file of its own needs
	}
	// Within a page the namespace goes without saying, and the page then holds no address at all.
	svg = bytes.Replace(svg, []byte(` xmlns="http://www.w3.org/2000/svg"`), nil, 1)
	return template.HTML(svg), nil
}
