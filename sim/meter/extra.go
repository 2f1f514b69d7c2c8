package meter

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Properties of the tools beside the multimeter.
const (
	// LoadWatts is the substitute load at the vehicle's nominal voltage: a stop lamp bulb in a holder with clips, which draws what most
	// consumers do (common practice, no source).
	LoadWatts = 21
	// ClampPercent and ClampCounts are the clamp's accuracy: 2 % + 5 counts, plus its zero (common practice, no source;
	// testdata/meter/meter.csv row "clamp d.c. accuracy").
	ClampPercent, ClampCounts = 2, 5
	// ClampDrift is how far in amperes a clamp's zero may be off until it is zeroed: remanence of its core and the earth's field make some
	// tenths of an ampere (common practice, no source).
	ClampDrift = 0.3
	// LogicOhms is what a logic probe's tip is to the circuit, and LogicRest the share of the supply to which it pulls a tip that nothing
	// holds: too weak to move what is driven, and between the thresholds (common practice, no source).
	LogicOhms = 1e6
	LogicRest = 0.45
	// LogicLow and LogicHigh are the thresholds as shares of the vehicle's nominal voltage: those of the common logic families, 30 and
	// 70 % (common practice, no source).
	LogicLow  = 0.3
	LogicHigh = 0.7
	// LogicSpread is how far a probe's own thresholds may be off, as a share of that voltage: 5 % (common practice, no source).
	LogicSpread = 0.05
	// ReaderPercent and ReaderCounts are the accuracy of the voltages and currents in a data list: 2 % + 1 count of a tenth. That is a unit's
	// converter of 8 bits over 25.6 V with its dividers (common practice, no source); states, and what is no voltage or current, are
	// the unit's own.
	ReaderPercent, ReaderCounts = 2, 1
)

// Words of the logic probe.
const (
	HighWord     = "high"
	LowWord      = "low"
	PulsingWord  = "pulsing"
	FloatingWord = "floating"
)

// NoAnswer is what a reader shows of a control unit that does not answer.
const NoAnswer = "no answer"

// clampRanges are the ranges of the clamp.
func clampRanges() []Range {
	return []Range{
		{Exponent: -2, Counts: MaxCounts, Unit: "A", Decimals: 2},
		{Exponent: -1, Counts: MaxCounts, Unit: "A", Decimals: 1},
	}
}

// ClampTolerance is the largest distance in amperes between what a zeroed clamp shows and the current in the wire.
func ClampTolerance(shown float64) float64 {
	step := clampRanges()[0].Step()
	if math.Abs(shown) > clampRanges()[0].Full() {
		step = clampRanges()[1].Step()
	}
	return float64(ClampPercent/100.0*math.Abs(shown)) + float64(ClampCounts*step)
}

// extras are the tools beside multimeter, test lamp and jumper.
type extras struct {
	load     device.Device
	logic    *device.Probe
	channels [2]*device.Probe
	drift    float64 // of the clamp's zero, in amperes
	zero     float64 // the current in its jaw that its key has taken as nothing
	zeroed   bool
	off      others
	sweep    Sweep
	trace    Trace
	past     record // what has passed by the trace view
}

func newExtras(kit Kit, cal Calibration) (extras, error) {
	load, err := device.New(device.Spec{Kind: "lamp", Values: map[string]float64{"power": LoadWatts, "volts": kit.Volts}})
	if err != nil {
		return extras{}, fmt.Errorf("substitute load: %w", err)
	}
	x := extras{load: load, logic: device.NewProbe(), drift: cal.drift, off: cal.others, sweep: Sweep{Seconds: Sweeps()[1], Level: math.Round(kit.Volts / 2)}}
	x.logic.Set(LogicRest*kit.Volts, LogicOhms)
	for i := range x.channels {
		x.channels[i] = device.NewProbe()
		x.channels[i].Set(0, ChannelOhms)
	}
	return x, nil
}

// drawDrift draws a clamp's zero from the seed of a meter's calibration.
func drawDrift(seed uint64) float64 {
	const clamp = 0x636c616d70 // "clamp", to keep its numbers apart
	r := rand.New(rand.NewPCG(seed, clamp))
	size := 0.2 + 0.8*r.Float64()
	if r.IntN(2) == 0 {
		size = -size
	}
	return size * ClampDrift
}

// Zero makes the clamp take what it shows now as nothing: with its jaw empty, its own drift. It returns an error for another tool.
func (b *Bench) Zero(t Tool, m *harness.Machine) error {
	if t != Clamp || !b.Has(t) {
		return fmt.Errorf("the %s has no zero to set", t.Title())
	}
	amps, err := b.clamped(m)
	b.extra.zero, b.extra.zeroed = amps, true
	return err
}

// Zeroed reports whether the clamp has been zeroed.
func (b *Bench) Zeroed() bool { return b.extra.zeroed }

// clamped is the current through the clamp's jaw in amperes, positive from the wire's first end to its second: the mean over Update when
// the circuit does not rest. It is 0 with the jaw empty.
func (b *Bench) clamped(m *harness.Machine) (float64, error) {
	at := b.leads[Clamp][0]
	if at == "" {
		return 0, nil
	}
	return mean(m, func() float64 { return m.LimbAmps(harness.Limb(at)) })
}

// mean is what a slow instrument shows of a quantity: its mean over Update when the circuit does not rest.
func mean(m *harness.Machine, now func() float64) (float64, error) {
	if m.Restless() == "" {
		return now(), nil
	}
	sum, time := 0.0, 0.0
	err := m.Watch(0, Update, func(_, dt float64) bool {
		sum += float64(now() * dt)
		time += dt
		return true
	})
	return sum / time, err
}

func (b *Bench) readClamp(m *harness.Machine) (Display, error) {
	amps, err := b.clamped(m)
	shown := float64((amps - b.extra.zero) * (1 + b.extra.off.clamp))
	if !b.extra.zeroed {
		shown += b.extra.drift
	}
	ranges := clampRanges()
	for _, r := range ranges {
		if n, ok := r.count(shown); ok {
			return r.show(n), err
		}
	}
	return ranges[len(ranges)-1].overload(), err
}

// IdealClamp returns what a clamp without error would show, and how far its zero may be off; NaN when it is around nothing. A zero that was
// taken around a wire is as good as the clamp is on that current.
func (b *Bench) IdealClamp(m *harness.Machine) (amps, slack float64) {
	at := b.leads[Clamp][0]
	if at == "" {
		return math.NaN(), 0
	}
	slack = ClampPercent / 100.0 * math.Abs(b.extra.zero)
	if !b.extra.zeroed {
		slack = ClampDrift
	}
	return m.LimbAmps(harness.Limb(at)) - b.extra.zero, slack
}

// level names a voltage at the logic probe's tip by that probe's own thresholds.
func (b *Bench) level(volts float64) string {
	return named(volts/b.kit.Volts, LogicLow+b.extra.off.levels[0], LogicHigh+b.extra.off.levels[1])
}

// named names a share of the supply by thresholds.
func named(share, low, high float64) string {
	switch {
	case share >= high:
		return HighWord
	case share <= low:
		return LowWord
	}
	return FloatingWord
}

func (b *Bench) readLogic(m *harness.Machine) (Display, error) {
	p := b.extra.logic
	if _, minus, ok := m.Supply(); !ok || b.leads[LogicProbe][0] == minus {
		return Display{Text: b.level(0)}, nil // its tip is where its own ground is, or it has none: it is not in the circuit
	}
	w, err := listen(m, func() float64 { return p.Volts(m.Solver()) })
	if err != nil {
		return Display{}, err
	}
	low, high := b.level(w.low), b.level(w.high)
	word := b.level(w.mean)
	if low == LowWord && high == HighWord {
		word = PulsingWord
	}
	return Display{Text: word}, nil
}

// IdealLogic returns what any logic probe would show of a circuit at rest by its linear equivalent, whatever its thresholds are within what is
// stated; "" when it touches nothing, or when something may move there.
func (b *Bench) IdealLogic(m *harness.Machine) string {
	at := b.leads[LogicProbe][0]
	_, minus, ok := m.Supply()
	if at == "" || !ok || at == minus || m.Restless() != "" || m.Waves() {
		return ""
	}
	v, r := m.Thevenin(at, minus)
	if math.IsNaN(v) {
		return ""
	}
	tip := (v*LogicOhms + LogicRest*b.kit.Volts*r) / (LogicOhms + r)
	return named(tip/b.kit.Volts, LogicLow-LogicSpread, LogicHigh+LogicSpread)
}

func (b *Bench) readLoad(m *harness.Machine) Display {
	if !loads(b.leads[Load]) {
		return Display{Text: lampOff}
	}
	e := b.extra.load.Effect(m.Solver())
	return Display{Text: e.Word, Glow: glow(e.Level)}
}

// readExtra reads one of the tools beside multimeter, test lamp and jumper.
func (b *Bench) readExtra(m *harness.Machine, t Tool) (Display, error) {
	switch t {
	case Clamp:
		return b.readClamp(m)
	case LogicProbe:
		return b.readLogic(m)
	case Load:
		return b.readLoad(m), nil
	case TraceView:
		return b.readTrace(m)
	}
	return b.readUnit(m), nil
}

// How finely a reader shows what a control unit believes, see ReaderPercent.
const readerSteps = 10 // per volt or ampere

func (b *Bench) readUnit(m *harness.Machine) Display {
	unit, ok := m.Device(strings.TrimPrefix(string(b.leads[Reader][0]), unitPlace)).(device.DataLister)
	if !ok {
		return Display{Text: NoAnswer}
	}
	rows, ok := unit.DataList(m.Solver())
	if !ok {
		return Display{Text: NoAnswer}
	}
	d := Display{Text: fmt.Sprintf("%d values", len(rows))}
	for _, r := range rows {
		row := Row{Name: r.Name, State: r.State, Unit: string(r.Unit)}
		value := r.Value
		if r.Unit == device.Volt || r.Unit == device.Ampere {
			value *= 1 + b.extra.off.reader
		}
		if r.Unit != device.None {
			row.Text = digits(int(math.Round(value*readerSteps)), 1)
		}
		d.Rows = append(d.Rows, row)
	}
	return d
}
