package harness

const (
	kindBattery     = "battery"
	batteryPositive = "30" // DIN 72552
	batteryNegative = "31"
)

// Supply returns the positive and negative posts of the first battery in the list of components; ok is false when there is none.
func (h *Harness) Supply() (positive, negative Point, ok bool) {
	ix := newIndex(h)
	for _, c := range h.Components {
		if c.Spec.Kind == kindBattery {
			return ix.terminal(c.ID, batteryPositive), ix.terminal(c.ID, batteryNegative), true
		}
	}
	return "", "", false
}

// Terminal returns the point of a component's terminal: its pin in a connector, or its stud; "" when there is no such terminal.
func (h *Harness) Terminal(component, terminal string) Point {
	return newIndex(h).terminal(component, terminal)
}

func (ix *index) terminal(component, terminal string) Point {
	if p, ok := ix.pin[pinKey{component, terminal}]; ok {
		return p
	}
	if ix.post(component, terminal) {
		return Point(component + "." + terminal)
	}
	return ""
}

// Supply is Harness.Supply without looking everything up anew.
func (m *Machine) Supply() (positive, negative Point, ok bool) {
	for _, c := range m.h.Components {
		if c.Spec.Kind == kindBattery {
			return m.ix.terminal(c.ID, batteryPositive), m.ix.terminal(c.ID, batteryNegative), true
		}
	}
	return "", "", false
}
