package bench_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Who asks what is known sees a suspect on the sheet, wherever it had been moved: at once, or once the sheet is on the screen.
func TestSuspectsComeIntoSight(t *testing.T) {
	ex := exercise(t, "dt14-06-gate-four")
	for _, s := range screens[:3] {
		t.Run(s.name, func(t *testing.T) {
			r := newRig(t, s.w, s.h, s.k)
			r.start("dt14-06-gate-four")
			require.False(t, r.check(ex.Harness), "the horn is silent")
			horn := func() bool {
				for _, p := range r.m.Mirror().Points {
					if p.Seen && (strings.HasPrefix(p.Point, "HN.") || strings.HasPrefix(p.Point, "X1.2.")) {
						return true
					}
				}
				return false
			}
			r.part("sheet")
			r.m.ShowPoint("BAT.30")
			for range 8 {
				r.click("zoom/in")
			}
			r.m.ShowPoint("BAT.30")
			require.False(t, horn())
			r.page("coach")
			r.click("coach/suspects")
			r.part("sheet")
			r.picture(s.name + "-suspects")
			assert.True(t, horn())
		})
	}
}
