package circuit_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/circuit"
)

// deck writes a circuit in the language of ngspice, leakage and all, with the given analysis and what to save. Node k is called
// nk. Tolerances are tightened so that what is left between both programs is rounding.
func deck(title string, net *circuit.Netlist, analysis string) string {
	return deckWith(title, net, nil, "reltol=1e-10 abstol=1e-16 vntol=1e-12 chgtol=1e-20", analysis)
}

// deckWith is deck for circuits in motion: sources follow the given corners (time in seconds, volts).
func deckWith(title string, net *circuit.Netlist, drive map[circuit.ID][][2]float64, options, analysis string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "* %s\n", title)
	for id := range net.Branches() {
		p, q, br := net.Branch(circuit.ID(id))
		switch br := br.(type) {
		case circuit.Resistor:
			if !math.IsInf(br.Ohms, 1) {
				fmt.Fprintf(&b, "R%d n%d n%d %.17g\n", id, p, q, br.Ohms)
			}
		case circuit.Source:
			emf := fmt.Sprintf("%.17g", br.EMF)
			if corners := drive[circuit.ID(id)]; corners != nil {
				emf = "pwl("
				for _, c := range corners {
					emf += fmt.Sprintf("%.17g %.17g ", c[0], c[1])
				}
				emf += ")"
			}
			fmt.Fprintf(&b, "V%d m%d n%d %s\nR%d n%d m%d %.17g\n", id, id, q, emf, id, p, id, br.Ohms)
		case circuit.Injection:
			fmt.Fprintf(&b, "I%d n%d n%d %.17g\n", id, p, q, br.Amps)
		case circuit.Capacitor:
			fmt.Fprintf(&b, "C%d m%d n%d %.17g\nR%d n%d m%d %.17g\n", id, id, q, br.Farads, id, p, id, br.Ohms)
		case circuit.Inductor:
			fmt.Fprintf(&b, "L%d m%d n%d %.17g\nR%d n%d m%d %.17g\n", id, id, q, br.Henries, id, p, id, br.Ohms)
		case circuit.Curve:
			switch law := br.Law.(type) {
			case *junction:
				fmt.Fprintf(&b, "D%d n%d n%d d%d\n.model d%d d(is=%.17g n=%.17g)\n", id, p, q, id, id, law.is, law.nvt/deckThermal)
			case *filament:
				v := fmt.Sprintf("(v(n%d,n%d)/%.17g)", p, q, law.v0)
				fmt.Fprintf(&b, "B%d n%d n%d I=%.17g*%s*exp(-0.225*ln(%s*%s+%.17g))\n", id, p, q, law.i0, v, v, v, filamentBend)
			default:
				panic("no such law in a deck")
			}
		}
	}
	for n := 1; n < net.Nodes(); n++ {
		fmt.Fprintf(&b, "Rleak%d n%d 0 %.17g\n", n, n, 1/circuit.LeakSiemens)
	}
	s := strings.ReplaceAll(b.String(), "n0 ", "0 ")
	s = strings.ReplaceAll(s, ",n0)", ",0)")
	s = strings.ReplaceAll(s, "(n0,", "(0,")
	return s + ".options " + options + " gmin=1e-18 temp=27 tnom=27 itl1=1000\n" +
		".control\n" + analysis + "\nset filetype=ascii\nset numdgt=16\nwrite out.raw all\nquit 0\n.endc\n.end\n"
}

// deckThermal is kT/q at 27 °C with the constants that ngspice 39 has, which are those of CODATA 2014.
const deckThermal = 1.38064852e-23 * 300.15 / 1.6021766208e-19

// rawFile is the ASCII form of an ngspice raw file: the names of its vectors and for each point their values.
type rawFile struct {
	names  []string
	points [][]float64
}

func (r *rawFile) column(name string) int {
	for i, n := range r.names {
		if n == name {
			return i
		}
	}
	return -1
}

// runDeck runs ngspice on a deck. It reports false where there is no ngspice; that is an error where CI is true.
func runDeck(t testing.TB, text string) (*rawFile, bool) {
	t.Helper()
	if runtime.GOOS == "js" {
		return nil, false // no processes there
	}
	program, err := exec.LookPath("ngspice")
	if err != nil {
		require.NotEqual(t, "true", os.Getenv("CI"), "ngspice is not on PATH")
		return nil, false
	}
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "in.cir"), []byte(text), 0o600))
	cmd := exec.Command(program, "-b", "in.cir")
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	data, err := os.ReadFile(filepath.Join(dir, "out.raw"))
	require.NoError(t, err, "%s", out)
	return parseRaw(t, string(data)), true
}

func parseRaw(t testing.TB, data string) *rawFile {
	t.Helper()
	head, body, ok := strings.Cut(data, "Values:\n")
	require.True(t, ok, "raw file without values")
	r := &rawFile{}
	_, vars, _ := strings.Cut(head, "Variables:\n")
	for _, line := range strings.Split(strings.TrimSpace(vars), "\n") {
		r.names = append(r.names, strings.Fields(line)[1])
	}
	words := strings.Fields(body)
	for len(words) > len(r.names) {
		words = words[1:] // the point's number
		var point []float64
		for _, w := range words[:len(r.names)] {
			x, err := strconv.ParseFloat(w, 64)
			require.NoError(t, err)
			point = append(point, x)
		}
		r.points = append(r.points, point)
		words = words[len(r.names):]
	}
	require.NotEmpty(t, r.points)
	return r
}
