package scenarios_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/scenarios"
)

// good is the smallest harness with one of everything that the tests below break.
const good = `harness: small
title: Small
vehicle: {fleet: HL-9, title: launch, supply: 12 V}
components:
  BAT: {kind: battery, title: Battery}
  F1: {kind: fuse, title: Fuse, rating: 10 A}
  SW: {kind: switch, title: Switch, positions: {off: nothing, on: 1-2}}
  LA: {kind: lamp, title: Lamp A, power: 10 W}
  LB: {kind: lamp, title: Lamp B, power: 10 W}
connectors:
  X1: {cavities: [1, 2]}
splices:
  S1: {access: 5 min}
grounds:
  G1: {title: Ground}
wires:
  1: {from: BAT.30, to: F1.1, length: 1 m, size: 2.5 mm2, colour: RD}
  2: {from: F1.2, to: SW.1, length: 1 m, size: 2.5 mm2, colour: RD/WH}
  3: {from: SW.2, to: X1.1.a, length: 1 m, size: 2.5 mm2, colour: GN}
  4: {from: X1.1.b, to: S1, length: 1 m, size: 2.5 mm2, colour: GN}
  5: {from: S1, to: LA.in, length: 1 m, size: 1 mm2, colour: GN}
  6: {from: S1, to: LB.in, length: 1 m, size: 1 mm2, colour: GN}
  7: {from: LA.out, to: G1, length: 1 m, size: 1 mm2, colour: BN}
  8: {from: LB.out, to: G1, length: 1 m, size: 1 mm2, colour: BN}
  9: {from: BAT.31, to: G1, length: 1 m, size: 16 mm2, colour: BK}
check:
  - set: {SW: on}
    expect: {LA: lit, LB: lit}
`

// load loads the harness in text, with other files beside it.
func load(text string, others map[string]string) error {
	fsys := fstest.MapFS{"h.yaml": {Data: []byte(text)}}
	for name, data := range others {
		fsys[name] = &fstest.MapFile{Data: []byte(data)}
	}
	_, err := scenarios.Load(fsys, "h.yaml")
	return err
}

func TestGoodHarnessLoads(t *testing.T) {
	require.NoError(t, load(good, nil))
}

// swap replaces the one place where old stands in good.
func swap(t *testing.T, old, new string) string {
	t.Helper()
	require.Equal(t, 1, strings.Count(good, old), "%q must stand once in the good harness", old)
	return strings.Replace(good, old, new, 1)
}

// TestErrors breaks the good harness in one way at a time. Each message has file, line and column, the value, and what would be right.
func TestErrors(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"unknown key", "title: Lamp A, power: 10 W", "title: Lamp A, pwoer: 10 W",
			`h.yaml:8:35: component "LA": unknown key "pwoer"; did you mean "power"?`},
		{"unknown key at the top", "splices:", "splice:", `h.yaml:12:1: harness: unknown key "splice"; did you mean "splices"?`},
		{"american spelling", "size: 2.5 mm2, colour: RD}", "size: 2.5 mm2, color: RD}",
			`h.yaml:17:59: wire "1": unknown key "color"; did you mean "colour"?`},
		{"missing key", "title: Fuse, rating: 10 A", "title: Fuse", `h.yaml:6:7: component "F1": the key rating is missing; it wants a quantity in A`},
		{"nothing after a key", "  S1: {access: 5 min}", "  S1: {access: }", `h.yaml:13:16: splice "S1": access: nothing is written here; it wants a quantity in s, or leave the key out`},
		{"wrong kind", "kind: fuse", "kind: fues", `h.yaml:6:14: component "F1": kind: "fues" is not known; did you mean "fuse"?`},
		{"kind missing", "F1: {kind: fuse, title: Fuse, rating: 10 A}", "F1: {title: Fuse, rating: 10 A}", `h.yaml:6:7: component "F1": the key kind is missing; it can be battery, fuse,`},
		{"key of another kind", "rating: 10 A", "rating: 10 A, power: 4 W", `h.yaml:6:47: component "F1": unknown key "power"; it can be kind, title, where, spot,`},
		{"no unit", "F1.1, length: 1 m", "F1.1, length: 1", `h.yaml:17:39: wire "1": length: "1" has no unit; write 1 m`},
		{"wrong unit", "F1.1, length: 1 m, size: 2.5 mm2", "F1.1, length: 1 m, size: 2.5 m", `h.yaml:17:50: wire "1": size: "2.5 m" is in m, but must be in mm2 or mm²`},
		{"unknown unit", "rating: 10 A", "rating: 10 Amp", `h.yaml:6:41: component "F1": rating: "10 Amp" has the unknown unit "Amp"; it must be in A, mA, uA or µA`},
		{"decimal comma", "F1.1, length: 1 m", `F1.1, length: "1,5 m"`, `h.yaml:17:39: wire "1": length: "1,5 m" wants a decimal point, not a comma: 1.5 m`},
		{"no number", "rating: 10 A", "rating: ten A", `h.yaml:6:41: component "F1": rating: "ten A" is not a number and its unit, such as 2 A`},
		{"negative size", "F1.1, length: 1 m, size: 2.5 mm2", "F1.1, length: 1 m, size: -2.5 mm2", `h.yaml:17:50: wire "1": size: must be from 0.13 mm2 to 120 mm2 (got -2.5 mm2)`},
		{"zero length", "F1.1, length: 1 m", "F1.1, length: 0 m", `h.yaml:17:39: wire "1": length: must be above 0 m (got 0 m)`},
		{"out of range", "rating: 10 A", "rating: 1000 A", `h.yaml:6:41: component "F1": rating: must be from 1 A to 40 A (got 1000 A)`},
		{"huge number", "rating: 10 A", "rating: " + strings.Repeat("9", 400) + " A", `is too large a number`},
		{"supply between", "supply: 12 V", "supply: 14 V", `h.yaml:3:47: vehicle: supply: must be 12 V or 24 V (got 14 V)`},
		{"colour by name", "colour: BK", "colour: black", `h.yaml:25:64: wire "9": colour: "black" is to be written as the code BK`},
		{"unknown colour", "colour: RD/WH", "colour: RD/XX", `h.yaml:18:65: wire "2": colour: "RD/XX" has no IEC 60757 code "XX": the codes are BK, BN,`},
		{"two tracers", "colour: RD/WH", "colour: RD/WH/BK", `h.yaml:18:65: wire "2": colour: "RD/WH/BK" has more than one tracer: write base colour, slash, tracer, such as RD/WH`},
		{"reference to nothing", "to: F1.1", "to: F2.1", `h.yaml:17:25: wire "1": to: "F2.1": there is no component, connector, splice or ground point "F2"; did you mean "F1"?`},
		{"unknown terminal", "to: LA.in", "to: LA.ni", `h.yaml:21:21: wire "5": to: "LA.ni": LA has no terminal "ni"; did you mean "in"?`},
		{"unknown stud", "from: BAT.30", "from: BAT.50", `h.yaml:17:13: wire "1": from: "BAT.50": BAT has no terminal "50"; did you mean "30"?`},
		{"no terminal", "to: LA.in", "to: LA", `h.yaml:21:21: wire "5": to: "LA": which terminal? LA has in and out`},
		{"unknown cavity", "to: X1.1.a", "to: X1.7.a", `h.yaml:19:23: wire "3": to: "X1.7.a": connector "X1" has no cavity "7"; did you mean "1"?`},
		{"no half", "to: X1.1.a", "to: X1.1", `h.yaml:19:23: wire "3": to: "X1.1": which half of the in-line connector? Write X1.1.a or X1.1.b`},
		{"wrong half", "to: X1.1.a", "to: X1.1.c", `h.yaml:19:23: wire "3": to: "X1.1.c": a connector has the halves a and b, but no "c"`},
		{"component's own half", "to: LA.in", "to: LA.in.b", `h.yaml:21:21: wire "5": to: "LA.in.b": half b is the component's own; write LA.in`},
		{"body", "from: BAT.31, to: G1", "from: BAT.31, to: body", `h.yaml:25:25: wire "9": to: "body": a wire ends on a ground point, not on the body itself; describe the stud under grounds`},
		{"terminal of a ground point", "from: BAT.31, to: G1", "from: BAT.31, to: G1.1", `h.yaml:25:25: wire "9": to: "G1.1": a ground point has no terminals; write G1`},
		{"cavity used twice", "6: {from: S1, to: LB.in", "6: {from: S1, to: LA.in", `h.yaml:22:21: wire "6": to: cavity half LA.in.a already holds wire "5" (line 21); join wires in a splice`},
		{"both ends at one place", "6: {from: S1, to: LB.in", "6: {from: S1, to: S1", `h.yaml:22:21: wire "6": both ends are at S1`},
		{"in the air", "from: X1.1.b", "from: X1.2.b", `h.yaml:19:3: wire "3": ends in the air: nothing is in X1.1.b on the other side of the connector`},
		{"doubled id", "  G1: {title: Ground}", "  F1: {title: Ground}", `h.yaml:15:3: ground point "F1": the id is taken by the component on line 6; ids of components, connectors, splices and ground points must all differ`},
		{"doubled key", "  S1: {access: 5 min}", "  S1: {access: 5 min}\n  S1: {access: 5 min}", `h.yaml:14:3: harness: splices: "S1" stands here twice; it is on line 13 already`},
		{"doubled wire", "  2: {from: F1.2", "  1: {from: F1.2", `h.yaml:18:3: harness: wires: "1" stands here twice; it is on line 17 already`},
		{"id with a dot", "  S1: {access: 5 min}", "  S.1: {access: 5 min}", `h.yaml:13:3: splice "S.1": is not an id: a letter, then letters, digits, - or _, at most 24 in all`},
		{"id that is taken", "  S1: {access: 5 min}", "  Body: {access: 5 min}", `h.yaml:13:3: splice "Body": is taken: body is the bare metal of the vehicle`},
		{"a splice of two", "6: {from: S1, to: LB.in", "6: {from: G1, to: LB.in", `h.yaml:13:3: splice "S1": joins 2 wires; a splice joins three or more`},
		{"bare component", "8: {from: LB.out", "8: {from: BAT.31", `h.yaml:9:3: component "LB": current needs a way in and a way out, but only one terminal is wired (nothing ends at out)`},
		{"no such join", "on: 1-2", "on: 1-", `h.yaml:7:67: component "SW": positions: on: "1-" is not a join: the terminals that touch, such as 30-15 or 30-15-50, or nothing`},
		{"joins itself", "on: 1-2", "on: [1-2, 2-2]", `h.yaml:7:73: component "SW": position "on" joins terminal 2 to itself`},
		{"unknown joined terminal", "positions: {off: nothing, on: 1-2}", "terminals: [1, 2], positions: {off: nothing, on: 1-3}", `h.yaml:7:86: component "SW": position "on" joins terminal "3", which it does not have; did you mean "1"?`},
		{"no positions", ", positions: {off: nothing, on: 1-2}", "", `component "SW": the key positions is missing; it wants each position and the terminals that touch in it`},
		{"unknown control", "set: {SW: on}", "set: {SV: on}", `h.yaml:27:11: check: there is no control "SV"; did you mean "SW"?`},
		{"lamp as control", "set: {SW: on}", "set: {SW: on, LA: on}", `h.yaml:27:19: check: there is no control "LA"; component "LA" is not moved by the operator`},
		{"unknown position", "set: {SW: on}", "set: {SW: onn}", `h.yaml:27:15: check: control "SW" has no position "onn"; did you mean "on"?`},
		{"word that a kind never shows", "LA: lit", "LA: bright", `h.yaml:28:18: check: "LA" (filament lamp) is never "bright"; it can be off, faint, dim, lit or over-bright`},
		{"nothing noticed", "LA: lit", "F1: lit", `h.yaml:28:14: check: nothing is noticed of "F1" (blade fuse)`},
		{"unknown component in the check", "LB: lit", "LC: lit", `h.yaml:28:23: check: there is no component "LC"; did you mean "LA"?`},
		{"expects nothing", "expect: {LA: lit, LB: lit}", "expect: {}", `h.yaml:28:13: check: expects nothing; name a component and what it should be noticed doing, such as {LL: lit}`},
		{"unknown control of a component", "kind: switch, title: Switch", "kind: switch, control: key, title: Switch", `h.yaml:7:31: component "SW": there is no control "key"`},
		{"stands for too short a time", "check:\n", "controls:\n  TM: {title: Time, positions: [now, later], stands: {later: 5 min}}\ncheck:\n",
			`h.yaml:27:62: control "TM": stands: later: must be from 600 s to 30 days (got 5 min)`},
		{"stands in no position", "check:\n", "controls:\n  TM: {title: Time, positions: [now, later], stands: {latter: 3 days}}\ncheck:\n",
			`h.yaml:27:55: control "TM": stands: there is no position "latter"; did you mean "later"?`},
		{"stands at rest", "check:\n", "controls:\n  TM: {title: Time, positions: [now, later], stands: {now: 3 days}}\ncheck:\n",
			`h.yaml:27:55: control "TM": stands: "now" is its position at rest, to which it comes back; time passes in another one`},
		{"charged in no time", "check:\n", "controls:\n  TM: {title: Time, positions: [now, later, full], stands: {later: 3 days}, charged: full}\ncheck:\n",
			`control "TM": charged: "full" stands for no time; give it one under stands: {full: 12 h}`},
		{"list where a table belongs", "  G1: {title: Ground}", "  - {id: G1}", `h.yaml:15:3: harness: grounds: wants a table with one line per ground point, not a list (take the dashes away and begin each line with its id and a colon)`},
		{"words where a block belongs", "G1: {title: Ground}", "G1: Ground", `h.yaml:15:7: ground point "G1": wants a block of keys (title, where, spot and access), not "Ground"`},
		{"yes or no", "to: F1.1, length: 1 m", "to: F1.1, flexing: maybe, length: 1 m", `h.yaml:17:40: wire "1": flexing: "maybe" must be yes or no`},
		{"spot of three", "{access: 5 min}", "{access: 5 min, spot: [1, 2, 3]}", `h.yaml:13:29: splice "S1": spot: has 3 items, but may have at most 2`},
		{"spot outside", "{access: 5 min}", "{access: 5 min, spot: [1, 200]}", `h.yaml:13:33: splice "S1": spot 2: must be from 0 to 100 (got 200)`},
		{"alias", "title: Small", "title: &x Small\nhints: *x", `h.yaml:3:8: *x: aliases are not used in these files; write the value out`},
		{"anchor", "title: Small", "title: &x Small", `h.yaml:2:8: &x: anchors are not used in these files; take it out`},
		{"tag", "title: Small", "title: !!str Small", `h.yaml:2:8: !!str: tags are not used in these files; take it out`},
		{"tab", "  S1: {access: 5 min}", "\tS1: {access: 5 min}", `h.yaml:13:1: a tab in the indentation; use blanks`},
		{"bad character", "title: Small", "title: Sm\x01ll", `h.yaml:2:10: the character U+0001 does not belong in a text file`},
		{"not UTF-8", "title: Small", "title: Sm\xff", `h.yaml:2:1: this line is not UTF-8 text; save the file as UTF-8`},
		{"bracket left open", "  X1: {cavities: [1, 2]}", "  X1: {cavities: [1, 2}", `this is not well-formed YAML`},
		{"colon in words", "title: Ground}", "title: Ground: left}", `this is not well-formed YAML`},
		{"second document", "title: Small", "title: Small\n---\n", `this is not well-formed YAML: a second document begins after ---; one file holds one`},
		{"too deep", "{access: 5 min}", "{access: " + strings.Repeat("[", 30) + strings.Repeat("]", 30) + "}", `is nested more than 10 deep; nothing in these files needs that`},
		{"sheet of nothing", "check:", "sheet: {Q1: [1, 2]}\ncheck:", `h.yaml:26:9: sheet: there is no component, connector, splice or ground point "Q1"; did you mean`},
		{"sheet turned oddly", "check:", "sheet: {F1: [1, 2, 7]}\ncheck:", `h.yaml:26:13: sheet: F1: quarter turns must be 0, 1, 2 or 3`},
		{"include that is not there", "title: Small", "title: Small\ninclude: part.yaml", `h.yaml:3:10: there is no file "part.yaml"; did you mean "parts.yaml"?`},
		{"include that leads out", "title: Small", "title: Small\ninclude: ../../part.yaml", `h.yaml:3:10: "../../part.yaml" leads out of the folder that holds the scenarios`},
		{"include of a harness", "title: Small", "title: Small\ninclude: h.yaml", `h.yaml:3:10: include: "h.yaml" goes round in a circle: h.yaml includes h.yaml`},
		{"include of something else", "title: Small", "title: Small\ninclude: parts.yaml", `h.yaml:3:10: file "parts.yaml" is an exercise file, but a shared file is wanted here`},
		{"battery of another vehicle", "kind: battery, title: Battery", "kind: battery, volts: 24 V, title: Battery", `h.yaml:5:8: component "BAT": a battery of 24 V in a vehicle of 12 V`},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := load(swap(t, c.old, c.new), map[string]string{"parts.yaml": "exercise: x\n"})
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

// TestWholeFileErrors are those that no single line is to blame for.
func TestWholeFileErrors(t *testing.T) {
	noBattery := strings.NewReplacer("  BAT: {kind: battery, title: Battery}\n", "", "BAT.30", "LB.in", "BAT.31", "SW.1").Replace(good)
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", `h.yaml: holds nothing; see the guide for how to begin`},
		{"only a note", "# nothing yet\n", `h.yaml: holds nothing`},
		{"a word", "hello\n", `h.yaml:1:1: begins with "hello"; it should begin with a key such as harness: or exercise:`},
		{"no kind of file", "title: Small\n", `h.yaml:1:1: file "h.yaml" has no key harness: with its id, so it is not a harness file`},
		{"kind misspelt", "harnes: small\n", `did you mean "harness" where "harnes" stands?`},
		{"an exercise", "exercise: small\n", `file "h.yaml" is an exercise file, but a harness file is wanted here`},
		{"too large", "harness: small\n#" + strings.Repeat("x", 300<<10), `h.yaml: is larger than 256 KiB; a harness of a thousand wires is smaller`},
		{"no battery", noBattery, `h.yaml:1:1: harness: has no battery; add a component of kind battery`},
		{"no ground", strings.ReplaceAll(strings.Replace(good, "grounds:\n  G1: {title: Ground}\n", "", 1), "to: G1", "to: S1"), `h.yaml:1:1: harness: has no ground point; describe the stud`},
		{"no vehicle", strings.Replace(good, "vehicle: {fleet: HL-9, title: launch, supply: 12 V}\n", "", 1), `h.yaml:1:1: harness: the key vehicle is missing`},
		{"no check", good[:strings.Index(good, "check:")], `h.yaml:1:1: harness: the key check is missing`},
		{"a control that no line moves", strings.Replace(good, "  - set: {SW: on}\n    expect: {LA: lit, LB: lit}\n", "  - expect: {LA: off}\n", 1), `check: no line ever moves the control "SW"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := load(c.text, nil)
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

// TestAllProblemsAtOnce: a load reports everything it finds, sorted by place, not the first.
func TestAllProblemsAtOnce(t *testing.T) {
	text := good
	for old, new := range map[string]string{
		"supply: 12 V": "supply: 13 V", "rating: 10 A": "rating: 10", "to: SW.1": "to: SW.9", "colour: BK": "colour: XX", "LB: lit": "LB: loud",
	} {
		text = strings.Replace(text, old, new, 1)
	}
	err := load(text, nil)
	var ps scenarios.Problems
	require.True(t, errors.As(err, &ps))
	var lines []int
	for _, p := range ps {
		lines = append(lines, p.Line)
		assert.Equal(t, "h.yaml", p.File)
		assert.Positive(t, p.Column)
	}
	assert.Equal(t, []int{3, 6, 18, 25, 28}, lines, "one problem on each broken line, in order:\n%v", err)
}

// TestProblemsAreBounded: a file that is wrong everywhere does not fill the screen.
func TestProblemsAreBounded(t *testing.T) {
	var text strings.Builder
	text.WriteString("harness: x\ntitle: x\nvehicle: {fleet: a, title: b, supply: 12 V}\nwires:\n")
	for i := range 900 {
		fmt.Fprintf(&text, "  %d: {from: A.1, to: B.1, length: 1, size: 1, colour: ZZ}\n", i)
	}
	var ps scenarios.Problems
	require.True(t, errors.As(load(text.String(), nil), &ps))
	assert.Len(t, ps, 201)
	assert.Contains(t, ps[200].Message, "more problems from here on")
}

// TestAliasBomb: a small file that would grow to billions of words is refused at once.
func TestAliasBomb(t *testing.T) {
	var text strings.Builder
	text.WriteString("harness: x\na0: &a0 [x, x, x, x, x, x, x, x, x, x]\n")
	for i := range 12 {
		fmt.Fprintf(&text, "a%d: &a%d [%s]\n", i+1, i+1, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*a%d, ", i), 10), ", "))
	}
	err := load(text.String(), nil)
	require.Error(t, err)
	assert.Contains(t, err.Error(), "aliases are not used in these files")
}

// TestIncludes: parts are shared, a circle is named, the same file twice counts once.
func TestIncludes(t *testing.T) {
	supply := "shared: supply\ncomponents:\n  BAT: {kind: battery, title: Battery}\n"
	without := strings.Replace(good, "  BAT: {kind: battery, title: Battery}\n", "", 1)
	require.NoError(t, load("include: [supply.yaml]\n"+without, map[string]string{"supply.yaml": supply}), "shared supply")
	require.NoError(t, load("include: [a.yaml, b.yaml]\n"+without, map[string]string{
		"a.yaml": "shared: a\ninclude: supply.yaml\n", "b.yaml": "shared: b\ninclude: supply.yaml\n", "supply.yaml": supply,
	}), "two ways to one file")

	err := load("include: [a.yaml]\n"+good, map[string]string{"a.yaml": "shared: a\ninclude: b.yaml\n", "b.yaml": "shared: b\ninclude: a.yaml\n"})
	require.Error(t, err)
	assert.Contains(t, err.Error(), `b.yaml:2:10: include: "a.yaml" goes round in a circle: a.yaml includes b.yaml includes a.yaml`)

	err = load("include: [supply.yaml]\n"+good, map[string]string{"supply.yaml": supply})
	require.Error(t, err)
	assert.Contains(t, err.Error(), `h.yaml:6:3: component "BAT": the id is taken by the component on supply.yaml line 3`)

	many := map[string]string{}
	var list []string
	for i := range 40 {
		name := fmt.Sprintf("p%d.yaml", i)
		many[name] = "shared: p\n"
		list = append(list, name)
	}
	err = load("include: [\n  "+strings.Join(list, ",\n  ")+"]\n"+good, many)
	require.Error(t, err)
	assert.Contains(t, err.Error(), "but may have at most 32")
}

const goodExercise = `exercise: dark
title: Dark
harness: h.yaml
complaint: Both lamps stay dark, whatever I do with the switch.
fault: wire 4 open
`

// TestExerciseErrors breaks an exercise in one way at a time.
func TestExerciseErrors(t *testing.T) {
	try := func(text string) error {
		_, err := scenarios.LoadExercise(fstest.MapFS{"h.yaml": {Data: []byte(good)}, "e.yaml": {Data: []byte(text)}}, "e.yaml")
		return err
	}
	require.NoError(t, try(goodExercise))
	for _, c := range []struct{ name, old, new, want string }{
		{"no fault", "fault: wire 4 open\n", "", `e.yaml:1:1: exercise: has no fault; write fault: with place and kind`},
		{"fault and draw", "fault:", "draw: {seed: 1}\nfault:", `e.yaml:1:1: exercise: has fault and draw; use one of them`},
		{"malformed fault", "wire 4 open", "wire open", `e.yaml:5:8: exercise: fault "wire open": `},
		{"fault of a wire that is not there", "wire 4 open", "wire 44 open", `e.yaml:5:8: exercise: fault "wire 44 open": `},
		{"fault of a defect that is not there", "wire 4 open", "component LA on-fire", `e.yaml:5:8: exercise: fault "component LA on-fire": `},
		{"severity that no candidate has", "wire 4 open", "wire 4 high-resistance 2000 ohm", `e.yaml:5:8: exercise: fault "wire 4 high-resistance 2000 ohm": severity 2000 ohm is outside the range of this kind at such a place, so nothing found out about it could be judged; write one from 0.3 to 100 ohm, or leave it out for 3 ohm`},
		{"severity below any that shows", "wire 4 open", "cavity X1.1 corroded 0.01 ohm", `severity 0.01 ohm is outside the range of this kind at such a place, so nothing found out about it could be judged; write one from 0.3 to 1000000 ohm, or leave it out for 5 ohm`},
		{"fuse that nobody suspects", "wire 4 open", "fuse F1 wrong-fuse 15 A", `e.yaml:5:8: exercise: fault "fuse F1 wrong-fuse 15 A": 15 A is no fuse that is suspected of being there by mistake, so nothing found out about it could be judged; write one of [5 20] A`},
		{"kind that nobody suspects there", "wire 4 open", "wire 7 short-to-ground", `e.yaml:5:8: exercise: fault "wire 7 short-to-ground": nobody suspects this, so nothing found out about it could be judged; what is suspected at wire 7 is open, high-resistance, short-to-supply; write one of these`},
		{"wires that are not side by side", "wire 4 open", "wire 2 short-to-wire 8", `e.yaml:5:8: exercise: fault "wire 2 short-to-wire 8": nobody suspects this, so nothing found out about it could be judged; at wire 2 it is suspected with 1, 3; write one of these`},
		{"half that goes without saying", "wire 4 open", "cavity X1.1.b corroded 4 ohm", `e.yaml:5:8: exercise: fault "cavity X1.1.b corroded 4 ohm": nobody suspects this, so nothing found out about it could be judged; both halves count as one; write "cavity X1.1 corroded 4 ohm"`},
		{"cavity without wires", "wire 4 open", "cavity X1.2 corroded 4 ohm", `nothing is suspected at cavity X1.2, for no current can go through it; choose another place`},
		{"wrong fuse in a lamp", "wire 4 open", "fuse LA wrong-fuse 15 A", `there is no fuse LA in a holder`},
		{"no such harness", "h.yaml", "j.yaml", `e.yaml:3:10: there is no file "j.yaml"; did you mean`},
		{"unknown tool", "fault:", "tools: [multimeter, hammer]\nfault:", `e.yaml:5:21: exercise: tools 2: "hammer" is not known; it can be multimeter, test-lamp, jumper, clamp, logic-probe, load, trace or reader`},
		{"tool twice", "fault:", "tools: [jumper, jumper]\nfault:", `e.yaml:5:17: exercise: tools: "jumper" is listed twice`},
		{"weights that do not sum up", "fault:", "weights: {confirm: 10, isolate: 10, repair: 10, retest: 10, safety: 10, economy: 10}\nfault:", `e.yaml:5:10: exercise: weights: must sum to 100 (got 60)`},
		{"broken seed", "fault: wire 4 open", "draw: {seed: 1.5}", `e.yaml:5:14: exercise: draw: seed: must be a whole number (got 1.5)`},
		{"unknown kind to draw from", "fault: wire 4 open", "draw: {seed: 1, from: [opn]}", `e.yaml:5:24: exercise: draw: this harness can have no fault of kind "opn"; did you mean "open"?`},
		{"too few to draw from", "fault: wire 4 open", "draw: {seed: 1, from: leakage}", `e.yaml:5:7: exercise: draw: only 0 of these faults show in the normal-operation check; 1 wanted`},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, 1, strings.Count(goodExercise, c.old))
			err := try(strings.Replace(goodExercise, c.old, c.new, 1))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

// TestHarnessProblemsReachTheExercise: an exercise on a broken harness tells what is wrong with the harness.
func TestHarnessProblemsReachTheExercise(t *testing.T) {
	_, err := scenarios.LoadExercise(fstest.MapFS{
		"h.yaml": {Data: []byte(strings.Replace(good, "rating: 10 A", "rating: 10", 1))}, "e.yaml": {Data: []byte(goodExercise)},
	}, "e.yaml")
	require.Error(t, err)
	assert.Contains(t, err.Error(), `h.yaml:6:41: component "F1": rating: "10" has no unit; write 10 A`)
}

// TestLibrary loads what is right and tells what is not.
func TestLibrary(t *testing.T) {
	lib, err := scenarios.LoadAll(fstest.MapFS{
		"a/h.yaml":        {Data: []byte(good)},
		"a/e.yaml":        {Data: []byte(goodExercise)},
		"a/same.yaml":     {Data: []byte(goodExercise)},
		"a/.hidden.yaml":  {Data: []byte("][")},
		"a/notes.txt":     {Data: []byte("not ours")},
		"a/broken.yaml":   {Data: []byte("title: what is it?\n")},
		"b/.git/x.yaml":   {Data: []byte("][")},
		"b/supplies.yaml": {Data: []byte("shared: nothing much\n")},
	})
	var ps scenarios.Problems
	require.True(t, errors.As(err, &ps))
	require.Len(t, ps, 2, "%v", err)
	assert.Contains(t, ps[0].String(), `a/broken.yaml:1:1: file "a/broken.yaml" has no key harness:`)
	assert.Contains(t, ps[1].String(), `a/same.yaml:1:11: exercise: the id "dark" is taken by a/e.yaml`)
	require.Len(t, lib.Harnesses, 1)
	assert.Equal(t, "a/h.yaml", lib.Harnesses[0].File)
	assert.NotNil(t, lib.Harness("small"))
	assert.NotNil(t, lib.Exercise("dark"))
	assert.Nil(t, lib.Exercise("light"))
}
