//go:build !js && (!linux || desktop)

package main

import (
	"bytes"
	"encoding/binary"
	"math"
	"sync"

	"github.com/ebitengine/oto/v3"

	"faultloom/cmd/internal/bench"
)

// speaker plays short sounds on the machine's own output. It opens that with the first sound; a machine without one, or one
// that is in use, stays silent and the bench goes on: the captions tell.
type speaker struct {
	once    sync.Once
	mu      sync.Mutex
	context *oto.Context // nil until it is ready
	playing []*oto.Player
}

func (s *speaker) play(c bench.Cue) {
	s.once.Do(func() { go s.open() })
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.context == nil || s.context.Err() != nil {
		return
	}
	var data bytes.Buffer
	for _, v := range tone(c) {
		var b [4]byte
		binary.LittleEndian.PutUint32(b[:], math.Float32bits(v))
		data.Write(b[:])
	}
	still := s.playing[:0]
	for _, p := range s.playing {
		if p.IsPlaying() {
			still = append(still, p)
		}
	}
	p := s.context.NewPlayer(&data)
	p.Play()
	s.playing = append(still, p)
}

// open waits for the output off the screen's own goroutine.
func (s *speaker) open() {
	ctx, ready, err := oto.NewContext(&oto.NewContextOptions{SampleRate: toneRate, ChannelCount: 1, Format: oto.FormatFloat32LE})
	if err != nil {
		return
	}
	<-ready
	s.mu.Lock()
	s.context = ctx
	s.mu.Unlock()
}
