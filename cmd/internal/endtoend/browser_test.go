//go:build e2e

package endtoend_test

import (
	"context"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"faultloom/cmd/internal/bench"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// page is the bench in a real browser.
type page struct {
	t     *testing.T
	ctx   context.Context
	shots shots

	mu       sync.Mutex
	messages []string // of the browser's console
	foreign  []string // requests to anywhere but the bench's own address
	own      string
}

// collect reads the bench in words out of the page, as assistive tools get it.
const collect = `(() => {
	const words = document.getElementById('words');
	if (!words || words.hidden || !words.dataset.screen) return {};
	const list = (id) => [...document.getElementById(id).children].map((e) => e.textContent);
	const num = (e, k) => Number(e.dataset[k]);
	const text = (id) => document.getElementById(id).textContent;
	const at = document.activeElement;
	return {
		screen: words.dataset.screen, exercise: words.dataset.exercise || '', title: text('words-title'),
		seq: num(words, 'seq'), ticks: num(words, 'ticks'), busy: words.dataset.busy === 'true', form: words.dataset.form,
		card: list('words-card'), seen: list('words-seen'), readings: list('words-readings'), report: list('words-report'),
		guide: text('words-guide'), event: text('words-event'), trouble: text('words-trouble'),
		focus: at && at.dataset && at.dataset.id || '',
		widgets: [...document.getElementById('words-widgets').children].map((e) => ({
			id: e.dataset.id, label: e.textContent, role: e.dataset.role, x: num(e, 'x'), y: num(e, 'y'), w: num(e, 'w'), h: num(e, 'h'),
			enabled: e.getAttribute('aria-disabled') !== 'true', hidden: e.dataset.hidden === 'true', stop: e.tabIndex === 0,
			on: e.getAttribute('aria-pressed') === 'true' || e.getAttribute('aria-checked') === 'true', hint: e.getAttribute('aria-description') || '',
		})),
		points: [...document.getElementById('words-points').children].map((e) => ({
			point: e.dataset.point, x: num(e, 'x'), y: num(e, 'y'), seen: e.dataset.seen === 'true', ok: e.dataset.ok === 'true',
		})),
	};
})()`

// open starts a browser with a new profile and shows the address in it.
func open(t *testing.T, name, address string, width, height int64, touch bool) *page {
	t.Helper()
	opts := []chromedp.ExecAllocatorOption{
		chromedp.ExecPath(browser(t)), chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck, chromedp.NoSandbox, chromedp.UserDataDir(t.TempDir()),
		chromedp.WindowSize(int(width), int(height)),
	}
	for flag, value := range map[string]any{
		"headless": "new", "use-gl": "angle", "use-angle": "swiftshader", "enable-unsafe-swiftshader": true, "disable-quic": true,
		"disable-background-networking": true, "disable-component-update": true, "disable-sync": true, "hide-scrollbars": true,
	} {
		opts = append(opts, chromedp.Flag(flag, value))
	}
	alloc, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(cancel)
	ctx, cancel := chromedp.NewContext(alloc, chromedp.WithLogf(t.Logf), chromedp.WithErrorf(t.Logf))
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 8*time.Minute)
	t.Cleanup(cancel)
	own, _, _ := strings.Cut(address, "?")
	p := &page{t: t, ctx: ctx, shots: newShots(t, name), own: own}
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(width, height)))
	if touch {
		_, err := chromedp.Call(ctx, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true})
		require.NoError(t, err)
	}
	p.watch()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(address)))
	until(t, p, "the bench is shown", func(m bench.Mirror) bool { return len(m.Widgets) > 0 })
	return p
}

// watch notes what the page complains about and what it asks for.
func (p *page) watch() {
	go func() {
		for m, err := range chromedp.Console(p.ctx) {
			if err != nil {
				return
			}
			p.mu.Lock()
			p.messages = append(p.messages, m.Text)
			p.mu.Unlock()
		}
	}()
	_, err := chromedp.Call(p.ctx, network.Enable, network.EnableParams{})
	require.NoError(p.t, err)
	go func() {
		for e, err := range chromedp.Events(p.ctx, network.RequestWillBeSent) {
			if err != nil {
				return
			}
			if url := e.Request.URL; !strings.HasPrefix(url, p.own) && !strings.HasPrefix(url, "data:") {
				p.mu.Lock()
				p.foreign = append(p.foreign, url)
				p.mu.Unlock()
			}
		}
	}()
}

// clean fails the test when the page complained or asked for something elsewhere.
func (p *page) clean() {
	p.mu.Lock()
	defer p.mu.Unlock()
	assert.Empty(p.t, p.messages, "the browser's console")
	assert.Empty(p.t, p.foreign, "requests to other places")
}

func (p *page) words() bench.Mirror {
	p.t.Helper()
	m, err := chromedp.Run(p.ctx, chromedp.Evaluate[bench.Mirror](collect))
	require.NoError(p.t, err)
	return m
}

func (p *page) shot(name string) {
	path := p.shots.path(name)
	if path == "" {
		return
	}
	time.Sleep(300 * time.Millisecond) // what pulses comes to rest
	png, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	require.NoError(p.t, err)
	require.NoError(p.t, os.WriteFile(path, png, 0o644))
}

// mouse works the page with a mouse.
type mouse struct{ *page }

// press is a click without any time between down and up.
func (m mouse) press(x, y float64) {
	require.NoError(m.t, chromedp.Do(m.ctx, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y), chromedp.MouseClickXY(x, y)))
}

func (m mouse) roll(x, y, by float64) {
	const aside = 1e-3 // an amount of nothing would be left out of the message, which wants one
	_, err := chromedp.Call(m.ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: input.DispatchMouseEventTypeMouseWheel, X: x, Y: y, DeltaX: aside, DeltaY: by})
	require.NoError(m.t, err)
}

func (m mouse) drag(fromX, fromY, toX, toY float64) {
	const steps = 6
	do := func(kind input.DispatchMouseEventType, x, y float64, opts ...chromedp.MouseOption) {
		require.NoError(m.t, chromedp.Do(m.ctx, chromedp.MouseEvent(kind, x, y, opts...)))
	}
	do(input.DispatchMouseEventTypeMouseMoved, fromX, fromY)
	do(input.DispatchMouseEventTypeMousePressed, fromX, fromY, chromedp.ButtonLeft, chromedp.ClickCount(1))
	for i := 1; i <= steps; i++ {
		s := float64(i) / steps
		do(input.DispatchMouseEventTypeMouseMoved, fromX+(toX-fromX)*s, fromY+(toY-fromY)*s, chromedp.ButtonLeft)
	}
	do(input.DispatchMouseEventTypeMouseReleased, toX, toY, chromedp.ButtonLeft, chromedp.ClickCount(1))
}

// finger works the page by touch. A lead that a finger drags is held above it, where it can be seen.
type finger struct{ *page }

func (f finger) touch(kind input.DispatchTouchEventType, points ...input.TouchPoint) {
	list := make([]*input.TouchPoint, 0, len(points))
	for i := range points {
		list = append(list, &points[i])
	}
	_, err := chromedp.Call(f.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: list})
	require.NoError(f.t, err)
}

func (f finger) press(x, y float64) {
	f.touch(input.DispatchTouchEventTypeTouchStart, input.TouchPoint{X: x, Y: y})
	f.touch(input.DispatchTouchEventTypeTouchEnd)
}

func (f finger) roll(x, y, by float64) { f.drag(x, y, x, y-by) }

func (f finger) drag(fromX, fromY, toX, toY float64) {
	f.touch(input.DispatchTouchEventTypeTouchStart, input.TouchPoint{X: fromX, Y: fromY})
	const steps = 6
	for i := 1; i <= steps; i++ {
		s := float64(i) / steps
		f.touch(input.DispatchTouchEventTypeTouchMove, input.TouchPoint{X: fromX + (toX-fromX)*s, Y: fromY + (toY-fromY)*s})
		time.Sleep(16 * time.Millisecond)
	}
	f.touch(input.DispatchTouchEventTypeTouchEnd)
}

// drillIn plays the drill in a browser and compares the log on disk with what was shown.
func drillIn(t *testing.T, name string, width, height int64, touch bool, with func(p *page) hand) {
	t.Helper()
	path := browser(t)
	require.NotEmpty(t, path)
	data := t.TempDir()
	p := open(t, name, serve(t, data), width, height, touch)
	d := &drill{t: t, hand: with(p), ex: exercise(t)}
	d.play()
	d.checkLog(data)
	p.clean()
}

func TestByMouse(t *testing.T) {
	drillIn(t, "mouse", 1280, 800, false, func(p *page) hand {
		return &pointer{t: t, screen: mouse{p}, zoomsByWheel: true, near: 12}
	})
}

func TestByTouchOnAPhone(t *testing.T) {
	drillIn(t, "touch", 390, 844, true, func(p *page) hand {
		return &pointer{t: t, screen: finger{p}, near: 24, lift: 36}
	})
}

// Clicks without any time between down and up, faster than pictures are drawn, are all seen.
func TestEveryClickCounts(t *testing.T) {
	browser(t)
	p := open(t, "clicks", serve(t, t.TempDir())+"?exercise="+job, 1280, 800, false)
	h := &pointer{t: t, screen: mouse{p}, zoomsByWheel: true, near: 12}
	until(t, p, "the job card is shown", func(m bench.Mirror) bool { return m.Exercise == job })
	was := find(p.words(), "guide").On
	w := h.still("guide")
	const clicks = 25 // an odd number: one lost or doubled leaves the other state
	for range clicks {
		require.NoError(t, chromedp.Do(p.ctx, chromedp.MouseClickXY(w.X+w.W/2, w.Y+w.H/2)))
	}
	time.Sleep(time.Second)
	assert.Equal(t, !was, find(p.words(), "guide").On, "after %d clicks", clicks)
	p.clean()
}
