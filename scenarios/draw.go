package scenarios

import (
	"fmt"
	"math"
	"math/rand/v2"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// UnknownKindError says that a harness can have no fault of a kind. Known lists those that it can, in the order of its
// catalogue.
type UnknownKindError struct {
	Kind  fault.Kind
	Known []string
}

// Error names the kind and what would be right.
func (e *UnknownKindError) Error() string {
	return fmt.Sprintf("this harness can have no fault of kind %s%s", quote(string(e.Kind)), instead(string(e.Kind), e.Known))
}

// drawStream sets the stream of random numbers for drawing apart from those that the same seed yields elsewhere.
const drawStream = 0x6472_6177

// likelihoodGrain is the smallest likelihood that a draw tells from none; weights are whole multiples of it, so that a draw is
// the same on every machine.
const likelihoodGrain = 1e-4

// Draw picks count faults (at most 2) from the catalogue of a harness, likelier ones more often, such that each shows in the
// normal-operation check by itself and all of them together do, and no two lie in the same place. The same seed picks the same
// faults on every machine. With kinds, only faults of those kinds are picked. Severities are the catalogue's typical ones.
// It returns an *UnknownKindError for a kind that the catalogue lacks, and an error when too few faults show.
func Draw(h *harness.Harness, seed uint64, count int, kinds ...fault.Kind) ([]fault.Fault, error) {
	if count < 1 || count > 2 {
		return nil, fmt.Errorf("count must be 1 or 2 (got %d)", count)
	}
	pool, err := poolOf(h, kinds)
	if err != nil {
		return nil, err
	}
	m, err := harness.NewMachine(h)
	if err != nil {
		return nil, err
	}
	random := rand.New(rand.NewPCG(seed, drawStream))
	var drawn []fault.Fault
	for len(pool) > 0 && len(drawn) < count {
		i := pick(random, pool)
		f := pool[i].Fault
		pool = append(pool[:i], pool[i+1:]...)
		if clash(drawn, f) {
			continue
		}
		alone, err := Shows(m, f)
		if err != nil || len(alone) == 0 {
			continue
		}
		if together, err := Shows(m, append(drawn, f)...); err != nil || len(together) == 0 {
			continue
		}
		drawn = append(drawn, f)
	}
	if len(drawn) < count {
		return nil, fmt.Errorf("only %d of these faults show in the normal-operation check; %d wanted", len(drawn), count)
	}
	return drawn, nil
}

// Shuffled returns the catalogue of a harness in a random order in which likelier faults tend to come first, as Draw would pick one
// after the other. The same seed gives the same order on every machine. With kinds, only faults of those kinds are in it. It
// returns an *UnknownKindError for a kind that the catalogue lacks.
func Shuffled(h *harness.Harness, seed uint64, kinds ...fault.Kind) ([]fault.Entry, error) {
	pool, err := poolOf(h, kinds)
	if err != nil {
		return nil, err
	}
	random := rand.New(rand.NewPCG(seed, drawStream))
	out := make([]fault.Entry, 0, len(pool))
	for len(pool) > 0 {
		i := pick(random, pool)
		out = append(out, pool[i])
		pool = append(pool[:i], pool[i+1:]...)
	}
	return out, nil
}

// poolOf returns the entries of a catalogue that are of the kinds wanted.
func poolOf(h *harness.Harness, kinds []fault.Kind) ([]fault.Entry, error) {
	var known []string
	var pool []fault.Entry
	for _, e := range fault.Catalogue(h) {
		if !contains(known, string(e.Fault.Kind)) {
			known = append(known, string(e.Fault.Kind))
		}
		wanted := len(kinds) == 0
		for _, k := range kinds {
			wanted = wanted || k == e.Fault.Kind
		}
		if wanted && weight(e) > 0 {
			pool = append(pool, e)
		}
	}
	for _, k := range kinds {
		if !contains(known, string(k)) {
			return nil, &UnknownKindError{Kind: k, Known: known}
		}
	}
	return pool, nil
}

// weight is the likelihood of an entry in whole grains.
func weight(e fault.Entry) uint64 {
	return uint64(math.Round(max(e.Likelihood, 0) / likelihoodGrain))
}

// pick returns an index into pool, likelier entries more often.
func pick(random *rand.Rand, pool []fault.Entry) int {
	var total uint64
	for _, e := range pool {
		total += weight(e)
	}
	at := random.Uint64N(total)
	for i, e := range pool {
		w := weight(e)
		if at < w {
			return i
		}
		at -= w
	}
	return len(pool) - 1
}

// clash reports whether a fault lies where one already drawn does.
func clash(drawn []fault.Fault, f fault.Fault) bool {
	for _, d := range drawn {
		if d.Place == f.Place {
			return true
		}
	}
	return false
}
