package device

import (
	"math"

	"faultloom/sim/circuit"
)

// swing is what the park switch of a wiper that goes on wiping does to its circuit: once a turn it leaves plus and touches ground for the
// length of the park sector. Whoever looks closer sees it do so (Waving). A slow observer gets the mean of the two states A (at plus) and
// B (at ground), with s the sector's share of a turn,
//
//	V = (1-s)·V(A) + s·V(B)
//
// at every point, which is exact where the circuit is linear: with a contact of r ohms that stays at plus, behind a force of s·U with U the
// voltage of 31b over 53a in B, and s times the current that the contact to ground carries in B beside that contact, each contact
// carries its mean. The circuit is solved in B to find them.
type swing struct {
	force, amps float64 // volts in series with 31b-53a, amperes beside 31b-31
}

// swingGrain is how near in volts and amperes the mean is found in steady state, swingRest while time passes.
const swingGrain, swingRest = 1e-7, 1e-3

// swings reports whether the park switch goes to and fro: the wiper turns, and its switch would not stop it.
func (m *Wiper) swings(s *circuit.Solver) bool {
	return !m.parked && *m.speed() != 0 && !m.brakes(s)
}

// A park switch that would short something in passing, with more than the motor's rated current, has no mean worth telling: it is taken to stand
// at plus, and the fuse that such a short would blow in time is left whole.

// mean finds the swing that goes with the present solution: none for a wiper that stands or is about to park, and none where its circuit has
// no solution with the switch at ground. It leaves the circuit as it was.
func (m *Wiper) mean(s *circuit.Solver) swing {
	if !m.swings(s) {
		return swing{}
	}
	now := m.view(s)
	if m.meant && alike(now, m.means) {
		return m.due
	}
	m.meant, m.means, m.due = true, now, swing{}
	s.SnapshotInto(&m.before)
	m.park(s, true)
	if s.Solve() == nil && math.Abs(s.Current(m.toEarth)) <= m.amps {
		plus, earth := m.closed()
		if !math.IsInf(plus, 1) {
			m.due.force = m.sector * (s.Voltage(m.pins[3]) - s.Voltage(m.pins[2]))
		}
		if !math.IsInf(earth, 1) {
			m.due.amps = m.sector * s.Current(m.toEarth)
		}
	}
	s.Restore(&m.before)
	_ = s.Solve() // what has just been a solution
	return m.due
}

// off is by how much, in volts or amperes, the swing in the circuit is not the one that goes with the present solution.
func (m *Wiper) off(s *circuit.Solver) float64 {
	if m.waves {
		return 0 // none is in the circuit
	}
	due := m.mean(s)
	return max(math.Abs(due.force-m.swing.force), math.Abs(due.amps-m.swing.amps))
}

// touches reports whether the park switch is at ground: parked, or in passing.
func (m *Wiper) touches() bool {
	return m.parked || m.waves && m.mode == Moving && m.w != 0 && m.angle < m.sector-edgeGrain
}

// Wave implements Waving: the park switch follows the crank.
func (m *Wiper) Wave(on bool) { m.waves, m.judged, m.meant = on, false, false }
