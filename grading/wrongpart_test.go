package grading_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"faultloom/scenarios"
	"faultloom/sim/fault"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A part of another voltage or value is never ruled out either, at any severity and whatever is done. There are few of them, so all of them are tried.
func TestTruthOfWrongParts(t *testing.T) {
	times := 2
	if testing.Short() {
		times = 1
	}
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	tried := map[fault.Kind]bool{}
	for _, hf := range lib.Harnesses {
		for i, entry := range fault.Catalogue(hf.Harness) {
			if !strings.HasPrefix(string(entry.Fault.Kind), "wrong-") {
				continue
			}
			tried[entry.Fault.Kind] = true
			for n := range times {
				random := rand.New(rand.NewPCG(seed(), uint64(1000*n+i)))
				ex, records := probing(t, hf.Harness, []fault.Fault{somewhere(entry, random)}, random, 25)
				keeps(t, ex, records)
			}
		}
	}
	assert.Equal(t, map[fault.Kind]bool{"wrong-fuse": true, "wrong-lamp": true, "wrong-relay": true, "wrong-value": true, "wrong-sensor": true}, tried)
}
