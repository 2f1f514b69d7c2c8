//go:build e2e

package endtoend_test

import (
	"strings"
	"testing"
	"time"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/sheet"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// keys works the page with the keyboard alone.
type keys struct {
	*page
	sheet []sheet.Target
}

func (k *keys) press(key string, opts ...chromedp.KeyOption) {
	require.NoError(k.t, chromedp.Do(k.ctx, chromedp.KeyEvent(key, opts...)))
}

// focus is what the keyboard is on.
func (k *keys) focus() string {
	k.t.Helper()
	id, err := chromedp.Run(k.ctx, chromedp.Evaluate[string](`(() => { const e = document.activeElement; return e && e.dataset && e.dataset.id || '' })()`))
	require.NoError(k.t, err)
	return id
}

// moved presses a key, waits until the keyboard is somewhere else, and returns where.
func (k *keys) moved(key string, opts ...chromedp.KeyOption) string {
	k.t.Helper()
	was := k.focus()
	k.press(key, opts...)
	for end := time.Now().Add(2 * time.Second); ; {
		if at := k.focus(); at != was && at != "" || time.Now().After(end) {
			return at // the same where it is the only thing that can be used
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// use walks to the control, the shorter way round, and presses Enter.
func (k *keys) use(id string) {
	k.t.Helper()
	m := until(k.t, k, id+" can be used", func(m bench.Mirror) bool { w := find(m, id); return w != nil && w.Enabled })
	var opts []chromedp.KeyOption
	if back(m, id) {
		opts = append(opts, chromedp.KeyModifiers(kb.ModifierShift))
	}
	for n, at := 0, m.Focus; at != id; n++ {
		if n == 200 {
			k.shot("out-of-reach")
			require.FailNow(k.t, "the keyboard cannot get there", "%s", id)
		}
		at = k.moved(kb.Tab, opts...)
	}
	k.press(kb.Enter)
}

// back reports whether Shift+Tab is the shorter way to a control.
func back(m bench.Mirror, id string) bool {
	var stops []string
	at, to := -1, -1
	for i := range m.Widgets {
		w := &m.Widgets[i]
		if !w.Stop || !w.Enabled {
			continue
		}
		if w.ID == m.Focus || w.ID == "sheet" && strings.HasPrefix(m.Focus, "at/") {
			at = len(stops)
		}
		if w.ID == id {
			to = len(stops)
		}
		stops = append(stops, w.ID)
	}
	if at < 0 || to < 0 {
		return false
	}
	return (at-to+len(stops))%len(stops) < (to-at+len(stops))%len(stops)
}

func (k *keys) takeLead(end int) { k.press([]string{"r", "b"}[end]) }

// touchPoint walks over the sheet with the arrow keys, the shortest way, and presses Enter.
func (k *keys) touchPoint(p string) {
	k.t.Helper()
	goal := -1
	for i, t := range k.sheet {
		if string(t.Point) == p {
			goal = i
		}
	}
	require.GreaterOrEqual(k.t, goal, 0, "%s is on the sheet", p)
	at := k.at(k.focus())
	if at < 0 {
		at = k.at(k.moved(kb.ArrowDown))
	}
	require.GreaterOrEqual(k.t, at, 0, "an arrow key enters the sheet")
	for n := 0; at != goal; n++ {
		require.Less(k.t, n, 200, "the way ends")
		key := k.way(at, goal)
		require.NotEmpty(k.t, key, "there is a way by arrow keys from %s to %s", k.sheet[at].ID, p)
		next := k.at(k.moved(key))
		require.NotEqual(k.t, at, next, "the arrow key moves on from %s", k.sheet[at].ID)
		at = next
	}
	k.press(kb.Enter)
}

// at is the index of the target that a focus is on, -1 if it is on none.
func (k *keys) at(focus string) int {
	for i, t := range k.sheet {
		if strings.HasPrefix(focus, "at/") && strings.HasSuffix(focus, "/"+t.ID) && string(t.Point) == strings.TrimPrefix(focus, "at/point/") {
			return i
		}
	}
	for i, t := range k.sheet {
		if t.Point == "" && strings.HasPrefix(focus, "at/") && !strings.HasPrefix(focus, "at/point/") && strings.HasSuffix(focus, "/"+t.ID) && strings.HasPrefix(focus, "at/"+kindWord[t.Kind]) {
			return i
		}
	}
	return -1
}

var kindWord = map[sheet.Kind]string{
	sheet.ConnectorTarget: "connector", sheet.ComponentTarget: "component", sheet.SpliceTarget: "splice", sheet.GroundTarget: "ground",
	sheet.WireTarget: "wire", sheet.ControlTarget: "control",
}

// way is the first arrow key of the shortest way between two targets.
func (k *keys) way(from, to int) string {
	names := [4]string{kb.ArrowLeft, kb.ArrowRight, kb.ArrowUp, kb.ArrowDown}
	first := map[int]string{from: ""}
	for queue := []int{from}; len(queue) > 0; queue = queue[1:] {
		t := k.sheet[queue[0]]
		for i, n := range [4]int{t.Left, t.Right, t.Up, t.Down} {
			if n < 0 {
				continue
			}
			if _, seen := first[n]; seen {
				continue
			}
			first[n] = first[queue[0]]
			if queue[0] == from {
				first[n] = names[i]
			}
			queue = append(queue, n)
		}
	}
	return first[to]
}

func TestByKeysAlone(t *testing.T) {
	ex := exercise(t)
	drillIn(t, "keys", 1280, 800, false, func(p *page) hand {
		return &keys{page: p, sheet: sheet.Layout(ex.Harness).Targets()}
	})
}
