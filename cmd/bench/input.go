//go:build !js && (!linux || desktop)

package main

import (
	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/draw"
)

// input turns the window's mouse, fingers and keys into events. The window system's buttons are sticky: one pressed and
// released between two frames is still seen as pressed once.
type input struct {
	at      draw.Point
	down    bool
	touches []ebiten.TouchID
	where   map[ebiten.TouchID]draw.Point
	keys    []ebiten.Key
	chars   []rune
}

func (in *input) events(f func(bench.Event)) {
	scale := ebiten.Monitor().DeviceScaleFactor()
	unit := func(x, y int) draw.Point {
		return draw.Point{X: (float64(x) + 0.5) / scale, Y: (float64(y) + 0.5) / scale}
	}
	at := unit(ebiten.CursorPosition())
	if at != in.at {
		in.at = at
		f(bench.Event{Kind: bench.Move, At: at})
	}
	if inpututil.IsMouseButtonJustPressed(ebiten.MouseButtonLeft) {
		in.down = true
		f(bench.Event{Kind: bench.Press, At: at})
	}
	if in.down && !ebiten.IsMouseButtonPressed(ebiten.MouseButtonLeft) {
		in.down = false
		f(bench.Event{Kind: bench.Release, At: at})
	}
	shift := ebiten.IsKeyPressed(ebiten.KeyShift)
	if dx, dy := ebiten.Wheel(); dx != 0 || dy != 0 {
		const notch = 60 // units that a notch of the wheel scrolls
		f(bench.Event{Kind: bench.Wheel, At: at, Shift: shift, By: draw.Point{X: -dx * notch, Y: -dy * notch}})
	}
	in.fingers(f, unit)
	in.typed(f, shift)
}

func (in *input) fingers(f func(bench.Event), unit func(x, y int) draw.Point) {
	if in.where == nil {
		in.where = map[ebiten.TouchID]draw.Point{}
	}
	// 0 is the mouse.
	for _, id := range inpututil.AppendJustPressedTouchIDs(in.touches[:0]) {
		in.where[id] = unit(ebiten.TouchPosition(id))
		f(bench.Event{Kind: bench.Press, Touch: true, ID: int(id) + 1, At: in.where[id]})
	}
	in.touches = ebiten.AppendTouchIDs(in.touches[:0])
	for _, id := range in.touches {
		if p := unit(ebiten.TouchPosition(id)); p != in.where[id] {
			in.where[id] = p
			f(bench.Event{Kind: bench.Move, Touch: true, ID: int(id) + 1, At: p})
		}
	}
	for _, id := range inpututil.AppendJustReleasedTouchIDs(in.touches[:0]) {
		f(bench.Event{Kind: bench.Release, Touch: true, ID: int(id) + 1, At: in.where[id]})
		delete(in.where, id)
	}
}

// named are the keys that make no character.
var named = map[ebiten.Key]string{
	ebiten.KeyTab: "Tab", ebiten.KeyEnter: "Enter", ebiten.KeyNumpadEnter: "Enter", ebiten.KeyEscape: "Escape",
	ebiten.KeyArrowLeft: "ArrowLeft", ebiten.KeyArrowRight: "ArrowRight", ebiten.KeyArrowUp: "ArrowUp", ebiten.KeyArrowDown: "ArrowDown",
	ebiten.KeyPageUp: "PageUp", ebiten.KeyPageDown: "PageDown", ebiten.KeyF6: "F6",
}

func (in *input) typed(f func(bench.Event), shift bool) {
	ctrl := ebiten.IsKeyPressed(ebiten.KeyControl) || ebiten.IsKeyPressed(ebiten.KeyMeta)
	in.keys = inpututil.AppendPressedKeys(in.keys[:0])
	for _, k := range in.keys {
		name, ok := named[k]
		if !ok {
			continue
		}
		// A key held down repeats, as keyboards do: after half a second, then every twelfth.
		if d := inpututil.KeyPressDuration(k); d == 1 || d > 30 && d%5 == 0 {
			f(bench.Event{Kind: bench.KeyDown, Key: name, Shift: shift, Ctrl: ctrl})
		}
	}
	in.chars = ebiten.AppendInputChars(in.chars[:0])
	for _, c := range in.chars {
		f(bench.Event{Kind: bench.KeyDown, Key: string(c), Shift: shift, Ctrl: ctrl})
	}
}
