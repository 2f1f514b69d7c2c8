package harness_test

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

var update = flag.Bool("update", false, "write the decks and ngspice's answers anew")

const spiceFolder = "../../testdata/harness/ngspice"

// deck writes a harness as an ngspice deck by its own rules, from the drawing alone: what the translation under test does is
// not used. Loads and fuses stand in it as the resistances at which the machine runs them, for their laws are proved
// elsewhere; so the two agree if, and only if, both have the same network.
type deck struct {
	text  bytes.Buffer
	nodes map[harness.Point]int
	count int
}

func (d *deck) node(p harness.Point) string {
	if p == harness.Body {
		return "0"
	}
	if _, ok := d.nodes[p]; !ok {
		d.nodes[p] = len(d.nodes) + 1
	}
	return fmt.Sprint("n", d.nodes[p])
}

func (d *deck) resistor(a, b harness.Point, ohms float64) {
	d.count++
	fmt.Fprintf(&d.text, "R%d %s %s %.12g\n", d.count, d.node(a), d.node(b), ohms)
}

// spiceCase is one state of the tractor.
type spiceCase struct {
	name    string
	set     []string // controls and positions
	altered []harness.Alteration
	in      bool // the relay is pulled in
	extra   map[string]float64
}

var spiceCases = []spiceCase{
	{name: "lamps-on", set: []string{"key", "on", "lamps", "on"}, in: true},
	{name: "all-on", set: []string{"key", "on", "lamps", "on", "horn", "pressed"}, in: true},
	{name: "ground-5-ohm", set: []string{"key", "on", "lamps", "on", "horn", "pressed"}, in: true,
		altered: []harness.Alteration{harness.SeriesOhms{Where: "ground G1", Ohms: 5}}, extra: map[string]float64{"ground G1": 5}},
	{name: "ground-lost", set: []string{"key", "on", "horn", "pressed"},
		altered: []harness.Alteration{harness.SeriesOhms{Where: "ground G1", Ohms: harness.Broken}},
		extra:   map[string]float64{"ground G1": 1e15}},
	{name: "contact-5-ohm", set: []string{"key", "on", "lamps", "on"}, in: true,
		altered: []harness.Alteration{harness.SeriesOhms{Where: "cavity X2.1", Ohms: 5}}, extra: map[string]float64{"cavity X2.1": 5}},
}

// network writes a harness's wires, joints and contacts, with what is added to some of them. Copper: 1/58 Ω mm²/m at 20 °C (IEC 60028). Joints:
// 0.5 mΩ each, contacts 5 mΩ and for wires above 2.5 mm² 1.5 mΩ, as the package states.
func (d *deck) network(h *harness.Harness, extra map[string]float64) {
	size := map[harness.Point]float64{}
	metal := func(w harness.Wire, end harness.Point) harness.Point {
		if strings.HasPrefix(string(end), "G") || strings.HasPrefix(string(end), "BAT.") {
			ring := end + harness.Point("."+w.ID)
			d.resistor(ring, end, 0.5e-3+extra["ring "+string(ring)])
			return ring
		}
		size[end] = w.Size
		return end
	}
	for _, w := range h.Wires {
		a, b := metal(w, w.From), metal(w, w.To)
		d.resistor(a, b, w.Metres/58/w.Size+1e-3+extra["wire "+w.ID])
	}
	for _, g := range h.Grounds {
		d.resistor(harness.Point(g.ID), harness.Body, 0.5e-3+extra["ground "+g.ID])
	}
	for _, x := range h.Connectors {
		for _, cav := range x.Cavities {
			name := x.ID + "." + cav.Number
			a, b := harness.Point(name+".a"), harness.Point(name+".b")
			ohms := 5e-3
			if max(size[a], size[b]) > 2.5 {
				ohms = 1.5e-3
			}
			d.resistor(a, b, ohms+extra["cavity "+name])
		}
	}
}

// newDeck writes the deck of a case.
func newDeck(t *testing.T, m *harness.Machine, c spiceCase) *deck {
	h := m.Harness()
	d := &deck{nodes: map[harness.Point]int{}}
	fmt.Fprintf(&d.text, "* dock tractor of the tests: %s\n", c.name)
	d.network(h, c.extra)
	// Battery: 12.65 V when full, 10 mΩ as the fixture says.
	d.count++
	fmt.Fprintf(&d.text, "V%d vb %s 12.65\nR%d vb %s 0.01\n", d.count, d.node("BAT.31"), d.count+10000, d.node("BAT.30"))
	at := func(component, terminal string) harness.Point { return h.Terminal(component, terminal) }
	closed := map[string]bool{"key": true}
	for i := 0; i < len(c.set); i += 2 {
		closed[c.set[i]] = c.set[i+1] != "off"
	}
	for _, s := range [][4]string{{"key", "S-KEY", "30", "15"}, {"lamps", "S-LAMP", "in", "out"}, {"horn", "B-HORN", "in", "out"}} {
		if closed[s[0]] {
			d.resistor(at(s[1], s[2]), at(s[1], s[3]), 0.01)
		}
	}
	d.resistor(at("K1", "86"), at("K1", "85"), 100)
	if c.in {
		d.resistor(at("K1", "30"), at("K1", "87"), 5e-3)
	} else {
		d.resistor(at("K1", "30"), at("K1", "87a"), 5e-3)
	}
	for _, part := range [][4]string{
		{"F0", "1", "2", "XF0.1"}, {"F1", "1", "2", "XF1.1"}, {"F2", "1", "2", "XF2.1"},
		{"LL", "in", "out", "XLL.1"}, {"LR", "in", "out", "XLR.1"}, {"TT", "in", "out", "XTT.1"}, {"H1", "in", "out", "XH1.1"},
	} {
		a, b := at(part[0], part[1]), at(part[0], part[2])
		volts, amps := m.VoltsBetween(a, b), m.LimbAmps(harness.Limb("cavity "+part[3]))
		if math.Abs(amps) < 1e-6 {
			// What carries nothing has nothing across it either, whatever its resistance: all that hangs on leakage only.
			require.Less(t, math.Abs(volts), 1e-3, part[0])
			d.resistor(a, b, 1)
			continue
		}
		d.resistor(a, b, volts/amps)
	}
	for _, p := range h.Points() {
		if p != harness.Body {
			d.resistor(p, harness.Body, 1e12)
		}
	}
	d.text.WriteString(".option reltol=1e-10 abstol=1e-15 vntol=1e-12\n.control\nset numdgt=13\nop\nprint all\nquit\n.endc\n.end\n")
	return d
}

// run has ngspice answer a deck.
func (d *deck) run(t *testing.T, program string) map[harness.Point]float64 {
	file := filepath.Join(t.TempDir(), "deck.cir")
	require.NoError(t, os.WriteFile(file, d.text.Bytes(), 0o644))
	out, err := exec.Command(program, "-b", file).CombinedOutput()
	require.NoError(t, err, string(out))
	volts := map[string]float64{}
	for line := range strings.Lines(string(out)) {
		if name, value, ok := strings.Cut(line, "="); ok {
			if x, err := strconv.ParseFloat(strings.TrimSpace(value), 64); err == nil {
				volts[strings.TrimSpace(name)] = x
			}
		}
	}
	answer := map[harness.Point]float64{}
	for p, n := range d.nodes {
		v, ok := volts[fmt.Sprint("n", n)]
		require.True(t, ok, "ngspice says nothing of %s:\n%s", p, out)
		answer[p] = v
	}
	return answer
}

func spiceFile(c spiceCase) string { return filepath.Join(spiceFolder, c.name) }

func store(t *testing.T, m *harness.Machine, c spiceCase, d *deck, answer map[harness.Point]float64) {
	var b bytes.Buffer
	b.WriteString("point,volts\n")
	for _, p := range m.Harness().Points() {
		if p != harness.Body {
			fmt.Fprintf(&b, "%s,%.12g\n", p, answer[p])
		}
	}
	require.NoError(t, os.MkdirAll(spiceFolder, 0o755))
	require.NoError(t, os.WriteFile(spiceFile(c)+".cir", d.text.Bytes(), 0o644))
	require.NoError(t, os.WriteFile(spiceFile(c)+".csv", b.Bytes(), 0o644))
}

func stored(t *testing.T, c spiceCase) map[harness.Point]float64 {
	f, err := os.Open(spiceFile(c) + ".csv")
	require.NoError(t, err)
	defer f.Close()
	answer := map[harness.Point]float64{}
	for s := bufio.NewScanner(f); s.Scan(); {
		p, v, _ := strings.Cut(s.Text(), ",")
		if x, err := strconv.ParseFloat(v, 64); err == nil {
			answer[harness.Point(p)] = x
		}
	}
	return answer
}

// TestSpice compares every node of the tractor with ngspice: with its stored answers always, and with live ones where it is.
func TestSpice(t *testing.T) {
	program, err := exec.LookPath("ngspice")
	live := err == nil && runtime.GOOS != "js"
	if !live && os.Getenv("CI") == "true" && runtime.GOOS != "js" {
		t.Fatal("ngspice is not on this machine; CI must install it")
	}
	for _, c := range spiceCases {
		t.Run(c.name, func(t *testing.T) {
			m, err := harness.NewMachine(sample.Tractor())
			require.NoError(t, err)
			require.NoError(t, m.Alter(c.altered))
			operate(t, m, c.set...)
			require.NoError(t, m.Settle())
			d := newDeck(t, m, c)
			if live {
				answer := d.run(t, program)
				compare(t, "live", m, answer)
				if *update {
					store(t, m, c, d, answer)
				}
			}
			compare(t, "stored", m, stored(t, c))
		})
	}
}

// spiceTolerance in volts: twelve digits are stored, which is 5e-11 at 12 V, and ngspice loses as much again where a part hangs on
// nothing but 1e12 Ω.
const spiceTolerance = 1e-9

func compare(t *testing.T, which string, m *harness.Machine, answer map[harness.Point]float64) {
	worst := 0.0
	for _, p := range m.Harness().Points() {
		if p == harness.Body {
			continue
		}
		want, ok := answer[p]
		require.True(t, ok, "%s: no answer for %s", which, p)
		worst = max(worst, math.Abs(want-m.Volts(p)))
		assert.InDelta(t, want, m.Volts(p), spiceTolerance, "%s: %s", which, p)
	}
	t.Logf("%s: largest difference %.2g V", which, worst)
}
