package sample

import (
	"fmt"

	"faultloom/sim/device"
)

// logic makes up a module: inputs with all sorts of thresholds and pulls, outputs of every side, timers, and conditions that use them.
// It may have flaws where luck would have it.
func (g *gamble) logic() *device.Logic {
	r := g.r
	l := &device.Logic{Supply: "15", Ground: "31"}
	pick := func(all ...float64) float64 { return all[r.IntN(len(all))] }
	var signals, outputs []string
	for i := range 1 + r.IntN(2) {
		o := device.LogicOutput{Name: fmt.Sprintf("o%d", i), Terminal: fmt.Sprintf("o%d", i), Side: []device.Side{device.HighSide, device.LowSide, device.Reference}[r.IntN(3)],
			Ohms: pick(0.02, 0.1, 1), Limit: pick(0.1, 2, 10), Trip: []device.Trip{device.Retry, device.Latch}[r.IntN(2)], Retry: pick(0.2, 1)}
		if o.Side == device.Reference {
			o.Volts, o.Limit = 5, 0.1
		} else {
			outputs = append(outputs, o.Name)
			o.LampOut = pick(0, 0, 0.3)
		}
		l.Outputs = append(l.Outputs, o)
	}
	for i := range 1 + r.IntN(3) {
		in := device.LogicInput{Name: fmt.Sprintf("i%d", i), Terminal: fmt.Sprintf("i%d", i), PullUp: pick(0, 0, 2200), Hysteresis: pick(0.2, 1)}
		if in.PullUp == 0 {
			in.PullDown = pick(0, 4700)
		}
		switch r.IntN(3) {
		case 0:
			in.Above = pick(2, 6)
		case 1:
			in.Below = pick(3, 7)
		default:
			in.Above, in.Below = 2, 8
		}
		if in.PullUp > 0 && l.Outputs[0].Side == device.Reference {
			in.PullTo = l.Outputs[0].Name
		}
		l.Inputs = append(l.Inputs, in)
		signals = append(signals, in.Name)
	}
	if r.IntN(2) == 0 {
		t := device.LogicTimer{Name: "t", Of: signals[r.IntN(len(signals))]}
		switch r.IntN(3) {
		case 0:
			t.OnDelay, t.OffDelay = pick(0, 0.5), pick(0.3, 5)
		case 1:
			t.Until = signals[r.IntN(len(signals))]
		default:
			t.Toggle = true
		}
		l.Timers = append(l.Timers, t)
		signals = append(signals, t.Name)
	}
	if r.IntN(2) == 0 {
		signals = append(signals, g.onBus(l)...)
	}
	for range len(outputs) * (1 + r.IntN(2)) {
		term := device.LogicTerm{Name: signals[r.IntN(len(signals))], State: []string{"on", "off"}[r.IntN(2)]}
		if last := l.Inputs[len(l.Inputs)-1]; last.OverBus && r.IntN(3) == 0 {
			term = device.LogicTerm{Name: last.Name, State: []string{"lost", "heard"}[r.IntN(2)]}
		}
		row := device.LogicRow{When: []device.LogicTerm{term}}
		drive := device.LogicDrive{Output: outputs[r.IntN(len(outputs))], Duty: pick(1, 1, 0.4), Hertz: pick(50, 200)}
		if r.IntN(8) == 0 {
			drive = device.LogicDrive{Output: drive.Output, Flash: pick(1, 1.5)}
		}
		row.Then = append(row.Then, drive)
		l.Rows = append(l.Rows, row)
	}
	return l
}

// onBus puts a module on a bus: it sends its first input under a name of its own, and has one that was sent before, if there is one. It returns
// the signals that this adds.
func (g *gamble) onBus(l *device.Logic) (more []string) {
	r := g.r
	l.Bus = &device.LogicBus{High: "bh", Low: "bl", Ohms: []float64{0, 120, 120}[r.IntN(3)], Traffic: 0.2 * r.Float64(), Number: float64(1 + r.IntN(2))}
	own := device.LogicInput{Name: fmt.Sprintf("s%d", g.wires), Terminal: "sent", PullUp: 2200, Below: 3}
	l.Inputs = append(l.Inputs, own)
	l.Bus.Sends = []string{own.Name}
	more = append(more, own.Name)
	if sent := g.sent[l.Bus.Number]; len(sent) > 0 {
		in := device.LogicInput{Name: sent[r.IntN(len(sent))], OverBus: true, Lost: []device.Lost{"", device.LostOn, device.LostKeep}[r.IntN(3)]}
		l.Inputs = append(l.Inputs, in)
		more = append(more, in.Name)
	}
	return more
}
