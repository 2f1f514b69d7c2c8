package harness

import (
	"fmt"
	"slices"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// Alter makes the machine depart from its drawing by exactly the alterations given, in place of any before. Parts keep their
// state: a blown fuse stays blown when what blew it is gone. It does not solve. On an error nothing is changed.
//
// Resistances and defects change no topology and cost next to nothing; a new bridge makes the circuit be compiled anew,
// unless Prepare has made room for it.
func (m *Machine) Alter(list []Alteration) error {
	plan, err := m.plan(list)
	if err != nil {
		return err
	}
	m.refuse(list) // before defects, for a new fuse is a sound one
	if err := m.respoil(list); err != nil {
		return err
	}
	m.altered = slices.Clone(list)
	copy(m.steady, plan.steady)
	m.fickle = plan.fickle
	m.putFickle(plan.bridges)
	m.refit()
	return m.rebridge(plan.bridges)
}

// Alterations returns what Alter was given last, without what has been mended by Replace and FitFuse since. The slice is the
// caller's.
func (m *Machine) Alterations() []Alteration { return slices.Clone(m.altered) }

type plan struct {
	steady  []float64
	fickle  []fickle
	bridges []bridge
}

// plan checks a list of alterations and works out what it does to limbs and bridges.
func (m *Machine) plan(list []Alteration) (plan, error) {
	if m.planned == nil {
		m.planned = make([]float64, len(m.limbs))
	}
	clear(m.planned)
	p := plan{steady: m.planned}
	spoiled := map[string]bool{}
	for _, a := range list {
		switch a := a.(type) {
		case SeriesOhms:
			i, ok := m.named[a.Where]
			if !ok {
				return p, fmt.Errorf("there is no %q in harness %q", a.Where, m.h.ID)
			}
			if !(a.Ohms > 0) {
				return p, fmt.Errorf("%s: added resistance must be above 0 ohm (got %g)", a.Where, a.Ohms)
			}
			if a.When == Always {
				p.steady[i] += a.Ohms
				continue
			}
			f, err := m.planFickle(i, a)
			if err != nil {
				return p, err
			}
			p.fickle = append(p.fickle, f)
		case Bridge:
			b, err := m.planBridge(a)
			if err != nil {
				return p, err
			}
			p.bridges = append(p.bridges, b)
			if a.When == Always {
				continue
			}
			f, err := m.planComing(a)
			if err != nil {
				return p, err
			}
			f.bridge = len(p.bridges) - 1
			p.fickle = append(p.fickle, f)
		case Spoil:
			if err := m.checkSpoil(a); err != nil {
				return p, err
			}
			if spoiled[a.Component] {
				return p, fmt.Errorf("component %q: has more than one defect", a.Component)
			}
			spoiled[a.Component] = true
		case WrongFuse:
			if m.Fuse(a.Connector) == nil {
				return p, fmt.Errorf("connector %q of harness %q holds no fuse", a.Connector, m.h.ID)
			}
			if !(a.Amps > 0 && a.Amps <= maxFuse) {
				return p, fmt.Errorf("fuse holder %q: rating must be above 0 and at most %d A (got %g)", a.Connector, maxFuse, a.Amps)
			}
		default:
			return p, fmt.Errorf("unknown alteration %T", a)
		}
	}
	return p, nil
}

func (m *Machine) planFickle(limb int, a SeriesOhms) (fickle, error) {
	f := fickle{limb: limb, bridge: -1, ohms: a.Ohms, when: a.When, at: m.seatOf(a.Where)}
	f.beside = f.at
	if a.Inside == "" {
		return f, nil
	}
	if _, ok := m.ix.components[a.Inside]; !ok {
		return f, fmt.Errorf("there is no component %q in harness %q", a.Inside, m.h.ID)
	}
	f.at = seat{site: m.climate.sites[a.Inside], owner: a.Inside}
	f.beside = f.at
	return f, nil
}

// planComing makes a fickle of a bridge that comes and goes.
func (m *Machine) planComing(a Bridge) (fickle, error) {
	f := fickle{limb: -1, ohms: a.Ohms, when: a.When}
	for _, l := range [2]Limb{a.Where, a.Beside} {
		if _, ok := m.named[l]; !ok && (l == a.Where || l != "") {
			return f, fmt.Errorf("bridge from %s to %s comes and goes at %q, which harness %q does not have: name one of its limbs", a.A, a.B, l, m.h.ID)
		}
	}
	f.at = m.seatOf(a.Where)
	if f.beside = f.at; a.Beside != "" {
		f.beside = m.seatOf(a.Beside)
	}
	return f, nil
}

func (m *Machine) planBridge(a Bridge) (bridge, error) {
	from, err := m.node(a.A)
	if err != nil {
		return bridge{}, err
	}
	to, err := m.node(a.B)
	if err != nil {
		return bridge{}, err
	}
	if from == to {
		return bridge{}, fmt.Errorf("a bridge needs two different points (got %s twice)", a.A)
	}
	if !(a.Ohms >= circuit.MinOhms && a.Ohms < Broken) {
		return bridge{}, fmt.Errorf("bridge from %s to %s: resistance must be above 0 ohm and finite (got %g)", a.A, a.B, a.Ohms)
	}
	return bridge{a: from, b: to, ohms: a.Ohms}, nil
}

func (m *Machine) checkSpoil(a Spoil) error {
	i, ok := m.ix.components[a.Component]
	if !ok {
		return fmt.Errorf("there is no component %q in harness %q", a.Component, m.h.ID)
	}
	for _, d := range m.defects[i] {
		if d.Name != a.Defect {
			continue
		}
		if d.Dim != device.None && !(a.Severity >= d.Low && a.Severity <= d.High) {
			return fmt.Errorf("component %q: %s must be from %g to %g %s (got %g)", a.Component, d.Name, d.Low, d.High, d.Dim, a.Severity)
		}
		return nil
	}
	return fmt.Errorf("component %q: a %s has no defect %q", a.Component, m.h.Components[i].Spec.Kind, a.Defect)
}

// respoil heals the components that are no longer in the list and spoils those that are new in it.
func (m *Machine) respoil(list []Alteration) error {
	for _, a := range m.altered {
		if s, ok := a.(Spoil); ok && !slices.Contains(list, a) {
			if err := m.spoil(Spoil{Component: s.Component}); err != nil {
				return err
			}
		}
	}
	for _, a := range list {
		if s, ok := a.(Spoil); ok && !slices.Contains(m.altered, a) {
			if err := m.spoil(s); err != nil {
				return err
			}
		}
	}
	return nil
}

func (m *Machine) spoil(s Spoil) error {
	d, ok := m.devices[m.ix.components[s.Component]].(device.Defective)
	if !ok {
		return fmt.Errorf("component %q: cannot be given a defect", s.Component)
	}
	if err := d.Spoil(s.Defect, s.Severity); err != nil {
		return fmt.Errorf("component %q: %w", s.Component, err)
	}
	return nil
}

// refuse fits the fuses that the list newly names, and the right ones where it no longer names any.
func (m *Machine) refuse(list []Alteration) {
	for _, a := range m.altered {
		if w, ok := a.(WrongFuse); ok && !slices.Contains(list, a) {
			f := m.Fuse(w.Connector)
			f.Fit(f.Fitted())
		}
	}
	for _, a := range list {
		if w, ok := a.(WrongFuse); ok && !slices.Contains(m.altered, a) {
			m.Fuse(w.Connector).Fit(w.Amps)
		}
	}
}

// rebridge puts the bridges in, compiling only where there is no branch for one.
func (m *Machine) rebridge(next []bridge) error {
	was := m.roomy() // else the present bridges are branches of their own
	if was && m.spare.holds(next) {
		m.bridges = next
		m.bridge()
		return nil
	}
	same := !was && len(next) == len(m.bridges)
	for i := 0; same && i < len(next); i++ {
		same = next[i].a == m.bridges[i].a && next[i].b == m.bridges[i].b
	}
	if same {
		for i := range next {
			m.bridges[i].ohms = next[i].ohms
		}
		m.bridge()
		return nil
	}
	m.bridges = next
	return m.compile()
}

// bridge writes the present resistances of the bridges into the circuit, which has a branch for each.
func (m *Machine) bridge() {
	if m.roomy() {
		m.spare.apply(m.sol, m.bridges)
		return
	}
	for _, b := range m.bridges {
		m.sol.SetOhms(b.id, b.ohms)
	}
}
