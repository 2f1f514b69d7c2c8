package device_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spice runs a deck of ngspice and returns the numbers that its wrdata wrote, row by row. The deck writes to the file "out". The
// numbers of the last run are kept beside the deck in testdata/device/ngspice and serve where ngspice is not installed;
// under CI it must be.
func spice(t *testing.T, name, deck string) [][]float64 {
	kept := filepath.Join("..", "..", "testdata", "device", "ngspice", name)
	program, err := exec.LookPath("ngspice")
	if err != nil {
		if runtime.GOOS != "js" { // where no program can be run
			require.Empty(t, os.Getenv("CI"), "ngspice must be installed under CI")
		}
		before, err := os.ReadFile(kept + ".cir")
		require.NoError(t, err)
		require.Equal(t, string(before), deck, "the deck has changed: run this test where ngspice is")
		answer, err := os.ReadFile(kept + ".txt")
		require.NoError(t, err)
		return rows(t, string(answer))
	}
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "deck.cir"), []byte(deck), 0o644))
	run := exec.Command(program, "-b", "deck.cir")
	run.Dir = dir
	said, err := run.CombinedOutput()
	require.NoError(t, err, "%s", said)
	answer, err := os.ReadFile(filepath.Join(dir, "out"))
	require.NoError(t, err, "%s", said)
	if os.Getenv("UPDATE") != "" {
		require.NoError(t, os.WriteFile(kept+".cir", []byte(deck), 0o644))
		require.NoError(t, os.WriteFile(kept+".txt", answer, 0o644))
	}
	before, err := os.ReadFile(kept + ".cir")
	require.NoError(t, err, "keep the answers with UPDATE=1")
	require.Equal(t, string(before), deck, "the deck has changed: keep the new answers with UPDATE=1")
	return rows(t, string(answer))
}

func rows(t *testing.T, text string) [][]float64 {
	var all [][]float64
	for line := range strings.Lines(text) {
		var row []float64
		for _, f := range strings.Fields(line) {
			row = append(row, number(t, f))
		}
		all = append(all, row)
	}
	require.NotEmpty(t, all)
	return all
}

// The diode in series with 10 Ω, swept from 24 V backwards to 24 V ahead, against ngspice's own diode with the same parameters.
func TestDiodeAgainstNgspice(t *testing.T) {
	d := diode(t, nil)
	_, saturation, n, series := device.DiodeLaw(d)
	deck := fmt.Sprintf(`diode through 10 ohm
vin in 0 0
r1 in d 10
rleak d 0 1e8
d1 d 0 rectifier
.model rectifier d (is=%.12g n=%.12g rs=%.12g)
.options temp=25 tnom=25 reltol=1e-10 abstol=1e-18 vntol=1e-12 gmin=1e-18 itl1=1000 itl2=1000
.control
set numdgt=15
set wr_singlescale
dc vin -24 24 0.25
wrdata out v(d)
quit 0
.endc
.end
`, saturation, n, series)
	answer := spice(t, "diode", deck)
	r := newRig(t, 1).add(d, 1, 0)
	source := r.branch(1, 0, circuit.Source{EMF: 0, Ohms: 10})
	r.compile()
	worst := 0.0
	for _, row := range answer {
		r.solver.SetEMF(source, row[0])
		r.settle()
		worst = max(worst, math.Abs(r.volts(1)-row[1]))
		// ngspice's own kT/q is of older constants, some parts in a million of the drop.
		assert.InDelta(t, row[1], r.volts(1), 1e-6, "%g V", row[0])
	}
	t.Logf("%d points, at most %.2g V apart", len(answer), worst)
}
