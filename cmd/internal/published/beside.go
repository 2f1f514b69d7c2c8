package published

import (
	"encoding/csv"
	"fmt"
	"io/fs"
	"math"
	"path"
	"strconv"
	"strings"

	"faultloom/sim/circuit"
	"faultloom/testdata"
)

const (
	// deckShare is the share of the largest voltage, or current, to which operating points agree: both programs' tolerances are tenths
	// of it.
	deckShare = 1e-9
	// meterShare is the same for the deck "meter", in which ngspice itself loses digits: its matrix has 200 S of a source and 1e-6 S
	// of what feeds a wire in one sum.
	meterShare = 1e-6
	// motionShare is the same for circuits in motion, of which both programs take the same steps, some thousandths of what moves.
	motionShare = 2e-5
	// instants is how many equal parts of a motion the answers are stored for.
	instants = 40
)

// beside compares circuits with what ngspice made of them.
func beside() (Group, error) {
	g := Group{Title: "Beside another simulator", About: "Circuits that ngspice 39 was run on, and its stored answers: the largest difference over all nodes (and sources), and in time over 40 instants. The tests run ngspice again where it is installed."}
	files, err := fs.Glob(testdata.Tables, "circuit/ngspice/*.cir")
	if err != nil {
		return g, err
	}
	for _, name := range files {
		rows, err := besideDeck(name)
		if err != nil {
			return g, fmt.Errorf("%s: %w", name, err)
		}
		g.Rows = append(g.Rows, rows...)
	}
	return g, nil
}

func besideDeck(name string) ([]Row, error) {
	text, err := testdata.Tables.ReadFile(name)
	if err != nil {
		return nil, err
	}
	d, err := readDeck(string(text))
	if err != nil {
		return nil, err
	}
	answers, err := readAnswers(strings.TrimSuffix(name, ".cir") + ".csv")
	if err != nil {
		return nil, err
	}
	s, err := circuit.Compile(&d.net)
	if err != nil {
		return nil, err
	}
	title := strings.TrimSuffix(path.Base(name), ".cir")
	if d.stop > 0 {
		return d.motion(s, title, name, answers)
	}
	if err := s.Solve(); err != nil {
		return nil, err
	}
	return d.point(s, title, name, answers)
}

// readAnswers reads "node 1" and "branch 0", or "sample 3 node 1", with volts and amperes.
func readAnswers(name string) (map[string]float64, error) {
	f, err := testdata.Tables.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	all := map[string]float64{}
	for _, row := range rows {
		if all[row[0]], err = strconv.ParseFloat(row[1], 64); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// difference gathers the largest difference and the largest size of what is compared.
type difference struct {
	worst, size float64
	count       int
}

func (c *difference) see(ours, theirs float64, ok bool) {
	if !ok {
		return
	}
	c.count++
	c.worst = max(c.worst, math.Abs(ours-theirs)) // what is no number stays
	c.size = max(c.size, math.Abs(theirs))
}

func (c difference) row(what, unit, file string, share float64) Row {
	why := fmt.Sprintf("%.0e of the largest, which is %.4g %s", share, c.size, unit)
	if share == meterShare {
		why += "; not 1e-09, since ngspice loses digits where 200 S of a source and 1e-6 S of what feeds a wire stand in one sum (the closed form has its own test)"
	}
	return line{}.row(what, unit, c.worst).within(0, share*c.size, why).
		from("ngspice 39 on testdata/"+file, "yes: run, its answers stored beside the deck")
}

func (d *deck) point(s *circuit.Solver, title, file string, answers map[string]float64) ([]Row, error) {
	share := deckShare
	if title == "meter" {
		share = meterShare
	}
	var volts, amps difference
	for n := 1; n < d.net.Nodes(); n++ {
		node := d.net.NodeName(circuit.Node(n))
		x, ok := answers["node "+strings.TrimPrefix(node, "n")]
		if !ok {
			return nil, fmt.Errorf("no answer for node %s", node)
		}
		volts.see(s.Voltage(circuit.Node(n)), x, true)
	}
	for k, id := range d.ids {
		x, ok := answers[fmt.Sprintf("branch %d", k)]
		amps.see(s.Current(id), x, ok)
	}
	// Currents are told of sources only; the largest current of the circuit is in other branches, sometimes.
	for _, id := range d.ids {
		amps.size = max(amps.size, math.Abs(s.Current(id)))
	}
	return []Row{
		volts.row(fmt.Sprintf("%s, voltages of %d nodes", title, volts.count), "V", file, share),
		amps.row(fmt.Sprintf("%s, currents of %d sources", title, amps.count), "A", file, share),
	}, nil
}

func (d *deck) motion(s *circuit.Solver, title, file string, answers map[string]float64) ([]Row, error) {
	s.SetEMF(d.drive, d.emf(0))
	if err := s.Solve(); err != nil {
		return nil, err
	}
	var volts difference
	dt := d.stop / float64(d.steps)
	for i := 1; i <= d.steps; i++ {
		s.SetEMF(d.drive, d.emf(dt*float64(i)))
		if err := s.Step(dt); err != nil {
			return nil, err
		}
		if i%(d.steps/instants) != 0 {
			continue
		}
		for n := 1; n < d.net.Nodes(); n++ {
			key := fmt.Sprintf("sample %d node %s", i/(d.steps/instants)-1, strings.TrimPrefix(d.net.NodeName(circuit.Node(n)), "n"))
			x, ok := answers[key]
			if !ok {
				return nil, fmt.Errorf("no answer for %s", key)
			}
			volts.see(s.Voltage(circuit.Node(n)), x, true)
		}
	}
	return []Row{volts.row(fmt.Sprintf("%s, %d voltages in %g s", title, volts.count, d.stop), "V", file, motionShare)}, nil
}
