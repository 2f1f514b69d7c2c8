package published

import (
	"fmt"
	"math"

	"faultloom/sim/circuit"
	"faultloom/testdata"

	"gopkg.in/yaml.v3"
)

// example is a worked example of a textbook or handbook; the head of the file states the signs.
type example struct {
	ID, Title, Analysis, Source, Section, Seen string

	Elements []element
	Expect   []expected
}

type element struct {
	ID, Kind, A, B string

	Value       float64
	Saturation  float64 `yaml:"saturation_current_A"`
	Emission    float64 `yaml:"emission"`
	Temperature float64 `yaml:"temperature_C"`
	InitialV    float64 `yaml:"initial_V"`
	InitialA    float64 `yaml:"initial_A"`
}

type expected struct {
	Quantity, Element, A, B, Unit string

	At               float64 `yaml:"at_s"`
	Value, Tolerance float64
}

const (
	// ideal is the resistance of an "ideal" source as a share of the smallest resistor beside it, as the file proposes.
	ideal = 1e-9
	// bare is that resistor where there is only a source and a diode, whose slope is up to 1,300 S.
	bare = 1e-3
	// wire is the resistance of an inductor that has none, in ohms.
	wire = 1e-9
	// stepsPerExample is into how many steps a transient example is cut: of second order, they leave some 1e-7 of it.
	stepsPerExample = 4000
)

// bench is an example as a circuit.
type bench struct {
	example
	solver *circuit.Solver
	nodes  map[string]circuit.Node
	ids    map[string]circuit.ID
	past   float64
	step   float64
}

func (e example) build() (*bench, error) {
	b := &bench{example: e, nodes: map[string]circuit.Node{"0": circuit.Ground}, ids: map[string]circuit.ID{}}
	var net circuit.Netlist
	node := func(name string) circuit.Node {
		n, ok := b.nodes[name]
		if !ok {
			n = net.Node(name)
			b.nodes[name] = n
		}
		return n
	}
	smallest := math.Inf(1)
	for _, el := range e.Elements {
		if el.Kind == "resistor" {
			smallest = min(smallest, el.Value)
		}
	}
	if math.IsInf(smallest, 1) {
		smallest = bare
	}
	for _, el := range e.Elements {
		var br circuit.Branch
		switch el.Kind {
		case "resistor":
			br = circuit.Resistor{Ohms: el.Value}
		case "voltage_source":
			br = circuit.Source{EMF: el.Value, Ohms: ideal * smallest}
		case "current_source":
			br = circuit.Injection{Amps: el.Value}
		case "diode":
			br = circuit.Curve{Law: newShockley(el.Saturation, el.Emission, el.Temperature)}
		case "capacitor":
			br = circuit.Capacitor{Farads: el.Value}
		case "inductor":
			br = circuit.Inductor{Henries: el.Value, Ohms: wire}
		default:
			return nil, fmt.Errorf("worked example %s: element %s: unknown kind %q", e.ID, el.ID, el.Kind)
		}
		b.ids[el.ID] = net.Add(el.ID, node(el.A), node(el.B), br)
	}
	var err error
	if b.solver, err = circuit.Compile(&net); err != nil {
		return nil, fmt.Errorf("worked example %s: %w", e.ID, err)
	}
	for _, el := range e.Elements {
		switch el.Kind {
		case "capacitor":
			b.solver.SetStored(b.ids[el.ID], el.InitialV)
		case "inductor":
			b.solver.SetStored(b.ids[el.ID], el.InitialA)
		}
	}
	for _, x := range e.Expect {
		b.step = max(b.step, x.At/stepsPerExample)
	}
	return b, nil
}

// reach solves an example that stands still, or brings one that moves to a time.
func (b *bench) reach(at float64) error {
	if b.Analysis == "dc" {
		return b.solver.Solve()
	}
	if at == 0 {
		return b.solver.Step(1e-6 * b.step) // the moment after
	}
	for left := at - b.past; left > 1e-3*b.step; left = at - b.past {
		dt := min(left, b.step)
		if err := b.solver.Step(dt); err != nil {
			return err
		}
		b.past += dt
	}
	return nil
}

// value returns what the example calls by a quantity and a place: current and power of voltage sources count as delivered.
func (b *bench) value(x expected) float64 {
	sign := 1.0
	for _, el := range b.Elements {
		if el.ID == x.Element && el.Kind == "voltage_source" {
			sign = -1
		}
	}
	switch x.Quantity {
	case "current":
		return sign * b.solver.Current(b.ids[x.Element])
	case "power":
		return sign * b.solver.Power(b.ids[x.Element])
	}
	return b.solver.Voltage(b.nodes[x.A]) - b.solver.Voltage(b.nodes[x.B])
}

func worked() (Group, error) {
	g := Group{Title: "Worked examples", About: "Circuits of textbooks and handbooks, solved by the solver that the harness is solved by; those that move, stepped through time."}
	data, err := testdata.Tables.ReadFile("circuit/worked_examples.yaml")
	if err != nil {
		return g, err
	}
	var file struct{ Examples []example }
	if err := yaml.Unmarshal(data, &file); err != nil {
		return g, fmt.Errorf("circuit/worked_examples.yaml: %w", err)
	}
	for _, e := range file.Examples {
		b, err := e.build()
		if err != nil {
			return g, err
		}
		for _, x := range e.Expect {
			if err := b.reach(x.At); err != nil {
				return g, fmt.Errorf("worked example %s: %w", e.ID, err)
			}
			what := fmt.Sprintf("%s: %s %s", e.Title, x.Quantity, x.Element)
			if x.Element == "" {
				what = fmt.Sprintf("%s: %s %s to %s", e.Title, x.Quantity, x.A, x.B)
			}
			if e.Analysis != "dc" {
				what += fmt.Sprintf(" at %g s", x.At)
			}
			r := line{}.row(what, x.Unit, b.value(x)).near(x.Value, x.Tolerance, "as printed").from(e.Source+", "+e.Section, e.Seen)
			g.Rows = append(g.Rows, r)
		}
	}
	return g, nil
}

// shockley is the exponential law i = Is·(exp(v/nVt) - 1) of the textbooks' diodes (Shockley, 1949).
type shockley struct{ saturation, volts, knee float64 }

// boltzmannOverCharge is k/q in volts per kelvin (exact values of the SI, 2019).
const boltzmannOverCharge = 1.380649e-23 / 1.602176634e-19

func newShockley(saturation, emission, celsius float64) *shockley {
	v := emission * boltzmannOverCharge * (celsius + 273.15)
	return &shockley{saturation, v, v * math.Log(v/(math.Sqrt2*saturation))}
}

// At implements circuit.Law.
func (d *shockley) At(v float64) (i, g float64) {
	e := math.Exp(v / d.volts)
	return d.saturation * (e - 1), d.saturation / d.volts * e
}

// Limit implements circuit.Law: above the knee a step is taken in the logarithm of the current (Nagel, SPICE2, 1975; from
// memory).
func (d *shockley) Limit(next, last float64) float64 {
	if math.Abs(next-last) <= 0.1*d.volts || next <= d.knee && last <= 0 {
		return next
	}
	share := 1 + (next-last)/d.volts
	switch {
	case last <= 0:
		return d.volts * math.Log(next/d.volts)
	case share > 0:
		return last + d.volts*math.Log(share)
	case next > 0:
		return next / 2
	}
	return next
}

// Seed implements circuit.Seeded.
func (d *shockley) Seed() float64 { return d.knee }
