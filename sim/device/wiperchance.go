package device

import (
	"math"
	"slices"

	"faultloom/sim/circuit"
)

// Where the crank of a wiper stands is told for sure by what feeds it only while it is driven well above its load or not at all. A wiper that
// creeps, or that all but turns, stops here or there by a hair: in or out of the park sector, now or half a minute later.

const (
	// wiperCreeps is the speed over the lower rated one below which a wiper creeps: a wipe takes nine seconds, longer than a person leaves
	// things as they are.
	wiperCreeps = 0.15
	// wiperStrives is the share of the load that holds a standing wiper from which it all but turns: a joint 2 % better, which is as good
	// as parts are alike, may set it going. Twice that and a little.
	wiperStrives = 0.95
	// lapSlack is how many turns a wiper may have been from its park position: one, and what the turn in which it slows down takes longer.
	lapSlack = 1.2
)

// Chance is how far it is by chance what a wiper does just now.
type Chance int

const (
	ChanceNone    Chance = iota // it turns as it should, whatever brought it there
	ChanceKept                  // it stands: what was chance before still is
	ChanceLasting               // it creeps, or all but turns, and may have stopped anywhere
	ChanceNow                   // it is about to park, or has just done so: on its way or there by where its crank was
)

// Allows reports whether a wiper may be seen to do something else than it does, by chance.
func (c Chance) Allows(word string) bool {
	return c == ChanceNow || c == ChanceLasting && slices.Contains(wiperWords[:3], word)
}

// lap is for how many seconds after it has parked at a speed it may be that it would still be on its way, had its crank stood elsewhere.
func (m *Wiper) lap(w float64) float64 {
	if math.Abs(w) < wiperCreeps {
		return math.Inf(1) // or would not have come there at all
	}
	return lapSlack / (m.rate * math.Abs(w))
}

// Strives reports whether a wiper that stands or creeps is driven so that it all but turns, or turns.
func (m *Wiper) Strives(s *circuit.Solver) bool {
	torque, _ := m.force(s)
	return math.Abs(torque) >= wiperStrives*(m.rub+m.more)
}

// Elsewhere puts the wiper to a stand on the other side of the edge of its park sector, to see what follows.
func (m *Wiper) Elsewhere() {
	m.parked, m.w, m.final, m.swing = !m.parked, 0, 0, swing{}
	m.judged, m.meant = false, false
}

// Chance tells this of the present solution.
func (m *Wiper) Chance(s *circuit.Solver) Chance {
	w := math.Abs(*m.speed())
	switch {
	case m.name == "jammed":
		return ChanceNone
	case w == 0 && math.IsInf(m.late, 1):
		return ChanceLasting
	case w == 0 && m.late > 0:
		return ChanceNow
	case w == 0:
		if m.Strives(s) {
			return ChanceLasting
		}
		return ChanceKept
	case w < wiperCreeps:
		return ChanceLasting
	case !m.parked && m.brakes(s):
		return ChanceNow
	}
	return ChanceNone
}
