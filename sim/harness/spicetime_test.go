package harness_test

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

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// The story of TestTractorInTime, in seconds: key, lamp switch on, lamp switch off. A relay pulls in 7 ms after its coil has what it needs
// and lets go 5 ms after it has lost it, as sample.Tractor's relay is given.
const (
	keyOn, lampsOn, lampsOff, spiceEnd = 0.01, 0.02, 0.29985, 0.4
	pullsIn, letsGo                    = lampsOn + 0.007, lampsOff + 0.005
)

// inTimeVolts is what both programs may differ by: 0.3 % of the supply, by which a straight line between two rows of tungsten's resistivity lies above
// the model's smooth curve. inTimeShare is the same for a kick, of its size: ngspice's switch opens in 1 µs, in which the coil loses 0.4 %.
const inTimeVolts, inTimeShare = 3e-3 * 12.65, 0.01

// spiceSees are the points whose voltages are compared, from the battery to the lamps' ground.
var spiceSees = []harness.Point{"BAT.30", "S1", "S2", "XK1.86.b", "XK1.87.b", "S3", "XLL.1.b", "S4", "XTT.1.b", "G1"}

// filamentKilograms is the mass of the filament of 12 V and 55 W in that deck.
const filamentKilograms = 3.67876088984e-05

// filamentParts takes the model of a filament out of a deck of sim/device, where its figures have their sources and are compared for a lamp alone, and
// makes a part of it for any rating: resistance P/V² anew, and the mass as P^(5/3), for d³ goes with P² and the mass with d⁴/P at one voltage.
func filamentParts(t *testing.T) string {
	text, err := os.ReadFile("../../testdata/device/ngspice/inrush.cir")
	require.NoError(t, err)
	_, rest, ok := strings.Cut(string(text), "bohms")
	require.True(t, ok)
	body, _, ok := strings.Cut(rest, ".options")
	require.True(t, ok)
	for _, change := range [][2]string{
		{"v=2.61818181818*", "v={hot}*"}, {"-55*", "-{watts}*"}, {"/3.67876088984e-05/", "/{mass}/"},
		{"blamp l 0 i=v(l,0)", "blamp l minus i=v(l,minus)"}, {"(v(l,0)*", "(v(l,minus)*"},
	} {
		require.Equal(t, 1, strings.Count(body, change[0]), change[0])
		body = strings.Replace(body, change[0], change[1], 1)
	}
	return ".subckt filament plus minus watts=55 hot=1 mass=1\nvlamp plus l 0\nbohms" + body + ".ends\n"
}

// fuseParts is a fuse: its resistance grows with its heat, which follows the square of its current (sim/device, melt). The 10 µs in between let ngspice over
// the steps of the current.
const fuseParts = `.subckt fuse a b cold=1 rise=0 bears=1 share=1 fast=1 slow=1
vsense a m 0
bfuse m b v=i(vsense)*{cold}*(1+{rise}*v(heat))
bx 0 x i=(i(vsense)/{bears})^2
rx x 0 1
cx x 0 10u ic=0
bfast 0 fast i=(v(x)-v(fast))/{fast}
cfast fast 0 1 ic=0
bslow 0 slow i=(v(x)-v(slow))/{slow}
cslow slow 0 1 ic=0
bheat heat 0 v={share}*v(fast)+(1-{share})*v(slow)
.ends
`

// tractorInTime writes the tractor as a deck that goes through the story.
func tractorInTime(t *testing.T, h *harness.Harness) string {
	d := &deck{nodes: map[harness.Point]int{}}
	d.text.WriteString("* dock tractor of the tests: key, lamps on, lamps off\n")
	d.network(h, nil)
	add := func(format string, args ...any) { fmt.Fprintf(&d.text, format+"\n", args...) }
	at := func(component, terminal string) string { return d.node(h.Terminal(component, terminal)) }
	between := func(component, a, b string) string { return at(component, a) + " " + at(component, b) }
	add("vbat vb %s 12.65", at("BAT", "31"))
	add("rbat vb %s 0.01", at("BAT", "30"))
	add(".model contact sw(vt=0.5 vh=0.1 ron=0.01 roff=1e9)")
	add(".model maker sw(vt=0.5 vh=0.1 ron=5m roff=1e9)")
	for _, s := range []struct {
		name, pins, model string
		on, off           float64
	}{
		{"key", between("S-KEY", "30", "15"), "contact", keyOn, 9}, {"lamps", between("S-LAMP", "in", "out"), "contact", lampsOn, lampsOff},
		{"k1", between("K1", "30", "87"), "maker", pullsIn, letsGo},
	} {
		add("s%s %s c%s 0 %s", s.name, s.pins, s.name, s.model)
		add("v%s c%s 0 pulse(0 1 %g 1u 1u %g 20)", s.name, s.name, s.on, s.off-s.on)
	}
	// Coil of 100 Ω: losses of twenty times that beside the winding's copper and 5 ms of inductance.
	add("rloss %s 2000", between("K1", "86", "85"))
	add("rcopper %s coil 105.263157894737", at("K1", "86"))
	add("lcoil coil %s 0.5 ic=0", at("K1", "85"))
	// Fuses after data sheets and ISO 8820-3, see sim/device/fuse.go.
	add("xf0 %s fuse cold=1.4m rise={0.34*1.22**2} bears={1.22*40} share=0.35 fast=1.19 slow=200", between("F0", "1", "2"))
	add("xf1 %s fuse cold=4.6m rise={0.478*1.2**2} bears={1.2*15} fast=1.43", between("F1", "1", "2"))
	add("xf2 %s fuse cold=7.7m rise={0.416*1.2**2} bears={1.2*10} fast=1.43", between("F2", "1", "2"))
	for _, id := range []string{"LL", "LR", "TT"} {
		watts := 55.0
		if id == "TT" {
			watts = 2
		}
		add("x%s %s filament watts=%g hot=%.12g mass=%.12g", strings.ToLower(id), between(id, "in", "out"), watts, 144/watts,
			filamentKilograms*math.Pow(watts/55, 5.0/3))
	}
	for _, p := range h.Points() {
		if p != harness.Body {
			add("rl%s %s 0 1e12", d.node(p), d.node(p))
		}
	}
	d.text.WriteString(fuseParts)
	d.text.WriteString(filamentParts(t))
	var seen []string
	for _, p := range spiceSees {
		seen = append(seen, "v("+d.node(p)+")")
	}
	list := strings.Join(seen, " ")
	add(".options reltol=1e-5 abstol=1e-9 vntol=1e-6 method=gear\n.control\nset numdgt=8\nset wr_singlescale\ntran 2m %g 0 20u uic\nlinearize %s\nwrdata out %s\nquit 0\n.endc\n.end",
		spiceEnd, list, list)
	return d.text.String()
}

// timeAnswer has ngspice go through a deck, or reads what it said before.
func timeAnswer(t *testing.T, name, text string) [][]float64 {
	kept := filepath.Join(spiceFolder, name)
	program, err := exec.LookPath("ngspice")
	if live := err == nil && runtime.GOOS != "js"; live {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, "deck.cir"), []byte(text), 0o644))
		run := exec.Command(program, "-b", "deck.cir")
		run.Dir = dir
		said, err := run.CombinedOutput()
		require.NoError(t, err, string(said))
		out, err := os.ReadFile(filepath.Join(dir, "out"))
		require.NoError(t, err, string(said))
		if *update {
			require.NoError(t, os.WriteFile(kept+".cir", []byte(text), 0o644))
			require.NoError(t, os.WriteFile(kept+".txt", out, 0o644))
		}
		return numbers(t, string(out))
	}
	require.False(t, os.Getenv("CI") == "true" && runtime.GOOS != "js", "ngspice is not on this machine; CI must install it")
	out, err := os.ReadFile(kept + ".txt")
	require.NoError(t, err)
	return numbers(t, string(out))
}

func numbers(t *testing.T, text string) [][]float64 {
	var all [][]float64
	for line := range strings.Lines(text) {
		var row []float64
		for _, f := range strings.Fields(line) {
			x, err := strconv.ParseFloat(f, 64)
			require.NoError(t, err)
			row = append(row, x)
		}
		all = append(all, row)
	}
	require.NotEmpty(t, all)
	return all
}

// TestTractorInTime goes through time beside ngspice with the whole tractor, each program with its own steps: the key, the lamp switch, the relay that pulls in,
// two cold headlamps and a tell-tale, the sag of the supply, the lamp switch off, the coil's kick, and the relay letting go.
func TestTractorInTime(t *testing.T) {
	h := sample.Tractor()
	deck := tractorInTime(t, h)
	answer := timeAnswer(t, "in-time", deck)
	kept, err := os.ReadFile(filepath.Join(spiceFolder, "in-time.cir"))
	require.NoError(t, err)
	require.Equal(t, string(kept), deck, "the deck has changed: -update")
	m := newTractor(t)
	require.NoError(t, m.Settle())
	now, clicks := 0.0, []float64(nil)
	run := func(until float64) {
		if until > now {
			events, err := m.Run(until - now)
			require.NoError(t, err)
			for _, e := range events {
				if e.Component == "K1" {
					clicks = append(clicks, now+e.Seconds)
				}
			}
			now = until
		}
	}
	story := []struct {
		at       float64
		control  string
		position string
	}{{keyOn, "key", "on"}, {lampsOn, "lamps", "on"}, {lampsOff, "lamps", "off"}}
	worst := make([]float64, len(spiceSees))
	lowest, kick := math.Inf(1), 0.0
	for _, row := range answer {
		at := row[0]
		for len(story) > 0 && story[0].at <= at {
			run(story[0].at)
			require.NoError(t, m.Operate(story[0].control, story[0].position))
			story = story[1:]
		}
		run(at)
		edge := false
		for _, e := range []float64{keyOn, lampsOn, pullsIn, lampsOff, letsGo} {
			edge = edge || math.Abs(at-e) < 1e-4
		}
		if edge || at < keyOn {
			continue
		}
		lowest, kick = min(lowest, row[1]), min(kick, row[4])
		for i, p := range spiceSees {
			off, allowed := math.Abs(row[1+i]-m.Volts(p)), inTimeVolts+inTimeShare*max(0, -row[1+i])
			worst[i] = max(worst[i], off)
			assert.LessOrEqual(t, off, allowed, "%s at %g s: want %g V, got %g V", p, at, row[1+i], m.Volts(p))
		}
	}
	t.Logf("%d moments; battery down to %.2f V, kick %.1f V; at most %.2g V apart", len(answer), lowest, kick, worst)
	assert.Less(t, lowest, 12.0, "the inrush makes the battery sag")
	assert.Less(t, kick, -100.0, "the coil kicks")
	require.Len(t, clicks, 2)
	assert.InDelta(t, pullsIn, clicks[0], 1e-6, "pulls in")
	assert.InDelta(t, letsGo, clicks[1], 1e-6, "lets go")
}
