package meter

import (
	"errors"
	"math"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// keys is what the multimeter's two keys have set going: relative, and capture of the extremes.
type keys struct {
	relative bool
	ref      float64 // what is subtracted, in base units; NaN when it is not known
	last     float64 // what was shown last before anything was subtracted
	shown    bool    // last is a number

	capture   bool
	low, high float64 // of the captured, low > high while there is none
}

// begin makes the capture begin anew.
func (k *keys) begin() { k.low, k.high = math.Inf(1), math.Inf(-1) }

// take adds a value to the captured; what is no number is none.
func (k *keys) take(v float64) {
	if !math.IsNaN(v) {
		k.low, k.high = min(k.low, v), max(k.high, v)
	}
}

// SetRelative begins to subtract what the display shows now from what it will show, or stops that. It stays on while the leads move
// (leads on one point take out their own resistance) and ends when the dial is turned. It returns an error when the display
// shows no number to subtract.
func (b *Bench) SetRelative(on bool) error {
	switch {
	case !on:
		b.keys.relative, b.keys.ref = false, 0
	case !b.Shows():
		return errors.New("the meter shows no number that could be subtracted")
	default:
		b.keys.relative, b.keys.ref = true, b.keys.last
	}
	return nil
}

// SupposeRelative is SetRelative for a bench of which it is only supposed that it shows a number: when it shows none, what follows is not
// known.
func (b *Bench) SupposeRelative(on bool) {
	if b.SetRelative(on) != nil {
		b.keys.relative, b.keys.ref = true, math.NaN()
	}
}

// Unread makes what the multimeter showed last unknown.
func (b *Bench) Unread() { b.keys.shown = false }

// Unknown reports whether what is subtracted is not known, so that nothing is known of what would be shown.
func (b *Bench) Unknown() bool { return b.keys.relative && math.IsNaN(b.keys.ref) }

// Relative reports whether a reading is being subtracted.
func (b *Bench) Relative() bool { return b.keys.relative }

// Shows reports whether the multimeter showed a number when it was last read.
func (b *Bench) Shows() bool { return b.dial != Off && b.keys.shown }

// SetCapture begins to keep the lowest and the highest value, or stops that. The capture begins anew when a lead of the multimeter is
// moved and ends when the dial is turned.
func (b *Bench) SetCapture(on bool) {
	b.keys.capture = on
	b.keys.begin()
}

// Capturing reports whether extremes are being kept.
func (b *Bench) Capturing() bool { return b.keys.capture }

// Seeing returns what must be called after each solution while time passes, for a capture and the trace view to see it; nil when there is
// none.
func (b *Bench) Seeing(m *harness.Machine) func(dt float64) {
	capture, trace := b.keys.capture && b.captures(), b.tracing()
	if !capture && !trace {
		return nil
	}
	return func(dt float64) {
		if capture {
			b.keys.take(b.now(m))
		}
		if trace {
			b.extra.past.take(b.extra.past.end(), dt, b.channelVolts(m))
		}
	}
}

// captures reports whether there is anything to capture: the leads lie on a circuit, and the function shows what it has at every instant.
func (b *Bench) captures() bool {
	switch b.dial {
	case Off, Hertz, Duty:
		return false
	}
	return loads(b.leads[Multimeter])
}

// now is what the converter makes of the present solution, in base units.
func (b *Bench) now(m *harness.Machine) float64 {
	p := b.meter().(*device.Probe)
	s := m.Solver()
	switch b.dial {
	case Amps:
		return p.Amps(s)
	case Ohms, Continuity:
		return LeadOhms - p.Volts(s)/p.Amps(s)
	case Diode:
		return p.Volts(s) + float64(-p.Amps(s)*LeadOhms)
	}
	return p.Volts(s)
}

// How long a capture looks at what pulses, in seconds, before that and while: some tens of periods of what a module pulses. What is slower,
// such as the park switch of a wiper, is looked at for captureMost, or until captureInstants instants have been seen.
const (
	captureLead, captureLook, captureMost = 0.1, 0.1, 5.0
	captureInstants                       = 40
)

// widen looks closer at what pulses, for the capture.
func (b *Bench) widen(m *harness.Machine) error {
	if !b.keys.capture || !b.captures() || b.dial.drives() || !m.Waves() {
		return nil
	}
	seen := 0
	return m.Watch(captureLead, captureMost, func(at, _ float64) bool {
		b.keys.take(b.now(m))
		seen++
		return at < captureLook || seen < captureInstants
	})
}

// keyed adds to a display what the keys do to it.
func (b *Bench) keyed(d Display) Display {
	k := &b.keys
	k.last, k.shown = d.Value, d.Valid
	if k.capture && k.low <= k.high {
		low, high := b.relate(b.show(b.dial, k.low)), b.relate(b.show(b.dial, k.high))
		d.Capture = &Capture{Low: low.extreme(), High: high.extreme()}
	}
	return b.relate(d)
}

func (d Display) extreme() Extreme { return Extreme{d.Text, d.Unit, d.Value, d.Valid} }

// relate subtracts the reference, in the range that shows the reading itself.
func (b *Bench) relate(d Display) Display {
	if !b.keys.relative {
		return d
	}
	d.Relative = b.keys.ref
	d.Words = append(d.Words, RelativeWord)
	if !d.Valid {
		return d
	}
	i, _ := b.dial.RangeOf(d.Value)
	r := accuracies[b.dial].Ranges[i]
	n, ok := r.count(d.Value - b.keys.ref)
	if !ok {
		d.Text, d.Value, d.Valid = Overload, 0, false
		return d
	}
	shown := r.show(n)
	d.Text, d.Value = shown.Text, shown.Value
	return d
}
