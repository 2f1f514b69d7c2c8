package circuit_test

import "testing"

func TestShape(t *testing.T) {
	for _, n := range sizes {
		h := newHarness(n, 1, false)
		s := compiled(t, h)
		c, l, e, tt := s.Shape()
		t.Log(n, "cols", c, "live", c-l, "entries", e, "targets", tt, "lamps", len(h.lamps), "diodes", len(h.diodes), "iters", s.Iterations())
	}
}
