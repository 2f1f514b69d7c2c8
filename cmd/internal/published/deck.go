package published

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"faultloom/sim/circuit"
)

// deck is a circuit that ngspice was run on, read back from its own language as far as these decks use it: sources, capacitors
// and inductors have a resistor of the same number in series, nodes are called n1, n2, …
type deck struct {
	net    circuit.Netlist
	nodes  map[string]circuit.Node
	ids    map[int]circuit.ID
	drive  circuit.ID   // the source that moves
	curve  [][2]float64 // its corners: seconds, volts; nil if none moves
	stop   float64      // seconds, 0 for an operating point
	steps  int
	series map[int]float64 // ohms by number, of the resistors that belong to another element
	outer  map[int]string  // their nodes away from it
}

// deckThermal is k/q in volts per kelvin times the 300.15 K of the decks, with the constants that ngspice 39 has (CODATA 2014).
const deckThermal = 1.38064852e-23 / 1.6021766208e-19 * 300.15

// lampForm is how a lamp is written: current at rated voltage, rated voltage, and what bends the law near 0 V.
var lampForm = regexp.MustCompile(`^I=([^*]+)\*\(v\([^)]*\)/([^)]+)\)\*exp\(-0\.225\*ln\(.*\+([^)]+)\)\)$`)

func readDeck(text string) (*deck, error) {
	d := &deck{nodes: map[string]circuit.Node{"0": circuit.Ground}, ids: map[int]circuit.ID{}, series: map[int]float64{}, outer: map[int]string{}}
	lines := strings.Split(text, "\n")
	models := map[string]*shockley{}
	for _, l := range lines {
		f := strings.Fields(l)
		switch {
		case len(f) == 4 && f[0][0] == 'R' && f[2] == "m"+f[0][1:]:
			k, err1 := strconv.Atoi(f[0][1:])
			x, err2 := strconv.ParseFloat(f[3], 64)
			if err1 != nil || err2 != nil {
				return nil, fmt.Errorf("%q: not understood", l)
			}
			d.series[k], d.outer[k] = x, f[1]
		case len(f) == 4 && f[0] == ".model":
			is, err1 := strconv.ParseFloat(strings.TrimPrefix(f[2], "d(is="), 64)
			n, err2 := strconv.ParseFloat(strings.TrimSuffix(strings.TrimPrefix(f[3], "n="), ")"), 64)
			if err1 != nil || err2 != nil {
				return nil, fmt.Errorf("%q: not understood", l)
			}
			v := n * deckThermal
			models[f[1]] = &shockley{is, v, v * math.Log(v/(math.Sqrt2*is))}
		case len(f) > 0 && f[0] == "tran":
			step, err1 := strconv.ParseFloat(f[len(f)-1], 64)
			stop, err2 := strconv.ParseFloat(f[2], 64)
			if err1 != nil || err2 != nil || !(step > 0) {
				return nil, fmt.Errorf("%q: not understood", l)
			}
			d.stop, d.steps = stop, int(math.Round(stop/step))
		}
	}
	for _, l := range lines[1:] {
		if strings.HasPrefix(l, ".options") {
			return d, nil
		}
		if err := d.element(strings.Fields(l), models); err != nil {
			return nil, fmt.Errorf("%q: %w", l, err)
		}
	}
	return nil, fmt.Errorf("the deck has no end")
}

func (d *deck) node(name string) circuit.Node {
	n, ok := d.nodes[name]
	if !ok {
		n = d.net.Node(name)
		d.nodes[name] = n
	}
	return n
}

// element adds one line's branch; the resistor in series with it is part of it.
func (d *deck) element(f []string, models map[string]*shockley) error {
	if len(f) < 4 || f[0][0] == '.' || strings.HasPrefix(f[0], "Rleak") {
		return nil // leakage is the solver's own
	}
	k, err := strconv.Atoi(f[0][1:])
	if err != nil {
		return err
	}
	if _, part := d.series[k]; part && f[0][0] == 'R' {
		return nil
	}
	from := f[1]
	if from == "m"+f[0][1:] { // where the resistor in series is; it belongs to the branch
		from = d.outer[k]
	}
	x, numberErr := strconv.ParseFloat(f[3], 64)
	var br circuit.Branch
	switch f[0][0] {
	case 'R':
		br = circuit.Resistor{Ohms: x}
	case 'V':
		if strings.HasPrefix(f[3], "pwl(") {
			numberErr = d.corners(f[3:])
			x = 0
		}
		br = circuit.Source{EMF: x, Ohms: d.series[k]}
	case 'I':
		br = circuit.Injection{Amps: x}
	case 'C':
		br = circuit.Capacitor{Farads: x, Ohms: d.series[k]}
	case 'L':
		br = circuit.Inductor{Henries: x, Ohms: d.series[k]}
	case 'D':
		numberErr = nil
		br = circuit.Curve{Law: models[f[3]]}
	case 'B':
		var lamp rerated
		lamp, numberErr = readLamp(f[3])
		br = circuit.Curve{Law: lamp}
	default:
		return fmt.Errorf("unknown element")
	}
	if numberErr != nil {
		return numberErr
	}
	d.ids[k] = d.net.Add(f[0], d.node(from), d.node(f[2]), br)
	if strings.HasPrefix(f[3], "pwl(") {
		d.drive = d.ids[k]
	}
	return nil
}

// corners reads "pwl(0 0 1 12 )".
func (d *deck) corners(f []string) error {
	words := strings.Fields(strings.TrimSuffix(strings.TrimPrefix(strings.Join(f, " "), "pwl("), ")"))
	for i := 0; i+1 < len(words); i += 2 {
		at, err1 := strconv.ParseFloat(words[i], 64)
		v, err2 := strconv.ParseFloat(words[i+1], 64)
		if err1 != nil || err2 != nil {
			return fmt.Errorf("corner %d is no pair of numbers", i/2)
		}
		d.curve = append(d.curve, [2]float64{at, v})
	}
	return nil
}

// emf returns what the moving source has at a time, straight between its corners.
func (d *deck) emf(t float64) float64 {
	last := d.curve[0]
	for _, c := range d.curve {
		if t < c[0] {
			return last[1] + (c[1]-last[1])*(t-last[0])/(c[0]-last[0])
		}
		last = c
	}
	return last[1]
}

// rerated is a lamp with the current that rerating gives, |u|^0.55 at u times its rated voltage, bent to a finite slope at 0 V.
type rerated struct{ amps, volts, bend float64 }

func readLamp(s string) (rerated, error) {
	m := lampForm.FindStringSubmatch(s)
	if m == nil {
		return rerated{}, fmt.Errorf("not the form of a lamp")
	}
	var x [3]float64
	for i := range x {
		var err error
		if x[i], err = strconv.ParseFloat(m[i+1], 64); err != nil {
			return rerated{}, err
		}
	}
	return rerated{x[0], x[1], x[2]}, nil
}

// At implements circuit.Law.
func (l rerated) At(v float64) (i, g float64) {
	u := v / l.volts
	q := u*u + l.bend
	p := l.amps * math.Exp(-0.225*math.Log(q))
	return p * u, p / l.volts * (1 - 0.45*u*u/q)
}

// Limit implements circuit.Law.
func (rerated) Limit(next, last float64) float64 {
	if next*last < 0 {
		return 0
	}
	return next
}

// Seed implements circuit.Seeded.
func (l rerated) Seed() float64 { return l.volts }
