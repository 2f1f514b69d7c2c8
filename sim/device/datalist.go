package device

import "faultloom/sim/circuit"

// DataRow is one line of a control unit's data list: what the unit itself believes.
type DataRow struct {
	Name  string  // of the input, timer or output; "supply" for its own
	State string  // "on", "off", "pulsed", "lamp out", "overload", "not heard, taken as off"; "" where there is none
	Value float64 // in Unit
	Unit  Dim     // Volt, Ampere or None
}

// DataLister is a control unit that a data-list reader can be plugged into.
type DataLister interface {
	Device
	// DataList returns what the unit believes in the present solution, in a fixed order: supply, inputs, timers, outputs. It returns false when
	// the unit does not answer: it is dead, or fed too weakly through its supply and ground.
	DataList(s *circuit.Solver) ([]DataRow, bool)
}

// States of a DataRow. What comes over the bus and is not heard is what the unit takes it for then.
const (
	dataOn, dataOff, dataPulsed = "on", "off", "pulsed"
	dataLost                    = "not heard, taken as "
	dataLampOut, dataOverload   = "lamp out", "overload"
)

func onOff(on bool) string {
	if on {
		return dataOn
	}
	return dataOff
}

// DataList implements DataLister. Voltages are those between a terminal and the module's own ground, which is why a bad ground shows in
// all of them.
func (m *Module) DataList(s *circuit.Solver) ([]DataRow, bool) {
	if !m.x.alive {
		return nil, false
	}
	rows := []DataRow{{Name: "supply", Value: m.above(s, m.supply), Unit: Volt}}
	for i, in := range m.logic.Inputs {
		if in.OverBus {
			state := onOff(m.x.signal[i])
			if m.x.lost[i] {
				state = dataLost + state
			}
			rows = append(rows, DataRow{Name: in.Name, State: state})
			continue
		}
		rows = append(rows, DataRow{Name: in.Name, State: onOff(m.x.signal[i]), Value: m.above(s, m.input[i]), Unit: Volt})
	}
	for i, t := range m.logic.Timers {
		rows = append(rows, DataRow{Name: t.Name, State: onOff(m.x.signal[len(m.logic.Inputs)+i])})
	}
	for i, o := range m.logic.Outputs {
		if o.Side == Reference {
			rows = append(rows, DataRow{Name: o.Name, Value: m.above(s, m.output[i]), Unit: Volt})
			continue
		}
		commanded := m.drives[i].Duty > 0 || m.drives[i].Flash > 0
		state := onOff(commanded)
		switch {
		case m.x.tripped[i]:
			state = dataOverload
		case m.x.out[i]:
			state = dataLampOut
		case commanded && m.drives[i].Duty > 0 && m.drives[i].Duty < 1:
			state = dataPulsed
		}
		amps := 0.0
		if m.x.on[i] {
			amps = m.carries(s, i) * m.duty(i)
		}
		rows = append(rows, DataRow{Name: o.Name, State: state, Value: amps, Unit: Ampere})
	}
	return rows, true
}
