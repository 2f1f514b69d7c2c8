package main

import (
	"math"
	"syscall/js"

	"faultloom/cmd/internal/bench"
)

// Sounds go to the browser's own mixer as short buffers: nothing runs between two sounds, and no script has to be made
// on the fly, which a page's content policy may forbid.

// wake lets sounds be heard: browsers keep silent until the person did something.
func (p *page) wake() {
	if p.audio.Truthy() && p.audio.Get("state").String() == "suspended" {
		p.audio.Call("resume")
	}
}

func (p *page) play(c bench.Cue) {
	defer func() { _ = recover() }() // without sound the captions tell
	if !p.audio.Truthy() {
		class := p.window.Get("AudioContext")
		if !class.Truthy() {
			return
		}
		p.audio = class.New()
	}
	buf, ok := p.tones[c]
	if !ok {
		samples := tone(c)
		if len(samples) == 0 {
			return
		}
		buf = p.audio.Call("createBuffer", 1, len(samples), toneRate)
		bytes := make([]byte, 4*len(samples))
		for i, v := range samples {
			u := math.Float32bits(v)
			bytes[4*i], bytes[4*i+1], bytes[4*i+2], bytes[4*i+3] = byte(u), byte(u>>8), byte(u>>16), byte(u>>24)
		}
		raw := js.Global().Get("Uint8Array").New(len(bytes))
		js.CopyBytesToJS(raw, bytes)
		buf.Call("copyToChannel", js.Global().Get("Float32Array").New(raw.Get("buffer")), 0)
		p.tones[c] = buf
	}
	p.wake()
	src := p.audio.Call("createBufferSource")
	src.Set("buffer", buf)
	src.Call("connect", p.audio.Get("destination"))
	src.Call("start")
}
