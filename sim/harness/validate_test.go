package harness_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/sim/device"
	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

// TestValidate spoils one thing of a good harness at a time; the error names it and says what would be right.
func TestValidate(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(h *harness.Harness)
		want  string
	}{
		"volts":              {func(h *harness.Harness) { h.Vehicle.Volts = 0 }, "nominal supply must be above 0"},
		"ambient":            {func(h *harness.Harness) { h.Vehicle.Celsius = math.NaN() }, "ambient temperature must be from -60 to 150"},
		"kind":               {func(h *harness.Harness) { h.Components[7].Spec.Kind = "warp" }, `component "K1": unknown kind "warp"; want one of battery, fuse`},
		"value":              {func(h *harness.Harness) { h.Components[8].Spec.Values["power"] = -1 }, `component "LL": lamp: power must be from 0.1 to 1000 W (got -1)`},
		"two components":     {func(h *harness.Harness) { h.Components[9].ID = "LL" }, `component "LL": the id is taken by another component`},
		"id taken":           {func(h *harness.Harness) { h.Splices[0].ID = "G1" }, `ground point "G1": the id is taken by another splice`},
		"id body":            {func(h *harness.Harness) { h.Grounds[0].ID = "body" }, `the id is taken by the body`},
		"id with dot":        {func(h *harness.Harness) { h.Connectors[3].ID = "X.1" }, `connector "X.1": id must be of letters, digits`},
		"id empty":           {func(h *harness.Harness) { h.Wires[0].ID = "" }, "id must not be empty"},
		"wire a":             {func(h *harness.Harness) { h.Wires[0].ID = "a" }, "a and b name the halves"},
		"no control":         {func(h *harness.Harness) { h.Components[4].Control = "lever" }, `there is no control "lever"`},
		"no such position":   {func(h *harness.Harness) { h.Controls[0].Positions[1] = "start" }, `has a position "start" that the component lacks; it has off, on`},
		"cannot be moved":    {func(h *harness.Harness) { h.Components[8].Control = "key" }, `a filament lamp has no positions`},
		"idle control":       {func(h *harness.Harness) { h.Components[4].Control = "" }, `control "key": moves no component`},
		"one position":       {func(h *harness.Harness) { h.Controls[1].Positions = h.Controls[1].Positions[:1] }, "needs at least 2 positions (got 1)"},
		"mount":              {func(h *harness.Harness) { h.Connectors[11].Mount = "glued" }, `mount must be in-line, plug, socket or holder (got "glued")`},
		"in-line component":  {func(h *harness.Harness) { h.Connectors[11].Component = "LL" }, `an in-line connector has no component`},
		"no component":       {func(h *harness.Harness) { h.Connectors[7].Component = "ZZ" }, `there is no component "ZZ"`},
		"lamp in a holder":   {func(h *harness.Harness) { h.Connectors[7].Mount = harness.Holder }, `a holder holds a fuse; "LL" is of kind "lamp"`},
		"no such terminal":   {func(h *harness.Harness) { h.Connectors[7].Cavities[0].Terminal = "56a" }, `"LL" has no terminal "56a"; it has in, out`},
		"terminal twice":     {func(h *harness.Harness) { h.Connectors[7].Cavities[1].Terminal = "in" }, `terminal "in" of "LL" is already at XLL.1.b`},
		"cavity twice":       {func(h *harness.Harness) { h.Connectors[7].Cavities[1].Number = "1" }, `cavity "1" is there twice`},
		"no cavities":        {func(h *harness.Harness) { h.Connectors[12].Cavities = nil }, "needs at least one cavity"},
		"contact":            {func(h *harness.Harness) { h.Connectors[12].Ohms = -1 }, "(got -1)"},
		"length":             {func(h *harness.Harness) { h.Wires[3].Metres = 0 }, `wire "13": length must be above 0`},
		"size":               {func(h *harness.Harness) { h.Wires[3].Size = -2 }, "size must be above 0 and at most 240 mm² (got -2)"},
		"colour":             {func(h *harness.Harness) { h.Wires[3].Colour = "RED" }, `must be a code of IEC 60757`},
		"two tracers":        {func(h *harness.Harness) { h.Wires[3].Colour = "RD/WH/BK" }, "at most one tracer"},
		"end nowhere":        {func(h *harness.Harness) { h.Wires[3].To = "XS9.1.a" }, `to "XS9.1.a" is no cavity half`},
		"end at the body":    {func(h *harness.Harness) { h.Wires[15].To = "body" }, "a wire ends on a ground point, not on bare metal"},
		"end at a component": {func(h *harness.Harness) { h.Wires[11].To = "XLR.1.b" }, "is the component's own half"},
		"cavity used twice":  {func(h *harness.Harness) { h.Wires[11].To = "XLL.1.a" }, `holds wire "24" already; a cavity takes one wire`},
		"another's ring":     {func(h *harness.Harness) { h.Wires[15].To = "G2.33" }, `is the ring terminal of wire "33"`},
		"loop":               {func(h *harness.Harness) { h.Wires[11].To = "S3" }, "both ends are at S3"},
		"splice of two":      {func(h *harness.Harness) { h.Wires[10].From = "S4" }, `splice "S3": joins at least 3 wire ends (got 2)`},
		"check control":      {func(h *harness.Harness) { h.Check[0].Set[0].Control = "gear" }, `check line 1: there is no control "gear"`},
		"check position":     {func(h *harness.Harness) { h.Check[0].Set[0].Position = "up" }, `has no position "up"; it has off, on`},
		"check twice":        {func(h *harness.Harness) { h.Check[2].Set[1] = h.Check[2].Set[0] }, `control "key" is set twice`},
		"check nothing":      {func(h *harness.Harness) { h.Check[0].Expect = nil }, "check line 1: expects nothing"},
		"check component":    {func(h *harness.Harness) { h.Check[0].Expect[0].Component = "ZZ" }, `there is no component "ZZ"`},
		"check word":         {func(h *harness.Harness) { h.Check[0].Expect[0].Word = "blue" }, `"LL" is never "blue"; a filament lamp is off, faint, dim, lit`},
		"check unnoticed":    {func(h *harness.Harness) { h.Check[0].Expect[0].Component = "BAT" }, `nothing is noticed of "BAT"`},
		"access":             {func(h *harness.Harness) { h.Components[0].Access = -1 }, "bench time for access must be from 0"},
	} {
		h := sample.Tractor()
		c.spoil(h)
		var all []string
		for _, err := range h.Validate() {
			all = append(all, err.Error())
		}
		found := false
		for _, text := range all {
			found = found || strings.Contains(text, c.want)
		}
		assert.True(t, found, "%s: want %q in %q", name, c.want, all)
		_, err := harness.NewMachine(h)
		require.Error(t, err, name)
	}
	assert.NotEmpty(t, (&harness.Harness{Connectors: []harness.Connector{{}}, Wires: []harness.Wire{{}}, Check: []harness.CheckLine{{}}}).Validate())
}

// TestOwnName: a plug may carry the id of its component, and a component of a kind that names its terminals need not list them.
func TestOwnName(t *testing.T) {
	h := &harness.Harness{
		ID: "small", Vehicle: harness.Vehicle{Volts: 12, Celsius: 20},
		Components: []harness.Component{
			{ID: "BAT", Spec: device.Spec{Kind: "battery"}},
			{ID: "L", Spec: device.Spec{Kind: "lamp", Values: map[string]float64{"power": 5}}},
		},
		Connectors: []harness.Connector{{ID: "L", Mount: harness.Plug, Component: "L", Cavities: []harness.Cavity{{"1", "in"}, {"2", "out"}}}},
		Wires: []harness.Wire{
			{ID: "1", From: "BAT.30", To: "L.1.a", Metres: 1, Size: 1, Colour: "RD"},
			{ID: "2", From: "L.2.a", To: "BAT.31", Metres: 1, Size: 1, Colour: "GNYE"},
		},
		Check: []harness.CheckLine{{Expect: []harness.Expect{{Component: "L", Word: "lit"}}}},
	}
	require.Empty(t, h.Validate())
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	ok, _, err := m.CheckPasses(0)
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, []harness.Point{"L.1.a", "L.1.b", "L.2.a", "L.2.b", "BAT.30", "BAT.30.1", "BAT.31", "BAT.31.2", "body"}, h.Points())
}
