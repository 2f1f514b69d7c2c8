package scenarios

import (
	"faultloom/sim/device"
	"faultloom/sim/harness"
)

// Limits of what one file may hold. They are far above any harness a person would draw and far below what could stall a
// program.
const (
	maxFileBytes = 256 << 10 // one file
	maxFiles     = 32        // files that one harness includes, all told
	maxDepth     = 10        // nested lists and blocks; the deepest a right file has is 6
	maxEntries   = 1000      // entries of one table
	maxLines     = 200       // items of one list
	maxText      = 4000      // letters of one text
	maxMetres    = 200.0     // one wire; longer than any road vehicle
	maxSize      = 120.0     // mm², the largest size of ISO 6722-1 (from memory)
	minSize      = 0.13      // mm², the smallest size of ISO 6722-1 (from memory)
	maxAccess    = 7200.0    // seconds to get at something: two hours
)

// forms is the table of everything that files may say. It is built afresh by newForms so that nobody can change it.
type forms struct {
	harness  *shape // a whole harness
	shared   *shape // a file that others include
	exercise *shape
	kinds    []device.Kind
	ofKind   map[string][]key // keys of a component, by kind
}

// component keys that every kind has; the kind's own follow.
func componentKeys(kinds []device.Kind) []key {
	var words []string
	for _, k := range kinds {
		words = append(words, k.Name)
	}
	return []key{
		{"kind", choice(words...), true, "What it is; see the list of kinds.", ""},
		{"title", text(), true, "What people call it.", "Left work lamp"},
		{"where", text(), false, "Where it sits on the vehicle, in words.", "left front, behind the grille"},
		{"spot", spot(), false, "Where it sits on the outline: percent of the length from the front, percent of the height from the top.", "[12, 40]"},
		{"access", quantity(device.Second, 0, maxAccess), false, "Time to get at it the first time (covers, panels).", "2 min"},
		{"mount", choice("plug", "socket", "holder"), false, "How it meets the wires: plug (a loom plug is pushed onto it), socket (it is pushed into a socket, like a relay) or holder (a fuse). Left out, each kind has its usual one.", "socket"},
		{"cavities", table("cavity", terminalRule(), name(terminalRule()), 64), false, "Cavity numbers of its plug and the terminal behind each. Left out, cavities carry the names of the terminals.", "{1: in, 2: out}"},
		{"plug-contact", quantity(device.Ohm, 0.0001, 1), false, "Resistance of one good mated contact of its plug (by the size of its wires, if left out).", "5 mohm"},
		{"terminals", list(name(terminalRule()), 2, 32), false, "Names of its terminals, for kinds that let you choose them. Left out, they are those named in positions.", "[30, 15, 50]"},
		{"positions", table("position", positionRule(), listOrOne(name(joinRule()), 16), 24), false, "For what an operator moves: each position and the terminals that touch in it. The first is at rest.", "{off: nothing, on: 30-15}"},
		{"control", name(idRule()), false, "The control that moves it. Left out, it is moved by itself, under its own id and title.", "key"},
	}
}

// spot is the place on the vehicle's outline.
func spot() *shape { return list(number(0, 100), 2, 2) }

func newForms(kinds []device.Kind) forms {
	vehicle := record(
		key{"fleet", text(), true, "Fleet number.", "DT-14"},
		key{"title", text(), true, "What sort of vehicle it is.", "dock tractor"},
		key{"outline", choice("tractor", "truck", "van", "loader", "fork-truck", "boat", "plain"), false, "Which outline the bench draws (plain if left out).", ""},
		key{"supply", quantity(device.Volt, 12, 24), true, "Nominal supply: 12 V or 24 V.", "12 V"},
		key{"ambient", quantity(device.Celsius, -40, 85), false, "Temperature of wires and parts at rest (20 degC if left out).", "20 degC"},
	)
	component := &shape{is: isPart, keys: componentKeys(kinds)}
	ofKind := map[string][]key{}
	for _, k := range kinds {
		ofKind[k.Name] = keysOf(k, component.keys)
	}
	connector := record(
		key{"title", text(), false, "What people call it.", "Cab to chassis"},
		key{"cavities", list(name(terminalRule()), 1, 128), true, "Cavity numbers, in the order of the face.", "[1, 2, 3, 4]"},
		key{"contact", quantity(device.Ohm, 0.0001, 1), false, "Resistance of one good mated contact (by the size of its wires, if left out).", "5 mohm"},
		key{"where", text(), false, "Where it is on the vehicle, in words.", "behind the dash, left"},
		key{"spot", spot(), false, "Where it is on the outline, as for a component.", "[40, 55]"},
		key{"access", quantity(device.Second, 0, maxAccess), false, "Time to get at it the first time.", "1 min"},
	)
	wire := record(
		key{"from", name(endRule()), true, "Where it begins.", "F1.2"},
		key{"to", name(endRule()), true, "Where it ends.", "X1.3.a"},
		key{"length", over(device.Metre, maxMetres), true, "Length.", "1.2 m"},
		key{"size", quantity(device.SquareMM, minSize, maxSize), true, "Cross-section of the copper.", "2.5 mm2"},
		key{"colour", name(colourRule()), true, "Insulation colour, IEC 60757, a tracer after a slash.", "RD/WH"},
		key{"bundle", text(), false, "Loom it runs in: wires of one loom can chafe through to each other.", "frame loom"},
		key{"flexing", yes(), false, "Whether it passes a hinge or moving part, where wires break first.", "yes"},
	)
	splice := record(
		key{"where", text(), false, "Where in the loom it is.", "frame loom, behind the headboard"},
		key{"spot", spot(), false, "Where it is on the outline, as for a component.", "[30, 45]"},
		key{"access", quantity(device.Second, 0, maxAccess), false, "Time to open the loom there, and later to close it (5 min if left out).", "6 min"},
	)
	ground := record(
		key{"title", text(), false, "What people call it.", "Front ground point"},
		key{"where", text(), false, "Where on body or engine it is.", "front cross-member, right"},
		key{"spot", spot(), false, "Where it is on the outline, as for a component.", "[10, 70]"},
		key{"access", quantity(device.Second, 0, maxAccess), false, "Time to get at it the first time.", "1 min"},
	)
	control := record(
		key{"title", text(), true, "What people call it.", "Key switch"},
		key{"positions", list(name(positionRule()), 2, 24), false, "Its positions, the first at rest. Left out, those of the component it moves.", "[off, on]"},
		key{"momentary", yes(), false, "Whether it springs back when let go.", "yes"},
		key{"shakes", listOrOne(name(positionRule()), 24), false, "Positions in which the whole vehicle shakes: engine running, driving over cobbles. Contacts that are loose open then.", "[running]"},
		key{"hot", listOrOne(name(positionRule()), 24), false, "Positions that stand for work until everything is hot (80 °C): joints that open hot do so.", "[after an hour's work]"},
		key{"stands", table("position", positionRule(), quantity(device.Second, harness.LeastStand, harness.MostStand), 24), false, "Positions that mean that the vehicle has stood for a time, and how long: the battery has run down by whatever was left on.", "{left over the weekend: 66 h}"},
		key{"charged", listOrOne(name(positionRule()), 24), false, "Those of them in which a charger was on the battery, which is full all the while.", "[overnight on the charger]"},
		key{"spot", spot(), false, "Where it is on the outline, as for a component.", "[50, 40]"},
	)
	line := record(
		key{"set", table("control", idRule(), name(positionRule()), 32), false, "Controls that are not at rest, and the position of each.", "{key: on, LAMPS: on}"},
		key{"expect", table("component", idRule(), text(), 64), true, "What each component should be noticed doing, in a word of its kind.", "{LL: lit, LR: lit}"},
		key{"text", text(), false, "The line as people read it; left out, it is made from set and expect.", "Key on, lamps on: both work lamps light"},
	)
	symptom := record(
		key{"seen", text(), true, "What is noticed.", "Both lamps dim"},
		key{"think", listOrOne(text(), 20), true, "Places worth a look.", "[the ground point that both share]"},
	)
	parts := []key{
		{"include", listOrOne(name(pathRule()), maxFiles), false, "Other files whose parts belong to this one (path from this file's folder).", "../parts/supply.yaml"},
		{"vehicle", vehicle, false, "What carries the harness.", ""},
		{"components", table("component", idRule(), component, maxEntries), false, "Anything with terminals: battery, fuses, switches, relays, lamps.", ""},
		{"connectors", table("connector", idRule(), connector, maxEntries), false, "Connectors between two looms. A component's own plug needs no entry here.", ""},
		{"splices", table("splice", idRule(), splice, maxEntries), false, "Joints of three or more wires inside a loom.", ""},
		{"grounds", table("ground point", idRule(), ground, maxEntries), false, "Studs on body or engine.", ""},
		{"wires", table("wire", wireRule(), wire, maxEntries), false, "Every wire, by its circuit number.", ""},
		{"controls", table("control", idRule(), control, maxEntries), false, "What the operator moves, where one control moves several components or has a title of its own.", ""},
		{"check", list(line, 1, maxLines), false, "The normal-operation check, line by line. Controls that a line does not name are at rest.", ""},
		{"notes", listOrOne(text(), maxLines), false, "How the circuit works, one paragraph each.", ""},
		{"hints", listOrOne(text(), maxLines), false, "Things worth knowing when this circuit is tested.", ""},
		{"symptoms", list(symptom, 1, maxLines), false, "Symptom guide: what is seen, and where to look.", ""},
		{"sheet", table("thing on the sheet", idRule(), list(number(-1000, 1000), 2, 3), maxEntries), false, "Where things stand on the wiring diagram: column, row (0 at the top), and quarter turns clockwise if any. What has no place is placed by the program.", "{BAT: [0, 0], K1: [3, 2, 1]}"},
	}
	head := func(first key, rest ...key) *shape { return record(append([]key{first}, rest...)...) }
	whole := head(key{"harness", name(fileIDRule()), true, "Id of the harness; it makes this a harness file.", "harbour-launch-pump"},
		append([]key{{"title", text(), true, "What the harness is.", "Bilge pump"}}, parts...)...)
	shared := head(key{"shared", text(), true, "What these parts are; it makes this a file for others to include.", "12 V supply of all launches"}, parts...)
	return forms{harness: whole, shared: shared, exercise: exerciseForm(), kinds: kinds, ofKind: ofKind}
}

func exerciseForm() *shape {
	weight := number(0, 100)
	weights := record(
		key{"confirm", weight, true, "Complaint confirmed by the normal-operation check, with nothing touched.", "15"},
		key{"isolate", weight, true, "Cause found by tests.", "35"},
		key{"repair", weight, true, "Right repair, and no other.", "15"},
		key{"retest", weight, true, "All put back and the whole check run again.", "15"},
		key{"safety", weight, true, "Nothing done that endangers people or parts.", "10"},
		key{"economy", weight, true, "No time or parts wasted.", "10"},
	)
	draw := record(
		key{"seed", whole(0, 1<<53), true, "Any whole number; the same number draws the same fault.", "7"},
		key{"from", listOrOne(name(newRule("a kind of fault", `^[a-z][a-z0-9-]*$`, "a word such as open or backed-out")), 64), false, "Kinds of fault to draw from (all that the harness can have, if left out).", "[open, high-resistance]"},
		key{"count", whole(1, 2), false, "How many faults (1 if left out).", "1"},
	)
	return record(
		key{"exercise", name(fileIDRule()), true, "Id of the exercise; it makes this an exercise file.", "dt14-quay-lamps"},
		key{"title", text(), true, "Title on the list; it must not give the fault away.", "Nothing to see by"},
		key{"harness", name(pathRule()), true, "The harness file (path from this file's folder).", "../dock-tractor.yaml"},
		key{"complaint", text(), true, "The complaint as the customer put it: what was noticed, not the cause.", ""},
		key{"state", text(), false, "How the vehicle stands in the workshop.", "Parked on level ground, engine off, battery charged."},
		key{"fault", name(faultRule()), false, "The fault: place, kind and, where it has one, severity.", "cavity X1.3 backed-out"},
		key{"faults", list(name(faultRule()), 1, 4), false, "Several faults at once.", ""},
		key{"draw", draw, false, "Lets the program draw the fault instead.", "{seed: 7}"},
		key{"sealed", name(sealRule()), false, "The fault, hidden: what the command draw writes.", ""},
		key{"tools", listOrOne(choice(toolWords()...), 8), false, "Instruments allowed (multimeter, test-lamp and jumper if left out).", "[multimeter, test-lamp]"},
		key{"functions", listOrOne(choice(functionWords()...), 16), false, "Functions of the multimeter allowed (volts, ohms, continuity and amps if left out).", "[volts, ohms]"},
		key{"mode", choice("drill", "graded"), false, "drill (hints may be opened) or graded; drill if left out.", "graded"},
		key{"weights", weights, false, "Points for each part of the score, 100 in all.", ""},
		key{"seed", whole(0, 1<<53), false, "Whole number behind what varies from one attempt's instruments to another's.", "14"},
		key{"minutes", number(0, 600), false, "Suggested minutes, for the job card.", "20"},
	)
}
