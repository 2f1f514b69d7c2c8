package grading_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"faultloom/grading"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/require"
)

// That nobody knows where a wiper stopped that some suspect would have made creep does not hide what is measured while nothing drives it.
func TestWiperHidesNothing(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	ex := *lib.Exercise("wl4-01-always-night")
	for i, text := range []string{"wire W2 open", "cavity KEY.15 corroded 5 ohm"} {
		if testing.Short() && i > 0 {
			break
		}
		f, err := fault.Parse(text)
		require.NoError(t, err)
		ex.Faults = []fault.Fault{f}
		par, err := grading.ParOf(ex)
		require.NoError(t, err, text)
		require.True(t, par.Proved, text)
	}
}

// Where a wiper that all but stalls stops is a matter of a hair, and whether a slow one has parked yet a matter of where its crank was. Whatever
// has been seen of it, the fault that makes it so must stand at severities about those at which it stalls.
func TestTruthOfWiperThatAllButStalls(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	var h *harness.Harness
	for _, hf := range lib.Harnesses {
		if hf.Harness.ID == "wl4-wiper-and-dial-light" {
			h = hf.Harness
		}
	}
	require.NotNil(t, h)
	random := rand.New(rand.NewPCG(seed(), 53))
	pick := func(words ...string) string { return words[random.IntN(len(words))] }
	act := func() attempt.Action {
		switch random.IntN(6) {
		case 0, 1:
			return attempt.Operate{Control: "WS", Position: pick("on", "off")}
		case 2:
			return attempt.Operate{Control: "KEY", Position: pick("on", "on", "on", "off")}
		case 3:
			return attempt.Wait{Seconds: float64(1 + random.IntN(30))}
		case 4:
			return attempt.Lead{Tool: meter.Multimeter, End: 0, Point: harness.Point(pick("F1.2.b", "BAT.30", "WM.31"))}
		}
		return []attempt.Action{
			attempt.Lead{Tool: meter.Multimeter, End: 1, Point: harness.Body}, attempt.Lead{Tool: meter.Multimeter, End: 1, Point: harness.Body},
			attempt.Dial{Function: meter.Volts}, attempt.Dial{Function: meter.Ohms},
		}[random.IntN(4)]
	}
	for _, c := range []struct {
		fault     string
		low, high float64
	}{
		{"crimp BAT.31.31a high-resistance 3 ohm", 2.6, 3.3},
		{"cavity X1.2 corroded 3 ohm", 2.5, 3.4},
		{"component WM stiff 100 %", 60, 300},
		{"component WM brushes-worn 3 ohm", 2.5, 3.4},
		{"component WM park-burnt 3 ohm", 2.5, 3.4},
	} {
		t.Run(c.fault, func(t *testing.T) {
			f, err := fault.Parse(c.fault)
			require.NoError(t, err)
			for range 120 / share(12) {
				f.Severity = c.low + (c.high-c.low)*random.Float64()
				ex, records := probingWith(t, h, []fault.Fault{f}, random, 14, func(int, attempt.Action) attempt.Action { return act() })
				keeps(t, ex, records)
			}
		})
	}
}

// A module that its own load starves dies, comes back and dies again, or does so once and stays half alive; which of these it does goes to and
// fro as the resistance in its supply rises. The fault that makes it so must stand at every severity.
func TestTruthOfModuleThatStarves(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(seed(), 59))
	for _, c := range []struct {
		harness, fault string
		low, high      float64
	}{
		{"qs9-brush-control", "wire 31a high-resistance 5 ohm", 4, 100},
		{"qs9-brush-control", "cavity F1.2 corroded 30 ohm", 10, 500},
		{"qs9-brush-control", "cavity M1.31 corroded 320 ohm", 200, 500},
		{"mc7-cab-blower", "wire 31a high-resistance 17 ohm", 2, 100},
	} {
		t.Run(c.fault, func(t *testing.T) {
			f, err := fault.Parse(c.fault)
			require.NoError(t, err)
			for _, hf := range lib.Harnesses {
				if hf.Harness.ID != c.harness {
					continue
				}
				h := hf.Harness
				for range 24 / share(12) {
					f.Severity = c.low * math.Pow(c.high/c.low, random.Float64())
					ex, records := probingWith(t, h, []fault.Fault{f}, random, 12, func(_ int, act attempt.Action) attempt.Action {
						if random.IntN(4) == 0 {
							return act
						}
						k := h.Controls[random.IntN(len(h.Controls))]
						return attempt.Operate{Control: k.ID, Position: k.Positions[random.IntN(len(k.Positions))]}
					})
					keeps(t, ex, records)
				}
			}
		})
	}
}
