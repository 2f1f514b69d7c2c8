package scenarios_test

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
	"faultloom/sim/device"
	"faultloom/sim/fault"
)

func TestGuideIsUpToDate(t *testing.T) {
	golden(t, "GUIDE.md", []byte(scenarios.Guide()))
}

// TestGuideExampleWorks: what the guide tells a beginner to write loads, holds, and shows its fault.
func TestGuideExampleWorks(t *testing.T) {
	h, err := scenarios.Load(os.DirFS("guide"), "first.yaml")
	require.NoError(t, err)
	for _, f := range scenarios.Prove(h) {
		assert.Equal(t, scenarios.Holds, f.Grade, f.Text)
	}
	for _, name := range []string{"module.yaml", "bus.yaml"} {
		h, err = scenarios.Load(os.DirFS("guide"), name)
		require.NoError(t, err)
		for _, f := range scenarios.Prove(h) {
			assert.Equal(t, scenarios.Holds, f.Grade, "%s: %s", name, f.Text)
		}
	}
	ex, err := scenarios.LoadExercise(os.DirFS("guide"), "first-exercise.yaml")
	require.NoError(t, err)
	for _, f := range scenarios.ProveExercise(ex) {
		assert.Equal(t, scenarios.Holds, f.Grade, f.Text)
	}
}

// TestGuideShowsRealMessages: the errors that the guide prints are those that its example gives when broken so.
func TestGuideShowsRealMessages(t *testing.T) {
	data, err := os.ReadFile("guide/first.yaml")
	require.NoError(t, err)
	text := strings.NewReplacer("to: SW.1", "to: SV.1", "to: X1.1.a, length: 1 m, size: 1 mm2", "to: X1.1.a, length: 1 m, size: 1 mm").Replace(string(data))
	err = load(text, nil)
	require.Error(t, err)
	for _, line := range strings.Split(strings.ReplaceAll(err.Error(), "h.yaml", "first.yaml"), "\n") {
		assert.True(t, strings.Contains(scenarios.Guide(), line), "not in the guide: %s", line)
	}
}

// TestGuideNamesEverything: every kind of component with its keys, words and defects, and every kind of fault in the catalogue of the
// shipped harnesses.
func TestGuideNamesEverything(t *testing.T) {
	guide := scenarios.Guide()
	has := func(text, of string) {
		t.Helper()
		assert.True(t, strings.Contains(guide, text), "the guide lacks %s of %s", text, of)
	}
	for _, k := range device.Kinds() {
		has("\n### "+k.Name+"\n", k.Name)
		for _, p := range k.Params {
			has("| `"+p.Key+"`", k.Name)
		}
		for _, w := range k.Words {
			has("`"+w+"`", k.Name)
		}
		for _, d := range k.Defects {
			has("| `"+d.Name+"` |", k.Name)
		}
	}
	for _, f := range builtin(t).Harnesses {
		for _, e := range fault.Catalogue(f.Harness) {
			if !strings.HasPrefix(e.Fault.Place, "component ") {
				has("`"+string(e.Fault.Kind), e.Fault.String())
			}
		}
	}
}

// TestGuideFaultsParse: every example of a fault in the guide's table is one.
func TestGuideFaultsParse(t *testing.T) {
	_, rest, ok := strings.Cut(scenarios.Guide(), "### Faults")
	require.True(t, ok)
	section, _, _ := strings.Cut(rest, "Several at once")
	code := regexp.MustCompile("`([^`]+)`")
	n := 0
	for _, row := range strings.Split(section, "\n") {
		cells := strings.Split(row, "|")
		if len(cells) < 4 || !strings.Contains(cells[1], "`") {
			continue
		}
		for _, place := range code.FindAllStringSubmatch(cells[1], -1) {
			for _, kind := range code.FindAllStringSubmatch(cells[2], -1) {
				_, err := fault.Parse(place[1] + " " + kind[1])
				assert.NoError(t, err)
				n++
			}
		}
	}
	assert.Greater(t, n, 15, "examples found")
}

// TestGuideSeveritiesParse: both ends of every range of severity that the guide offers are taken, and the usual value.
func TestGuideSeveritiesParse(t *testing.T) {
	n := 0
	for _, k := range device.Kinds() {
		for _, d := range k.Defects {
			if d.Dim == device.None {
				continue
			}
			for _, x := range []float64{d.Low, d.Typical, d.High} {
				f, err := fault.Parse(fmt.Sprintf("component C %s %g %s", d.Name, x, d.Dim))
				assert.NoError(t, err, k.Name)
				assert.Equal(t, x, f.Severity)
				n++
			}
		}
	}
	assert.Greater(t, n, 100)
}

// TestEveryKindCanBeWritten makes a harness of each kind with nothing but what must be given, as the guide says.
func TestEveryKindCanBeWritten(t *testing.T) {
	for _, k := range device.Kinds() {
		if k.Name == "battery" {
			continue // every harness has one
		}
		t.Run(k.Name, func(t *testing.T) {
			keys := "kind: " + k.Name + ", title: Part"
			for _, p := range k.Params {
				if p.Required {
					keys += fmt.Sprintf(", %s: %g %s", p.Key, max(p.Min, min(p.Max, 20)), p.Dim)
				}
			}
			first, second, join := "1", "2", "1-2"
			if k.Logic {
				keys += `, supply: 1, ground: 2, inputs: {a: {terminal: 3, above: 6 V}}, outputs: {b: {terminal: 4}}, conditions: [{when: {a: on}, then: {b: "on"}}]`
			}
			if !k.OwnTerminals {
				first, second, join = k.Terminals[0].Name, k.Terminals[1].Name, "nothing"
			}
			if k.Table {
				keys += ", positions: {off: nothing, on: " + join + "}"
			}
			set := ""
			if k.Table {
				set = "set: {P1: on}, "
			}
			text := fmt.Sprintf(`harness: kind
title: Kind
vehicle: {fleet: X-1, title: test, supply: 12 V}
components:
  BAT: {kind: battery, title: Battery}
  P1: {%s}
  LA: {kind: lamp, title: Lamp, power: 5 W}
grounds:
  G1: {title: Ground}
wires:
  1: {from: BAT.30, to: P1.%s, length: 1 m, size: 1 mm2, colour: RD}
  2: {from: P1.%s, to: LA.in, length: 1 m, size: 1 mm2, colour: GN}
  3: {from: LA.out, to: G1, length: 1 m, size: 1 mm2, colour: BN}
  4: {from: BAT.31, to: G1, length: 1 m, size: 16 mm2, colour: BK}
check:
  - {%sexpect: {LA: off}}
`, keys, first, second, set)
			require.NoError(t, load(text, nil), text)
		})
	}
}
