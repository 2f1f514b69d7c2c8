//go:build !linux || desktop

package main

import (
	"errors"
	"math"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/draw"
)

// platform is what differs between a page and a window.
type platform interface {
	// events calls f for everything the person did since the last call, in order.
	events(f func(bench.Event))
	// shown is called after the bench changed: to bring its words up to date, keep the settings, set the pointer's shape.
	shown(m *bench.Model, idle bool)
	// rest is called when nothing moves and nothing is awaited.
	rest()
	// play starts a sound and does not wait for it.
	play(c bench.Cue)
}

// game runs a bench in Ebitengine.
type game struct {
	m    *bench.Model
	on   platform
	p    *painter
	last time.Time

	w, h  int     // of the picture in pixels
	scale float64 // pixels to a unit
	stale bool    // the still part is to be painted anew
	over  bool    // what follows the pointer is
	quiet int     // frames without change
}

// longest bounds one step of the screen's clock: after a pause (a tab in the background) time does not jump.
const longest = 100 * time.Millisecond

// settled is after how many frames without change the bench is at rest: the screen's own buffers have caught up by then.
const settled = 8

func newGame(m *bench.Model, on platform) *game {
	return &game{m: m, on: on, p: newPainter(), last: time.Now(), stale: true}
}

// run opens the window or takes over the page until it is closed.
func run(g *game) error {
	ebiten.SetTPS(ebiten.SyncWithFPS)
	ebiten.SetScreenClearedEveryFrame(false)
	err := ebiten.RunGameWithOptions(g, &ebiten.RunGameOptions{SingleThread: true})
	if errors.Is(err, ebiten.Termination) {
		return nil
	}
	return err
}

// Update implements ebiten.Game: events in, answers in, sounds out.
func (g *game) Update() error {
	now := time.Now()
	dt := min(now.Sub(g.last), longest)
	g.last = now
	if g.w == 0 {
		return nil
	}
	if g.stale { // there must be a frame for events to mean something
		g.m.Frame(g.size())
	}
	g.on.events(g.m.Handle)
	g.m.Tick(dt.Seconds())
	for _, c := range g.m.Cues() {
		g.on.play(c)
	}
	switch {
	case g.m.Dirty():
		g.m.Frame(g.size())
		g.stale, g.quiet = true, 0
	case g.m.OverDirty():
		g.m.Follow()
		g.over, g.quiet = true, 0
	default:
		g.quiet++
	}
	g.on.shown(g.m, g.quiet > 0)
	if g.quiet >= settled && !g.m.Busy() {
		g.on.rest()
	}
	return nil
}

func (g *game) size() draw.Point {
	return draw.Point{X: float64(g.w) / g.scale, Y: float64(g.h) / g.scale}
}

// Draw implements ebiten.Game. It leaves the screen as it is when nothing changed.
func (g *game) Draw(screen *ebiten.Image) {
	if !g.stale && !g.over {
		return
	}
	f := g.m.Frame(g.size())
	if g.stale {
		g.p.still(&f.Base, g.w, g.h, g.scale)
	}
	g.p.show(screen, &f.Over, g.w, g.h, g.scale)
	g.stale, g.over = false, false
}

// Layout implements ebiten.Game; LayoutF is used instead.
func (g *game) Layout(w, h int) (int, int) { return w, h }

// LayoutF implements ebiten.LayoutFer: a unit of the bench is a unit of the window system, the picture has its pixels.
func (g *game) LayoutF(w, h float64) (float64, float64) {
	s := ebiten.Monitor().DeviceScaleFactor()
	pw, ph := math.Ceil(w*s), math.Ceil(h*s)
	if int(pw) != g.w || int(ph) != g.h || s != g.scale {
		g.w, g.h, g.scale = int(pw), int(ph), s
		g.stale = true
		g.m.Frame(g.size())
	}
	return pw, ph
}
