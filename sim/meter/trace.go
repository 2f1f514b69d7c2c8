package meter

import (
	"math"
	"slices"

	"faultloom/sim/harness"
)

// ChannelOhms is what a channel of the trace view is to the circuit, from its probe to the battery's negative post, where its ground clip
// sits: 1 MΩ (the usual input of such instruments with a plain probe; common practice, no source).
const ChannelOhms = 1e6

// TracePercent and TraceCounts are the accuracy of the voltages on the trace view: 1 % + 3 counts of 10 mV, as a converter of 12 bits over 40.96 V
// with its input has it (common practice, no source). Frequency and duty are as exact as the multimeter's.
const TracePercent, TraceCounts = 1, 3

// traceStep is one count of the trace view in volts.
const traceStep = 0.01

// TraceTolerance is the largest distance in volts between what the trace view shows of a channel and what stands at its probe.
func TraceTolerance(shown float64) float64 {
	return float64(TracePercent/100.0*math.Abs(shown)) + TraceCounts*traceStep
}

// TraceColumns is how many columns a trace has.
const TraceColumns = 240

// Sweep is how the trace view is set.
type Sweep struct {
	// Seconds is the time from the left edge to the right, one of Sweeps.
	Seconds float64 `json:"seconds"`
	// Level is the voltage of channel 1 (of channel 2 where only that is used) whose rise stands at the left edge. Where nothing rises
	// through it, the trace begins anywhere. Of what happens once, the passage through it either way stands near the left edge.
	Level float64 `json:"level"`
}

// Sweeps lists the time bases in seconds, the shortest first.
func Sweeps() []float64 { return []float64{0.005, 0.02, 0.1, 0.5, 2} }

// Trace is what the trace view draws: for each column of each channel the lowest and the highest voltage in it, in hundredths of a
// volt, so that no dip is lost between two columns. A channel without a probe has none.
type Trace struct {
	Sweep    Sweep           `json:"sweep"`
	Found    bool            `json:"found"`          // something rose through the level
	Once     bool            `json:"once,omitempty"` // it went through the level once, during the last action, and is steady now
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

// record is a row of instants: when each was, in seconds, and what stood on both channels for how long.
type record struct {
	at   []float64
	rows [2][]moment
}

// take adds an instant and reports whether there is room for more.
func (r *record) take(at, dt float64, v [2]float64) bool {
	if len(r.at) >= traceMost {
		return false
	}
	r.at = append(r.at, at)
	for i := range v {
		r.rows[i] = append(r.rows[i], moment{v[i], dt})
	}
	return true
}

// end is when the last instant ends.
func (r *record) end() float64 {
	n := len(r.at)
	if n == 0 {
		return 0
	}
	return r.at[n-1] + r.rows[0][n-1].dt
}

// still reports whether nothing to speak of moves in it.
func (r *record) still() bool {
	for _, row := range r.rows {
		for _, x := range row {
			if math.Abs(x.volts-row[0].volts) > stillVolts {
				return false
			}
		}
	}
	return true
}

// cut returns the part from start to end in seconds, at least one instant.
func (r *record) cut(start, end float64) record {
	i, _ := slices.BinarySearch(r.at, start)
	if i == len(r.at) || r.at[i] > start && i > 0 {
		i--
	}
	j, _ := slices.BinarySearch(r.at, end)
	j = max(j, i+1)
	part := record{at: r.at[i:j]}
	for c := range part.rows {
		row := slices.Clone(r.rows[c][i:j])
		for k := range row {
			from := max(r.at[i+k], start)
			row[k].dt = max(0, min(r.at[i+k]+row[k].dt, end)-from)
		}
		part.rows[c] = row
	}
	return part
}

// stillVolts is what counts as no movement on the trace view, and traceBefore the share of the screen that shows what was before a single
// event.
const stillVolts, traceBefore = 0.02, 0.1

// channelVolts is what both channels make of what stands on them in the present solution.
func (b *Bench) channelVolts(m *harness.Machine) [2]float64 {
	var v [2]float64
	_, minus, ok := m.Supply()
	for i, p := range b.extra.channels {
		// One on the battery's minus lies on its own ground and is not in the circuit.
		if at := b.leads[TraceView][i]; ok && at != "" && at != minus {
			v[i] = float64(p.Volts(m.Solver())*(1+b.extra.off.gains[i])) + float64(b.extra.off.offsets[i]*traceStep)
		}
	}
	return v
}

// tracing reports whether a probe of the trace view is placed.
func (b *Bench) tracing() bool { return b.leads[TraceView] != [2]harness.Point{} }

// Forget begins a new record of what passes by the trace view: what is shown as having happened once happened since.
func (b *Bench) Forget() { b.extra.past = record{} }

// readTrace looks closer at both channels. What repeats is drawn as it goes on; where nothing moves, what the record since Forget holds
// is searched for something that went through the level, once. What it shows of each channel is bounded: extremes, mean, frequency and
// duty of what is drawn; the trace itself follows from the same look.
func (b *Bench) readTrace(m *harness.Machine) (Display, error) {
	sweep := b.extra.sweep
	var now record
	if m.Waves() || m.Restless() != "" {
		err := m.Watch(traceLead, 2*sweep.Seconds, func(at, dt float64) bool { return now.take(at, dt, b.channelVolts(m)) })
		if err != nil {
			return Display{}, err
		}
	} else {
		now.take(0, 2*sweep.Seconds, b.channelVolts(m))
	}
	lead := 0
	if b.leads[TraceView][0] == "" {
		lead = 1
	}
	start, found := rise(now.at, now.rows[lead], sweep)
	trace := Trace{Sweep: sweep, Found: found}
	d := Display{Text: "moving"}
	told := now
	if m.Restless() == "" && now.still() {
		d.Text = "steady"
		if at, ok := crossed(&b.extra.past, lead, sweep.Level); ok {
			start, now = max(0, at-traceBefore*sweep.Seconds), b.extra.past
			trace.Found, trace.Once, d.Text = true, true, "once"
			told = now.cut(start, min(start+sweep.Seconds, now.end()))
		}
	}
	for i, p := range b.leads[TraceView] {
		if p != "" {
			trace.Channels[i] = columns(now.at, now.rows[i], start, sweep.Seconds)
			w := beatOf(told.rows[i])
			if trace.Once {
				w.hertz = 0
			}
			d.Channels = append(d.Channels, channel(i, w))
		}
	}
	b.extra.trace = trace
	return d, nil
}

// crossed returns when a channel of a record went through a level first, either way, and whether it did.
func crossed(r *record, channel int, level float64) (at float64, ok bool) {
	row := r.rows[channel]
	for i := 1; i < len(row); i++ {
		if (row[i-1].volts < level) != (row[i].volts < level) {
			return r.at[i], true
		}
	}
	return 0, false
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
