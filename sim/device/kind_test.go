package device_test

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// example returns a Spec of a kind with what it requires.
func example(k device.Kind) device.Spec {
	s := device.Spec{Kind: k.Name, Values: map[string]float64{}}
	for _, p := range k.Params {
		if p.Required {
			s.Values[p.Key] = math.Sqrt(max(p.Min, 1e-3) * min(p.Max, 100)) // somewhere in the middle
		}
		switch p.Key {
		case "diode":
			s.Values[p.Key] = 1
		case "termination":
			s.Values[p.Key] = 120
		case "warming":
			s.Values[p.Key] = 50
		}
	}
	if k.Logic {
		s.Logic = exampleLogic()
		s.Terminals = s.Logic.Terminals()
		return s
	}
	if k.OwnTerminals {
		s.Terminals = []string{"a", "b", "c"}
	}
	if k.Table && !k.OwnTerminals {
		s.Positions = places(3)
	} else if k.Table {
		s.Positions = []device.Position{{Name: "off"}, {Name: "one", Joins: [][2]string{{"a", "b"}}}, {Name: "both", Joins: [][2]string{{"a", "b"}, {"b", "c"}}}}
	}
	return s
}

func pins(k device.Kind, s device.Spec) int {
	if k.OwnTerminals {
		return len(s.Terminals)
	}
	return len(k.Terminals)
}

func TestKindsAreWellDescribed(t *testing.T) {
	word := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	dims := []device.Dim{device.None, device.Volt, device.Ampere, device.Ohm, device.Watt, device.Metre, device.SquareMM, device.Second,
		device.Celsius, device.Percent, device.Henry, device.Farad, device.Hertz, device.RevPerMinute, device.AmpereHour}
	var names []string
	for _, k := range device.Kinds() {
		t.Run(k.Name, func(t *testing.T) {
			assert.NotContains(t, names, k.Name, "listed twice")
			names = append(names, k.Name)
			assert.Regexp(t, word, k.Name)
			assert.NotEmpty(t, k.Title)
			assert.True(t, strings.HasSuffix(k.Doc, "."), "a sentence")
			assert.Equal(t, k.OwnTerminals, len(k.Terminals) == 0)
			keys := map[string]bool{}
			for _, p := range k.Params {
				assert.False(t, keys[p.Key], "%s twice", p.Key)
				keys[p.Key] = true
				assert.Regexp(t, word, p.Key)
				assert.NotEmpty(t, p.Doc, p.Key)
				assert.Contains(t, dims, p.Dim, p.Key)
				assert.LessOrEqual(t, p.Min, p.Max, p.Key)
				if !p.Required {
					assert.True(t, p.Default >= p.Min && p.Default <= p.Max, "%s: default %g inside its range", p.Key, p.Default)
				}
			}
			defects := map[string]bool{}
			for _, d := range k.Defects {
				assert.False(t, defects[d.Name], "%s twice", d.Name)
				defects[d.Name] = true
				assert.Regexp(t, word, d.Name)
				assert.NotEmpty(t, d.Doc)
				assert.Positive(t, d.Likelihood)
				assert.Contains(t, dims, d.Dim)
				assert.True(t, d.Needs == "" || keys[d.Needs], "%s needs %q", d.Name, d.Needs)
				if d.Dim != device.None {
					assert.True(t, d.Low <= d.Typical && d.Typical <= d.High && d.Low < d.High, "%s: %g, %g, %g", d.Name, d.Low, d.Typical, d.High)
				}
			}
			got, ok := device.Lookup(k.Name)
			assert.True(t, ok)
			assert.Equal(t, k, got)
			d, err := device.New(example(k))
			require.NoError(t, err)
			_, isDefective := d.(device.Defective)
			assert.Equal(t, len(k.Defects) > 0, isDefective)
			_, isControlled := d.(device.Controlled)
			assert.Equal(t, k.Table, isControlled, "what has a table is moved by an operator")
		})
	}
	_, ok := device.Lookup("warp-drive")
	assert.False(t, ok)
	for _, name := range []string{"battery", "fuse", "switch", "button", "relay", "lamp", "diode", "horn", "resistor", "buzzer", "heater"} {
		assert.Contains(t, names, name)
	}
}

// testdata/device/terminal_numbers.csv: DIN 72552-2 (1971-03).
func TestTerminalNumbersAreThoseOfTheStandard(t *testing.T) {
	var listed []string
	for _, row := range table(t, "terminal_numbers.csv") {
		listed = append(listed, row["terminal"])
	}
	number := regexp.MustCompile(`^[0-9]{2}`)
	for _, k := range device.Kinds() {
		for _, terminal := range k.Terminals {
			if number.MatchString(terminal.Name) {
				assert.Contains(t, listed, terminal.Name, k.Name)
			}
		}
	}
}

func TestNewRefusesWhatIsWrongAndSaysWhatWouldBeRight(t *testing.T) {
	off, on := device.Position{Name: "off"}, device.Position{Name: "on", Joins: [][2]string{{"a", "b"}}}
	for _, c := range []struct {
		name string
		spec device.Spec
		say  []string
	}{
		{"kind", device.Spec{Kind: "lampp"}, []string{`"lampp"`, "battery, fuse", "lamp"}},
		{"missing", device.Spec{Kind: "lamp"}, []string{"lamp: power is missing", "from 0.1 to 1000 W"}},
		{"range", device.Spec{Kind: "lamp", Values: map[string]float64{"power": -5}}, []string{"power must be from 0.1 to 1000 W (got -5)"}},
		{"not a number", device.Spec{Kind: "lamp", Values: map[string]float64{"power": math.NaN()}}, []string{"power must be from"}},
		{"key", device.Spec{Kind: "lamp", Values: map[string]float64{"power": 5, "colour": 1}}, []string{`unknown value "colour"`, "volts, power"}},
		{"all at once", device.Spec{Kind: "lamp", Values: map[string]float64{"volts": 0, "colour": 1}}, []string{"volts must be", "power is missing", "colour"}},
		{"terminals", device.Spec{Kind: "lamp", Values: map[string]float64{"power": 5}, Terminals: []string{"in", "earth"}}, []string{"terminals must be in out (got in earth)"}},
		{"table", device.Spec{Kind: "lamp", Values: map[string]float64{"power": 5}, Positions: []device.Position{off}}, []string{"takes no table"}},
		{"one terminal", device.Spec{Kind: "switch", Terminals: []string{"a"}, Positions: []device.Position{off, on}}, []string{"two terminals or more"}},
		{"same terminal", device.Spec{Kind: "switch", Terminals: []string{"a", "b", "a"}, Positions: []device.Position{off, on}}, []string{`"a" is listed twice`}},
		{"no name", device.Spec{Kind: "switch", Terminals: []string{"a", ""}, Positions: []device.Position{off, on}}, []string{"terminal 2 has no name"}},
		{"one position", device.Spec{Kind: "switch", Terminals: []string{"a", "b"}, Positions: []device.Position{on}}, []string{"two positions or more"}},
		{"same position", device.Spec{Kind: "switch", Terminals: []string{"a", "b"}, Positions: []device.Position{on, on}}, []string{`position "on" is listed twice`}},
		{"join", device.Spec{Kind: "switch", Terminals: []string{"a", "b"}, Positions: []device.Position{off, {Name: "x", Joins: [][2]string{{"a", "c"}}}}},
			[]string{`position "x" joins terminal "c"`, "it has a b"}},
		{"to itself", device.Spec{Kind: "switch", Terminals: []string{"a", "b"}, Positions: []device.Position{off, {Name: "x", Joins: [][2]string{{"a", "a"}}}}},
			[]string{"to itself"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := device.New(c.spec)
			require.Error(t, err)
			for _, say := range c.say {
				assert.ErrorContains(t, err, say)
			}
		})
	}
}

func TestNewDoesNotChangeItsSpec(t *testing.T) {
	spec := device.Spec{Kind: "lamp", Values: map[string]float64{"power": 5}}
	_, err := device.New(spec)
	require.NoError(t, err)
	assert.Equal(t, device.Spec{Kind: "lamp", Values: map[string]float64{"power": 5}}, spec)
}

// everyState calls f for each kind in health and with each defect at its bounds, in a circuit in which every terminal has a
// resistance to a battery or to ground.
func everyState(t *testing.T, f func(t *testing.T, d device.Device, r *rig)) {
	for _, k := range device.Kinds() {
		// A seed for each kind, so that a new kind leaves the circuits of the others alone: some modules would never rest in some.
		seed := fnv.New64a()
		_, _ = seed.Write([]byte(k.Name))
		rng := rand.New(rand.NewPCG(6, seed.Sum64()))
		spec := example(k)
		for _, defect := range append([]device.Defect{{}}, spec.Defects()...) {
			for _, severity := range []float64{defect.Low, defect.Typical, defect.High} {
				t.Run(k.Name+" "+defect.Name, func(t *testing.T) {
					d, err := device.New(spec)
					require.NoError(t, err)
					if defect.Name != "" {
						require.NoError(t, d.(device.Defective).Spoil(defect.Name, severity))
					}
					if c, ok := d.(device.Controlled); ok {
						c.Set(rng.IntN(3))
					}
					n := pins(k, spec)
					r := newRig(t, n)
					at := make([]int, n)
					for i := range at {
						at[i] = i + 1
						emf := []float64{0, 12.6, 12.6, 24, -12}[rng.IntN(5)]
						ohms := math.Exp(rng.Float64()*8 - 4)
						if k.Logic && i == 0 {
							ohms = 0.01 // one that pulls its own supply down dies and comes back for ever
						}
						r.branch(i+1, 0, circuit.Source{EMF: emf, Ohms: ohms})
					}
					f(t, d, r.add(d, at...).compile())
				})
			}
		}
	}
}

// Left alone for long, every device ends where its steady characteristic puts it.
func TestMovingEndsInSteady(t *testing.T) {
	everyState(t, func(t *testing.T, d device.Device, r *rig) {
		r.march(5000, 100)
		moving := slices.Clone(r.solver.Voltages())
		effect := d.Effect(r.solver)
		r.settle()
		for i, v := range r.solver.Voltages() {
			// Half a kelvin of a filament and a hundredth of a fuse's heat are what devices may rest off by; a battery's force is found anew.
			assert.InDelta(t, v, moving[i], 2e-3*(1+math.Abs(v)), "node %d", i)
		}
		assert.Equal(t, effect.Word, d.Effect(r.solver).Word)
		assert.InDelta(t, effect.Level, d.Effect(r.solver).Level, 0.01*(1+effect.Level))
		// At rest, nothing is left to do.
		r.solve(device.Moving)
		for i, v := range r.solver.Voltages() {
			assert.InDelta(t, moving[i], v, 2e-3*(1+math.Abs(v)), "node %d at rest", i)
		}
	})
}

// A state put back gives the same future, bit for bit.
func TestStateRoundTrip(t *testing.T) {
	everyState(t, func(t *testing.T, d device.Device, r *rig) {
		r.march(0.004, math.Inf(1))
		state := d.State()
		kept := slices.Clone(state)
		past := r.past
		first := r.march(1, 0.1)
		after := slices.Clone(d.State())
		volts := slices.Clone(r.solver.Voltages())
		assert.Equal(t, kept, state, "State hands out a copy")
		d.SetState(kept)
		assert.Equal(t, kept, d.State())
		r.solver.Cold()
		r.past = past
		r.solve(device.Moving)
		assert.Equal(t, first, r.march(1, 0.1))
		for i := range after {
			assert.InEpsilon(t, 1+after[i], 1+d.State()[i], 1e-9)
		}
		assert.InDeltaSlice(t, volts, r.solver.Voltages(), 1e-8)
	})
}

// What a person notices is one of the kind's words, and its level is a number.
func TestEffectsUseTheKindsWords(t *testing.T) {
	everyState(t, func(t *testing.T, d device.Device, r *rig) {
		kind, _, _ := strings.Cut(t.Name()[strings.Index(t.Name(), "/")+1:], "_")
		k, ok := device.Lookup(kind)
		require.True(t, ok, kind)
		r.settle()
		e := d.Effect(r.solver)
		assert.False(t, math.IsNaN(e.Level) || e.Level < 0)
		if len(k.Words) == 0 {
			assert.Equal(t, device.Effect{}, e)
			return
		}
		assert.Contains(t, k.Words, e.Word)
		assert.NotEqual(t, device.Unnoticed, e.Sense)
		d, err := device.New(example(k))
		require.NoError(t, err)
		at := make([]int, pins(k, example(k)))
		dead := newRig(t, 0).add(d, at...).compile()
		dead.settle()
		assert.Equal(t, k.Words[0], d.Effect(dead.solver).Word, "the first word is that of rest")
	})
}

// Healing takes a defect away without a trace.
func TestHealingLeavesNoTrace(t *testing.T) {
	for _, k := range device.Kinds() {
		spec := example(k)
		d, err := device.New(spec)
		require.NoError(t, err)
		if len(spec.Defects()) == 0 {
			continue
		}
		n := pins(k, spec)
		r := newRig(t, n)
		at := make([]int, n)
		for i := range at {
			at[i] = i + 1
			r.branch(i+1, 0, circuit.Source{EMF: float64(5 * (i % 3)), Ohms: 3})
		}
		r.add(d, at...).compile().settle()
		healthy := slices.Clone(r.solver.Voltages())
		for _, defect := range spec.Defects() {
			require.NoError(t, d.(device.Defective).Spoil(defect.Name, 0), "%s %s", k.Name, defect.Name)
			r.settle()
			require.NoError(t, d.(device.Defective).Spoil("", 0))
			r.settle()
			assert.InDeltaSlice(t, healthy, r.solver.Voltages(), 1e-9, "%s after %s", k.Name, defect.Name)
		}
	}
}

// A fault search evaluates thousands of steady states a second: nothing on that way may make garbage.
func TestSteadyStateDoesNotAllocate(t *testing.T) {
	everyState(t, func(t *testing.T, d device.Device, r *rig) {
		r.settle()
		assert.Zero(t, testing.AllocsPerRun(20, func() {
			d.Stamp(r.solver, device.Steady)
			_ = r.solver.Solve()
			d.Settle(r.solver)
			_ = d.Due(r.solver)
			_ = d.Step(r.solver)
			d.Rest(r.solver)
			_ = d.Effect(r.solver)
		}))
	})
}

// A defect that makes no difference anywhere would be one that nobody can find: each, at the ends of its severity and between,
// must change a voltage by a millivolt, also with waves followed, what is noticed, or what happens in a minute, in some circuit.
func TestEveryDefectShowsSomewhere(t *testing.T) {
	for _, k := range device.Kinds() {
		spec := example(k)
		for _, defect := range spec.Defects() {
			for _, severity := range []float64{defect.Low, defect.Typical, defect.High} {
				t.Run(k.Name+" "+defect.Name, func(t *testing.T) {
					rng := rand.New(rand.NewPCG(5, 6))
					for range 200 {
						n := pins(k, spec)
						feeds := make([]circuit.Source, n)
						for i := range feeds {
							feeds[i] = circuit.Source{EMF: []float64{0, 12.6, 24, -12}[rng.IntN(4)], Ohms: math.Exp(rng.Float64()*16 - 8)}
						}
						position := rng.IntN(3)
						look := func(name string) (volts []float64, word string, happenings int) {
							d, err := device.New(spec)
							require.NoError(t, err)
							require.NoError(t, d.(device.Defective).Spoil(name, severity))
							if c, ok := d.(device.Controlled); ok {
								c.Set(position)
							}
							r := newRig(t, n)
							at := make([]int, n)
							for i := range at {
								at[i] = i + 1
								r.branch(i+1, 0, feeds[i])
							}
							happenings = len(r.add(d, at...).compile().march(60, 10))
							r.rests()
							word = d.Effect(r.solver).Word
							volts = slices.Clone(r.solver.Voltages())
							if x, ok := d.(device.Inert); ok {
								x.Freeze(r.solver)
							}
							if w, ok := d.(device.Waving); ok {
								w.Wave(true)
								r.march(0.0123, math.Inf(1))
							}
							return append(volts, r.solver.Voltages()...), word, happenings
						}
						volts, word, all := look("")
						with, seen, some := look(defect.Name)
						if word != seen || all != some {
							return
						}
						for i := range volts {
							if math.Abs(volts[i]-with[i]) > 1e-3 {
								return
							}
						}
					}
					t.Errorf("%s %s %g: no difference found", k.Name, defect.Name, severity)
				})
			}
		}
	}
}
