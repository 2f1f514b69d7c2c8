package meter

import (
	"math"
	"slices"

	"faultloom/sim/harness"
)

// ChannelOhms is what a channel of the trace view is to the circuit, from its probe to the battery's negative post, where its ground clip
// sits: 1 MΩ (the usual input of such instruments with a plain probe; common practice, no source).
const ChannelOhms = 1e6

// TraceColumns is how many columns a trace has.
const TraceColumns = 240

// Sweep is how the trace view is set.
type Sweep struct {
	// Seconds is the time from the left edge to the right, one of Sweeps.
	Seconds float64 `json:"seconds"`
	// Level is the voltage of channel 1 (of channel 2 where only that is used) whose rise stands at the left edge. Where nothing rises
	// through it, the trace begins anywhere.
	Level float64 `json:"level"`
}

// Sweeps lists the time bases in seconds, the shortest first.
func Sweeps() []float64 { return []float64{0.005, 0.02, 0.1, 0.5, 2} }

// Trace is what the trace view draws: for each column of each channel the lowest and the highest voltage in it, in hundredths of a
// volt, so that no dip is lost between two columns. A channel without a probe has none.
type Trace struct {
	Sweep    Sweep           `json:"sweep"`
	Found    bool            `json:"found"` // something rose through the level
	Channels [2][][2]float64 `json:"channels"`
}

// SetSweep sets the trace view.
func (b *Bench) SetSweep(s Sweep) { b.extra.sweep = s }

// Sweep returns how the trace view is set.
func (b *Bench) Sweep() Sweep { return b.extra.sweep }

// Trace returns what the trace view drew when it was read last. It belongs to the Bench.
func (b *Bench) Trace() Trace { return b.extra.trace }

// traceLead is how long what follows pulses is given to fall into step, in seconds; traceMost is how many instants are looked at at most,
// which a relay that buzzes for the longest sweep does not reach.
const traceLead, traceMost = 0.1, 20000

// readTrace looks closer at both channels. What it shows of each is bounded: extremes, mean, frequency and duty; the trace itself follows
// from the same look.
func (b *Bench) readTrace(m *harness.Machine) (Display, error) {
	sweep := b.extra.sweep
	now := func() [2]float64 {
		var v [2]float64
		for i, p := range b.extra.channels {
			if b.leads[TraceView][i] != "" {
				v[i] = p.Volts(m.Solver())
			}
		}
		return v
	}
	var at []float64
	var rows [2][]moment
	take := func(t, dt float64) bool {
		at = append(at, t)
		for i, v := range now() {
			rows[i] = append(rows[i], moment{v, dt})
		}
		return len(at) < traceMost
	}
	if m.Waves() || m.Restless() != "" {
		if err := m.Watch(traceLead, 2*sweep.Seconds, take); err != nil {
			return Display{}, err
		}
	} else {
		take(0, 2*sweep.Seconds)
	}
	lead := 0
	if b.leads[TraceView][0] == "" {
		lead = 1
	}
	start, found := rise(at, rows[lead], sweep)
	trace := Trace{Sweep: sweep, Found: found}
	d := Display{Text: "steady"}
	for i, p := range b.leads[TraceView] {
		if p == "" {
			continue
		}
		trace.Channels[i] = columns(at, rows[i], start, sweep.Seconds)
		w := beatOf(rows[i])
		d.Channels = append(d.Channels, channel(i, w))
		if w.high-w.low >= SwingVolts {
			d.Text = "moving"
		}
	}
	b.extra.trace = trace
	return d, nil
}

// rise returns when the voltage first rises through the level within the first half of what was seen, and whether it does.
func rise(at []float64, row []moment, s Sweep) (start float64, found bool) {
	for i := 1; i < len(row) && at[i] <= s.Seconds; i++ {
		if row[i-1].volts < s.Level && row[i].volts >= s.Level {
			return at[i], true
		}
	}
	return 0, false
}

// columns gathers a row into columns from start on.
func columns(at []float64, row []moment, start, seconds float64) [][2]float64 {
	out := make([][2]float64, TraceColumns)
	width := seconds / TraceColumns
	i, _ := slices.BinarySearch(at, start)
	if i == len(at) || at[i] > start && i > 0 {
		i--
	}
	for c := range out {
		from, to := start+float64(float64(c)*width), start+float64(float64(c+1)*width)
		for i+1 < len(at) && at[i+1] <= from {
			i++
		}
		low, high := row[i].volts, row[i].volts
		for k := i + 1; k < len(at) && at[k] < to; k++ {
			low, high = min(low, row[k].volts), max(high, row[k].volts)
		}
		out[c] = [2]float64{hundredths(low), hundredths(high)}
	}
	return out
}

func hundredths(v float64) float64 { return math.Round(v*100) / 100 }

// channel is what the trace view says of one channel.
func channel(i int, w beat) Channel {
	volts := func(v float64) Extreme {
		n := int(math.Round(v * 100))
		return Extreme{Text: digits(n, 2), Unit: "V", Value: fromCounts(n, -2), Valid: true}
	}
	c := Channel{Number: i + 1, Low: volts(w.low), High: volts(w.high), Mean: volts(w.mean)}
	if w.hertz > 0 {
		show := func(f Function) Extreme {
			v := w.value(f)
			k, ok := f.RangeOf(v)
			if !ok {
				return Extreme{}
			}
			n, _ := accuracies[f].Ranges[k].count(v)
			return accuracies[f].Ranges[k].show(n).extreme()
		}
		hertz, duty := show(Hertz), show(Duty)
		c.Hertz, c.Duty = &hertz, &duty
	}
	return c
}
