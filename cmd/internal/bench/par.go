package bench

import (
	"errors"

	"faultloom/cmd/internal/wire"
	"faultloom/grading"
)

// mostAsked is how often par is asked for when no answer comes: it is worked out once, and kept on the other side.
const mostAsked = 5

// askPar asks for par beside the debrief that is shown, once. Nothing waits for the answer.
func (m *Model) askPar(times int) {
	r := m.report
	if r == nil || m.job == nil || m.parOf == r || r.Par != nil {
		return
	}
	m.parOf, m.parLate = r, true
	m.port.Par(m.job.Exercise.ID, func(p *wire.Par, err error) {
		if m.parOf != r {
			return // it is about an attempt that is not shown any more
		}
		m.dirty = true
		if errors.Is(err, ErrLost) && times > 1 {
			m.parOf = nil
			m.askPar(times - 1)
			return
		}
		m.parLate = false
		if err == nil {
			r.Par, r.Beside = p.Curve, p.Beside
		}
	})
}

// besidePar shows how the attempt compares with par.
func (p *pen) besidePar(c *column, r *grading.Report) {
	switch {
	case len(r.Beside) > 0:
		p.bullets(c, "Beside par", r.Beside)
	case p.m.parOf == r && p.m.parLate:
		c.rule()
		c.label("Beside par")
		c.soft("Being worked out: what the best next test each time would have made of this job.")
	}
}
