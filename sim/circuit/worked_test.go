package circuit_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"faultloom/sim/circuit"
)

// workedFile holds worked examples of open textbooks, each with its source; its head states the signs.
const workedFile = "../../testdata/circuit/worked_examples.yaml"

type workedExample struct {
	ID, Title, Kind, Analysis, Source, Section, Seen, Verified, Note string

	Elements []workedElement
	Expect   []struct {
		Quantity, Element, A, B, Unit string

		At                         float64 `yaml:"at_s"`
		Value, Tolerance, Computed float64
	}
}

type workedElement struct {
	ID, Kind, A, B, Unit string

	Value       float64
	Saturation  float64  `yaml:"saturation_current_A"`
	Emission    float64  `yaml:"emission"`
	Temperature float64  `yaml:"temperature_C"`
	InitialV    *float64 `yaml:"initial_V"`
	InitialA    *float64 `yaml:"initial_A"`
}

func workedExamples(t *testing.T) []workedExample {
	t.Helper()
	data, err := os.ReadFile(workedFile)
	require.NoError(t, err)
	var file struct {
		Examples []workedExample
		Dropped  []any
	}
	dec := yaml.NewDecoder(bytes.NewReader(data))
	dec.KnownFields(true)
	require.NoError(t, dec.Decode(&file))
	return file.Examples
}

// idealShare is the resistance of an "ideal" source as a share of the smallest resistor beside it, as the file's head proposes.
const idealShare = 1e-9

// build makes the circuit of an example; add puts in what dc circuits do not have.
func (e *workedExample) build(t *testing.T, add func(f *fixture, el workedElement)) *fixture {
	t.Helper()
	smallest := math.Inf(1)
	for _, el := range e.Elements {
		if el.Kind == "resistor" {
			smallest = min(smallest, el.Value)
		}
	}
	if math.IsInf(smallest, 1) {
		smallest = 1e-3 // only a source and a diode, which has a slope of up to 1,300 S
	}
	f := &fixture{nodes: map[string]circuit.Node{"0": circuit.Ground}, ids: map[string]circuit.ID{}}
	for _, el := range e.Elements {
		switch el.Kind {
		case "resistor":
			f.add(el.ID, el.A, el.B, circuit.Resistor{Ohms: el.Value})
		case "voltage_source":
			f.add(el.ID, el.A, el.B, circuit.Source{EMF: el.Value, Ohms: idealShare * smallest})
		case "current_source":
			f.add(el.ID, el.A, el.B, circuit.Injection{Amps: el.Value})
		case "diode":
			f.add(el.ID, el.A, el.B, circuit.Curve{Law: newJunction(el.Saturation, el.Emission*thermalVoltage(el.Temperature))})
		default:
			require.NotNil(t, add, "element %s is a %s", el.ID, el.Kind)
			add(f, el)
		}
	}
	f.compile(t)
	return f
}

// delivers reports whether an element's current and power are counted as delivered.
func (e *workedExample) delivers(element string) bool {
	for _, el := range e.Elements {
		if el.ID == element {
			return el.Kind == "voltage_source"
		}
	}
	return false
}

// value returns what the example calls by a quantity and a place.
func (e *workedExample) value(f *fixture, quantity, element, a, b string) float64 {
	sign := 1.0
	if e.delivers(element) {
		sign = -1
	}
	switch quantity {
	case "current":
		return sign * f.amps(element)
	case "power":
		return sign * f.Power(f.ids[element])
	}
	return f.volts(a, b)
}

// spread bounds how far the answer for a circuit with leakage and with sources that are not quite ideal lies from computed, the
// file's answer in ten figures.
func (e *workedExample) spread(f *fixture, quantity, element string, computed float64) float64 {
	resistances, volts := 0.0, 0.0
	for _, el := range e.Elements {
		switch el.Kind {
		case "resistor":
			resistances += el.Value
		case "voltage_source":
			volts += math.Abs(el.Value)
		}
	}
	share := 5*idealShare + 2*circuit.LeakSiemens*resistances
	off := share * max(math.Abs(computed), volts*1e-3)
	if e.delivers(element) && quantity != "voltage" {
		// The current of so stiff a source is the difference of two numbers rounded to 2e-16 of its voltage.
		v := math.Abs(f.Voltage(f.ends(element)))
		i := 4 * 0x1p-53 * (v + volts) / f.ohms(element)
		if quantity == "power" {
			i *= volts
		}
		off += i
	}
	return off
}

func TestWorkedExamples(t *testing.T) {
	seen := 0
	for _, e := range workedExamples(t) {
		if e.Analysis != "dc" {
			continue
		}
		t.Run(e.ID, func(t *testing.T) {
			f := e.build(t, nil).solve(t)
			for _, x := range e.Expect {
				seen++
				got := e.value(f, x.Quantity, x.Element, x.A, x.B)
				what := x.Quantity + " " + x.Element + x.A + " " + x.B
				assert.InDelta(t, x.Value, got, x.Tolerance*(1+1e-9), "%s as printed in %s, %s", what, e.Source, e.Section)
				assert.InDelta(t, x.Computed, got, e.spread(f, x.Quantity, x.Element, x.Computed), "%s as computed", what)
			}
		})
	}
	assert.Equal(t, 137, seen, "values checked")
}

// The transient examples, stepped through in thousandths of their length.
func TestWorkedTransients(t *testing.T) {
	seen := 0
	for _, e := range workedExamples(t) {
		if e.Analysis != "transient" {
			continue
		}
		t.Run(e.ID, func(t *testing.T) {
			f := e.build(t, addStore)
			for _, el := range e.Elements {
				if el.InitialV != nil {
					f.SetStored(f.ids[el.ID], *el.InitialV)
				}
				if el.InitialA != nil {
					f.SetStored(f.ids[el.ID], *el.InitialA)
				}
			}
			last, at := 0.0, 0.0
			for _, x := range e.Expect {
				last = max(last, x.At)
			}
			for _, x := range e.Expect {
				seen++
				for left := x.At - at; left > 1e-6*last; left = x.At - at {
					dt := min(left, last/4000)
					require.NoError(t, f.Step(dt))
					at += dt
				}
				if x.At == 0 {
					require.NoError(t, f.Step(1e-9*last)) // the moment after
				}
				got := e.value(f, x.Quantity, x.Element, x.A, x.B)
				what := fmt.Sprintf("%s %s%s %s at %g s", x.Quantity, x.Element, x.A, x.B, x.At)
				assert.InDelta(t, x.Value, got, x.Tolerance*(1+1e-9), "%s as printed in %s, %s", what, e.Source, e.Section)
				assert.InDelta(t, x.Computed, got, 1e-5*math.Abs(x.Computed)+e.spread(f, x.Quantity, x.Element, x.Computed), "%s as computed", what)
			}
		})
	}
	assert.Equal(t, 45, seen, "values checked")
}

// addStore adds a capacitor or inductor to an example's circuit.
func addStore(f *fixture, el workedElement) {
	switch el.Kind {
	case "capacitor":
		f.add(el.ID, el.A, el.B, circuit.Capacitor{Farads: el.Value})
	case "inductor":
		f.add(el.ID, el.A, el.B, circuit.Inductor{Henries: el.Value, Ohms: 1e-9})
	}
}
