package main

import (
	"encoding/json"
	"fmt"
	"os"
	"sync"
	"syscall/js"
	"time"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/wire"
)

func main() {
	pg := newPage()
	m := bench.New(bench.NewRemote(fetcher{}), pg.settings())
	if id := pg.exercise(); id != "" {
		m.Open(id)
	}
	pg.m = m
	if err := run(newGame(m, pg)); err != nil {
		fmt.Fprintln(os.Stderr, err)
		if f := js.Global().Get("benchFailed"); f.Truthy() {
			f.Invoke(err.Error())
		}
	}
}

// page is the browser's page around the bench. What the person does is kept in a queue of its own: two events within
// one frame are both seen.
type page struct {
	m *bench.Model

	mu    sync.Mutex
	queue []func(func(bench.Event))

	window, document js.Value
	address          string
	mirrored         time.Time
	behind           bool // the words lag behind the picture
	ready            bool
	cursor           string

	audio js.Value
	tones map[bench.Cue]js.Value
}

func newPage() *page {
	p := &page{window: js.Global(), document: js.Global().Get("document"), tones: map[bench.Cue]js.Value{}}
	p.listen()
	return p
}

// later puts something in the queue that Update empties.
func (p *page) later(f func(func(bench.Event))) {
	p.mu.Lock()
	p.queue = append(p.queue, f)
	p.mu.Unlock()
	call("benchWake")
}

// call calls one of the page's functions, if it is there.
func call(name string) {
	if f := js.Global().Get(name); f.Truthy() {
		f.Invoke()
	}
}

// rest lets the page stop making frames: an idle page costs next to nothing. An event or an answer wakes it.
func (p *page) rest() {
	p.mu.Lock()
	n := len(p.queue)
	p.mu.Unlock()
	if n == 0 {
		call("benchSleep")
	}
}

func (p *page) add(e bench.Event) { p.later(func(f func(bench.Event)) { f(e) }) }

func (p *page) events(f func(bench.Event)) {
	p.mu.Lock()
	queue := p.queue
	p.queue = nil
	p.mu.Unlock()
	for _, q := range queue {
		q(f)
	}
}

// listen takes events on the window before anyone else gets them.
func (p *page) listen() {
	on := func(name string, f func(e js.Value)) {
		p.window.Call("addEventListener", name, js.FuncOf(func(_ js.Value, args []js.Value) any {
			f(args[0])
			return nil
		}), map[string]any{"capture": true, "passive": false})
	}
	at := func(e js.Value) draw.Point {
		return draw.Point{X: e.Get("clientX").Float(), Y: e.Get("clientY").Float()}
	}
	down := false
	on("mousedown", func(e js.Value) {
		p.wake()
		p.mine(e)
		if e.Get("button").Int() == 0 && !p.foreign(e) {
			down = true
			p.add(bench.Event{Kind: bench.Press, At: at(e)})
		}
	})
	on("mousemove", func(e js.Value) {
		p.mine(e)
		p.add(bench.Event{Kind: bench.Move, At: at(e)})
	})
	on("mouseup", func(e js.Value) {
		p.mine(e)
		if e.Get("button").Int() == 0 && down {
			down = false
			p.add(bench.Event{Kind: bench.Release, At: at(e)})
		}
	})
	on("wheel", func(e js.Value) {
		if e.Get("ctrlKey").Bool() && e.Get("deltaY").Float() == 0 {
			return
		}
		e.Call("preventDefault")
		p.mine(e)
		k := 1.0
		switch e.Get("deltaMode").Int() {
		case 1: // lines
			k = 18
		case 2: // pages
			k = 400
		}
		p.add(bench.Event{Kind: bench.Wheel, At: at(e), Shift: e.Get("shiftKey").Bool(), By: draw.Point{X: e.Get("deltaX").Float() * k, Y: e.Get("deltaY").Float() * k}})
	})
	touch := func(kind bench.Kind) func(e js.Value) {
		return func(e js.Value) {
			p.wake()
			if p.foreign(e) {
				return
			}
			e.Call("preventDefault") // no mouse events made of it
			p.mine(e)
			list := e.Get("changedTouches")
			for i := range list.Length() {
				t := list.Index(i)
				// 0 is the mouse.
				p.add(bench.Event{Kind: kind, Touch: true, ID: t.Get("identifier").Int() + 1, At: at(t)})
			}
		}
	}
	on("touchstart", touch(bench.Press))
	on("touchmove", touch(bench.Move))
	on("touchend", touch(bench.Release))
	on("touchcancel", touch(bench.Cancel))
	on("blur", func(e js.Value) {
		if e.Get("target").Equal(p.window) { // not an element of the page that loses the keyboard to another
			p.add(bench.Event{Kind: bench.Cancel})
		}
	})
	on("keydown", p.key)

	p.window.Set("benchPress", js.FuncOf(func(_ js.Value, args []js.Value) any {
		id := args[0].String()
		p.wake()
		p.later(func(func(bench.Event)) { p.m.Press(id) })
		return nil
	}))
	p.window.Set("benchFocus", js.FuncOf(func(_ js.Value, args []js.Value) any {
		id := args[0].String()
		p.later(func(func(bench.Event)) { p.m.Focus(id) })
		return nil
	}))
}

// mine keeps an event on the picture from Ebitengine, which would make a frame of its own for each.
func (p *page) mine(e js.Value) {
	if !p.foreign(e) {
		e.Call("stopPropagation")
	}
}

// foreign reports whether an event is for one of the page's own elements rather than the picture.
func (p *page) foreign(e js.Value) bool {
	t := e.Get("target")
	if !t.Truthy() || t.Get("closest").IsUndefined() {
		return false
	}
	return t.Call("closest", "[data-own]").Truthy()
}

func (p *page) key(e js.Value) {
	p.wake()
	key := e.Get("key").String()
	if e.Get("altKey").Bool() || e.Get("isComposing").Bool() {
		return
	}
	ctrl := e.Get("ctrlKey").Bool() || e.Get("metaKey").Bool()
	if ctrl {
		return // the browser's own
	}
	own := p.foreign(e)
	p.mine(e)
	switch key {
	case "Tab":
		// Among the page's own elements the browser walks; benchFocus tells where it came to.
		if own {
			return
		}
	case "Enter", " ":
		if own { // the element's click calls benchPress
			return
		}
	case "F5", "F11", "F12":
		return
	}
	if len(key) > 1 || key == " " || key == "/" || key == "'" {
		e.Call("preventDefault")
	}
	p.add(bench.Event{Kind: bench.KeyDown, Key: key, Shift: e.Get("shiftKey").Bool()})
}

// mirrorEvery bounds how often the words are brought up to date while the picture moves.
const mirrorEvery = 100 * time.Millisecond

func (p *page) shown(m *bench.Model, idle bool) {
	if !p.ready {
		p.ready = true
		p.behind = true
		if f := p.window.Get("benchReady"); f.Truthy() {
			f.Invoke()
		}
	}
	if !idle {
		p.behind = true
	}
	if p.behind && (idle || time.Since(p.mirrored) > mirrorEvery) {
		p.behind = false
		p.mirrored = time.Now()
		p.mirror(m)
	}
	if c := m.Cursor(); c != p.cursor {
		p.cursor = c
		p.document.Get("body").Call("setAttribute", "data-cursor", c)
	}
	if s, changed := m.Settings(); changed {
		if data, err := json.Marshal(s); err == nil {
			p.store(string(data))
		}
	}
	if id := m.Exercise(); id != p.address {
		p.address = id
		query := "."
		if id != "" {
			query = "?" + wire.ExerciseQuery + "=" + js.Global().Call("encodeURIComponent", id).String()
		}
		p.window.Get("history").Call("replaceState", nil, "", query)
	}
}

func (p *page) mirror(m *bench.Model) {
	f := p.window.Get("benchMirror")
	if !f.Truthy() {
		return
	}
	if data, err := json.Marshal(m.Mirror()); err == nil {
		f.Invoke(string(data))
	}
}

// exercise is the one that the page's address opens at once, "" if none.
func (p *page) exercise() string {
	q := p.window.Get("URLSearchParams").New(p.window.Get("location").Get("search"))
	v := q.Call("get", wire.ExerciseQuery)
	if v.IsNull() {
		return ""
	}
	p.address = v.String()
	return p.address
}

// settingsKey is where the browser keeps the settings.
const settingsKey = "faultloom.settings"

func (p *page) settings() bench.Settings {
	s := bench.Settings{TextScale: 1}
	if q := p.window.Call("matchMedia", "(prefers-reduced-motion: reduce)"); q.Truthy() {
		s.Calm = q.Get("matches").Bool()
	}
	defer func() { _ = recover() }() // a browser may forbid keeping things
	if v := p.window.Get("localStorage").Call("getItem", settingsKey); !v.IsNull() {
		_ = json.Unmarshal([]byte(v.String()), &s)
	}
	return s
}

func (p *page) store(s string) {
	defer func() { _ = recover() }()
	p.window.Get("localStorage").Call("setItem", settingsKey, s)
}

// fetcher sends requests with the browser's fetch.
type fetcher struct{}

// answerTime is how long an answer may take before it counts as lost.
const answerTime = 30 * time.Second

// Send implements bench.Transport.
func (fetcher) Send(path string, body []byte, done func(status int, body []byte, err error)) {
	options := map[string]any{"credentials": "same-origin", "cache": "no-store"}
	if body != nil {
		options["method"] = "POST"
		options["headers"] = map[string]any{"Content-Type": "application/json"}
		options["body"] = string(body)
	}
	abort := js.Global().Get("AbortController").New()
	options["signal"] = abort.Get("signal")
	timer := time.AfterFunc(answerTime, func() { abort.Call("abort") })
	var got, text, failed js.Func
	var once sync.Once
	end := func(status int, body []byte, err error) {
		once.Do(func() {
			timer.Stop()
			got.Release()
			text.Release()
			failed.Release()
			done(status, body, err)
			call("benchWake")
		})
	}
	status := 0
	failed = js.FuncOf(func(_ js.Value, args []js.Value) any {
		end(0, nil, fmt.Errorf("%s", args[0].Call("toString").String()))
		return nil
	})
	text = js.FuncOf(func(_ js.Value, args []js.Value) any {
		end(status, []byte(args[0].String()), nil)
		return nil
	})
	got = js.FuncOf(func(_ js.Value, args []js.Value) any {
		status = args[0].Get("status").Int()
		return args[0].Call("text")
	})
	js.Global().Call("fetch", path, options).Call("then", got).Call("then", text, failed)
}
