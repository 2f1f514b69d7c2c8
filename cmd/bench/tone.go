//go:build !linux || desktop

package main

import (
	"math"

	"faultloom/cmd/internal/bench"
)

// toneRate is the number of samples in a second of the sounds made here.
const toneRate = 44100

// tone makes a sound: samples between −1 and 1, one channel.
func tone(c bench.Cue) []float32 {
	switch c {
	case bench.CueClick:
		return click()
	case bench.CueHorn:
		return note(0.55, 0.30, 405, 510, 810)
	case bench.CueBuzzer:
		return note(0.45, 0.18, 2300, 2310)
	case bench.CueBeep:
		return note(0.22, 0.15, 2000)
	}
	return nil
}

// note is some pitches together, with soft ends.
func note(seconds, loud float64, hertz ...float64) []float32 {
	n := int(seconds * toneRate)
	out := make([]float32, n)
	for i := range out {
		t := float64(i) / toneRate
		v := 0.0
		for _, f := range hertz {
			v += math.Sin(2 * math.Pi * f * t)
		}
		edge := min(1, t/0.01, (seconds-t)/0.03)
		out[i] = float32(v / float64(len(hertz)) * loud * edge)
	}
	return out
}

// click is a dull knock: noise that dies away within a few milliseconds, from a fixed row of pseudo-random numbers.
func click() []float32 {
	n := toneRate / 25
	out := make([]float32, n)
	state, low := uint32(1), 0.0
	for i := range out {
		state = state*1664525 + 1013904223
		v := float64(state>>16)/32768 - 1
		low += (v - low) * 0.35
		t := float64(i) / toneRate
		out[i] = float32(low * 0.7 * math.Exp(-t/0.006))
	}
	return out
}
