package scenarios

import "strings"

// colourCodes returns the letter codes of IEC 60757 table 1 with the colour each stands for, in the table's order.
func colourCodes() [][2]string {
	return [][2]string{
		{"BK", "black"}, {"BN", "brown"}, {"RD", "red"}, {"OG", "orange"}, {"YE", "yellow"}, {"GN", "green"}, {"BU", "blue"},
		{"VT", "violet"}, {"GY", "grey"}, {"WH", "white"}, {"PK", "pink"}, {"GD", "gold"}, {"TQ", "turquoise"}, {"SR", "silver"},
		{"GNYE", "green-and-yellow"},
	}
}

// colourComplaint says what is wrong with a colour, in the form of its codes, or "".
func colourComplaint(word string) string {
	parts := strings.Split(word, "/")
	if len(parts) > 2 {
		return "has more than one tracer: write base colour, slash, tracer, such as RD/WH"
	}
	for _, p := range parts {
		if c := codeComplaint(p); c != "" {
			return c
		}
	}
	if len(parts) == 2 && strings.EqualFold(parts[0], parts[1]) {
		return "has a tracer of its own colour"
	}
	return ""
}

func codeComplaint(part string) string {
	upper := strings.ToUpper(part)
	var codes []string
	for _, c := range colourCodes() {
		if upper == c[0] {
			return ""
		}
		codes = append(codes, c[0])
	}
	for _, c := range colourCodes() {
		if strings.EqualFold(part, c[1]) || strings.EqualFold(part, strings.ReplaceAll(c[1], "grey", "gray")) {
			return "is to be written as the code " + c[0]
		}
	}
	return "has no IEC 60757 code " + quote(part) + ": the codes are " + andList(codes) + "; a tracer follows a slash, such as RD/WH"
}

// The rules for single words. Ids begin with a letter so that "X1.3" can be told from a number with a fraction; a wire's
// id is its circuit number and may begin with a digit. None may hold a dot, a blank or a slash: those separate the
// parts of points, faults and colours.

func idRule() *rule {
	r := newRule("an id", `^[A-Za-z][A-Za-z0-9_-]{0,23}$`, "a letter, then letters, digits, - or _, at most 24 in all")
	r.more = func(word string) string {
		if strings.EqualFold(word, "body") {
			return "is taken: body is the bare metal of the vehicle"
		}
		return ""
	}
	return r
}

func fileIDRule() *rule {
	return newRule("an id", `^[a-z0-9][a-z0-9-]{0,47}$`, "small letters, digits and -, at most 48 in all")
}

func wireRule() *rule {
	return newRule("a circuit number", `^[A-Za-z0-9][A-Za-z0-9_-]{0,15}$`, "letters, digits, - or _, at most 16 in all")
}

func terminalRule() *rule {
	return newRule("a terminal", `^[A-Za-z0-9]{1,8}$`, "letters and digits, at most 8, such as 87a")
}

func positionRule() *rule {
	return newRule("a position", `^[A-Za-z0-9][A-Za-z0-9 +-]{0,23}$`, "letters, digits, blanks, + or -, at most 24, such as full beam")
}

func endRule() *rule {
	return newRule("a wire end", `^[A-Za-z][A-Za-z0-9_-]*(\.[A-Za-z0-9]+){0,2}$`,
		"such as F1.2 (component and terminal), X1.3.a (connector, cavity and half), S1 (splice) or G1 (ground point)")
}

func colourRule() *rule {
	var codes []string
	for _, c := range colourCodes() {
		codes = append(codes, c[0], strings.ToLower(c[0]))
	}
	one := "(" + strings.Join(codes, "|") + ")"
	r := newRule("a colour", "^"+one+"(/"+one+")?$", "an IEC 60757 code such as RD, a tracer after a slash such as RD/WH")
	r.more = colourComplaint
	return r
}

func joinRule() *rule {
	return newRule("a join", `^([A-Za-z0-9]{1,8}(-[A-Za-z0-9]{1,8})+|nothing)$`, "the terminals that touch, such as 30-15 or 30-15-50, or nothing")
}

func pathRule() *rule {
	return newRule("a file", `^[A-Za-z0-9._/-]+\.ya?ml$`, "a path to a .yaml file from the folder of this one, such as ../parts/supply.yaml")
}

func sealRule() *rule {
	return newRule("a seal", `^[A-Za-z0-9_-]{200,400}$`, "letters and digits as the command draw writes them")
}

func faultRule() *rule {
	return newRule("a fault", `^\S.*\S$`, "place and kind, such as cavity X1.3 backed-out, or wire 31b high-resistance 2 ohm")
}
