package harness_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

func TestPoints(t *testing.T) {
	h := sample.Tractor()
	points := h.Points()
	require.Equal(t, points, h.Points(), "the order is fixed")
	assert.Equal(t, []harness.Point{"XF0.1.a", "XF0.1.b", "XF0.2.a", "XF0.2.b", "XF1.1.a"}, points[:5])
	assert.Equal(t, []harness.Point{"G1", "G1.29", "G1.43", "G2", "G2.33", "G2.35", "BAT.30", "BAT.30.10", "BAT.31", "BAT.31.50", "body"},
		points[len(points)-11:])
	// By hand: 10 plugs of 2 cavities, one of 5, two in-line of 2, each with two halves: 58. 5 splices, 3 studs with 5 rings, 2 posts
	// with a ring each, and the body.
	assert.Len(t, points, 58+5+3+5+4+1)
	sorted := slices.Clone(points)
	slices.Sort(sorted)
	assert.Len(t, slices.Compact(sorted), len(points))

	infos := h.Infos()
	for i, info := range infos {
		assert.Equal(t, points[i], info.Point)
		assert.NotEmpty(t, info.Title, info.Point)
		assert.Equal(t, info, h.PointInfo(info.Point))
	}
	assert.Equal(t, harness.Info{Point: "nowhere"}, h.PointInfo("nowhere"))
}

func TestPointInfo(t *testing.T) {
	m := newTractor(t)
	for _, want := range []harness.Info{
		{Point: "X2.1.b", Kind: harness.CavityHalf, Connector: "X2", Cavity: "1", Half: "b", Wires: []string{"23"}, Title: "cavity 1 of X2, half b"},
		{Point: "XLL.1.a", Kind: harness.CavityHalf, Connector: "XLL", Cavity: "1", Half: "a", Wires: []string{"24"}, Title: "cavity 1 of XLL, loom side"},
		{Point: "XLL.1.b", Kind: harness.CavityHalf, Connector: "XLL", Cavity: "1", Half: "b", Component: "LL", Terminal: "in",
			Title: "terminal in of LL (cavity 1 of XLL)"},
		{Point: "XK1.87.b", Kind: harness.CavityHalf, Connector: "XK1", Cavity: "87", Half: "b", Component: "K1", Terminal: "87", Title: "pin 87 of K1"},
		{Point: "XF1.2.b", Kind: harness.CavityHalf, Connector: "XF1", Cavity: "2", Half: "b", Component: "F1", Terminal: "2", Title: "test point 2 of fuse F1"},
		{Point: "S3", Kind: harness.SplicePoint, Splice: "S3", Wires: []string{"23", "24", "25"}, Title: "splice S3"},
		{Point: "G1", Kind: harness.GroundStud, Ground: "G1", Wires: []string{"29", "43"}, Title: "stud of ground point G1"},
		{Point: "G1.43", Kind: harness.GroundRing, Ground: "G1", Wires: []string{"43"}, Title: "ring terminal of wire 43 on ground point G1"},
		{Point: "BAT.30", Kind: harness.PostStud, Component: "BAT", Terminal: "30", Wires: []string{"10"}, Title: "stud 30 of BAT"},
		{Point: "BAT.30.10", Kind: harness.PostRing, Component: "BAT", Terminal: "30", Wires: []string{"10"}, Title: "ring terminal of wire 10 on stud 30 of BAT"},
		{Point: "body", Kind: harness.BodyMetal, Title: "bare metal of the body"},
	} {
		assert.Equal(t, want, m.Info(want.Point))
	}
}

func TestEndsAndTerminals(t *testing.T) {
	h := sample.Tractor()
	wire := func(id string) harness.Wire {
		return h.Wires[slices.IndexFunc(h.Wires, func(w harness.Wire) bool { return w.ID == id })]
	}
	from, to := h.Ends(wire("10"))
	assert.Equal(t, [2]harness.Point{"BAT.30.10", "XF0.1.a"}, [2]harness.Point{from, to})
	from, to = h.Ends(wire("29"))
	assert.Equal(t, [2]harness.Point{"X2.2.a", "G1.29"}, [2]harness.Point{from, to})
	assert.Equal(t, [2]harness.Point{"S3", "XLL.1.a"}, h.AllEnds()[slices.Index(h.Wires, wire("24"))])
	assert.Equal(t, harness.Point("XK1.87.b"), h.Terminal("K1", "87"))
	assert.Equal(t, harness.Point("BAT.30"), h.Terminal("BAT", "30"))
	assert.Empty(t, h.Terminal("BAT", "87"))
	positive, negative, ok := h.Supply()
	assert.Equal(t, []any{harness.Point("BAT.30"), harness.Point("BAT.31"), true}, []any{positive, negative, ok})
	_, _, ok = (&harness.Harness{}).Supply()
	assert.False(t, ok)
}

func TestLimbs(t *testing.T) {
	h := sample.Tractor()
	limbs := h.Limbs()
	assert.Equal(t, []harness.Limb{"wire 10", "crimp BAT.30.10", "crimp XF0.1.a", "wire 11", "crimp XF0.2.a", "splice S1 11"}, limbs[:6])
	for _, want := range []harness.Limb{"cavity X1.2", "ring G1.43", "ring BAT.31.50", "ground G2", "splice S4 28", "crimp X2.2.b"} {
		assert.Contains(t, limbs, want)
	}
	m := newTractor(t)
	for _, l := range limbs {
		require.NoError(t, m.Alter([]harness.Alteration{harness.SeriesOhms{Where: l, Ohms: 1}}), string(l))
	}
}

// TestSeriesLimbs: a break puts out the lamps whose way leads through that limb, and no others.
func TestSeriesLimbs(t *testing.T) {
	m := newTractor(t)
	operate(t, m, "key", "on", "lamps", "on")
	for limb, want := range map[string][2]string{
		"crimp XLL.1.a": {"off", "lit"}, "splice S3 24": {"off", "lit"}, "cavity XLR.2": {"lit", "off"},
		"crimp X2.2.b": {"off", "off"}, "ring G1.29": {"off", "off"}, "ring G1.43": {"lit", "lit"}, "ground G1": {"off", "off"},
		"crimp BAT.30.10": {"off", "off"}, "ground G2": {"", ""},
	} {
		require.NoError(t, m.Alter([]harness.Alteration{series(limb, harness.Broken)}))
		err := m.Settle()
		if want[0] == "" {
			require.ErrorIs(t, err, harness.ErrRestless, "the coil's current comes back through the tell-tale: the relay buzzes")
			continue
		}
		require.NoError(t, err, limb)
		assert.Equal(t, want, [2]string{m.EffectOf("LL").Word, m.EffectOf("LR").Word}, limb)
	}
}

func TestReach(t *testing.T) {
	m := newTractor(t)
	relay := "K1 sits on its socket: pull it out to get at "
	for _, c := range []struct {
		state string // "", "pulled", "opened"
		point harness.Point
		why   string
	}{
		{"", "X2.1.a", ""}, {"", "X2.1.b", ""}, {"pulled", "X2.1.a", ""}, {"pulled", "X2.1.b", ""},
		{"", "XLL.1.a", ""}, {"", "XLL.1.b", "the terminal is inside LL: unplug XLL to get at it"},
		{"pulled", "XLL.1.a", ""}, {"pulled", "XLL.1.b", ""},
		{"", "XK1.86.a", relay + "this cavity"}, {"", "XK1.86.b", relay + "its pins"},
		{"pulled", "XK1.86.a", ""}, {"pulled", "XK1.86.b", ""},
		{"", "XF1.1.b", ""}, {"", "XF1.2.b", ""},
		{"", "XF1.1.a", "fuse F1 sits in its holder: pull it out to get at this cavity, or use the test points on its back"},
		{"pulled", "XF1.1.a", ""}, {"pulled", "XF1.1.b", ""},
		{"", "S3", "splice S3 is inside the loom: open the loom to get at it"}, {"opened", "S3", ""},
		{"", "G1", ""}, {"", "G1.29", ""}, {"", "BAT.30", ""}, {"", "BAT.30.10", ""}, {"", "body", ""},
		{"", "X9.1.a", `there is no point "X9.1.a" here`},
	} {
		info := m.Info(c.point)
		switch c.state {
		case "pulled":
			require.NoError(t, m.Unplug(info.Connector))
		case "opened":
			m.OpenLoom(info.Splice)
		}
		ok, why := m.Reach(c.point)
		assert.Equal(t, c.why, why, "%s %s", c.state, c.point)
		assert.Equal(t, c.why == "", ok)
		if info.Connector != "" {
			require.NoError(t, m.Plug(info.Connector))
		}
		m.CloseLoom(info.Splice)
	}
	operate(t, m, "key", "on")
	ok, _ := m.Reach("S3")
	assert.False(t, ok, "a control changes no reach")
}
