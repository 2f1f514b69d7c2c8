package scenarios

import (
	"embed"
	"fmt"
	"strings"
	"text/template"

	"faultloom/sim/device"
)

//go:embed guide
var guideFiles embed.FS

// Guide returns, as Markdown, how to write a harness and its exercises: words by hand, tables from what the loader checks files
// against. It ends with a line break.
func Guide() string {
	g := guide{newForms(device.Kinds())}
	t := template.New("guide.md.tmpl").Funcs(template.FuncMap{
		"file": g.file, "keys": g.keys, "units": g.units, "kinds": g.kindList, "colours": g.colours,
		"weights": g.weights, "limits": g.limits,
	})
	var out strings.Builder
	if err := template.Must(t.ParseFS(guideFiles, "guide/guide.md.tmpl")).Execute(&out, nil); err != nil {
		panic("scenarios: guide: " + err.Error()) // the template is part of the program
	}
	return out.String()
}

type guide struct{ forms forms }

func (g guide) file(name string) (string, error) {
	data, err := guideFiles.ReadFile("guide/" + name)
	return string(data), err
}

// keys returns a table of the keys of a block, named by the way to it: "harness.wires".
func (g guide) keys(where string) (string, error) {
	steps := strings.Split(where, ".")
	s := map[string]*shape{"harness": g.forms.harness, "shared": g.forms.shared, "exercise": g.forms.exercise, "module": record(logicKeys()...)}[steps[0]]
	if s == nil {
		return "", fmt.Errorf("there is no file of kind %q", steps[0])
	}
	for _, step := range steps[1:] {
		k, ok := find(s.keys, step)
		if !ok {
			return "", fmt.Errorf("%s: there is no key %q", where, step)
		}
		for s = k.shape; s.item != nil; s = s.item {
		}
	}
	return keyTable(s.keys, "example"), nil
}

// keyTable writes a table of keys; last heads the column that holds what key.show says.
func keyTable(keys []key, last string) string {
	var out strings.Builder
	out.WriteString("| key | takes | | " + last + " |\n| --- | --- | --- | --- |\n")
	for _, k := range keys {
		name := "`" + k.name + "`"
		if k.must {
			name += " (needed)"
		}
		takes := k.shape.wants()
		if k.shape.is == isQuantity || k.shape.is == isNumber && k.shape.span() != "" {
			takes = k.shape.span()
		}
		show := ""
		switch {
		case k.show == "":
		case last == "example" || strings.ContainsAny(k.show[:1], "0123456789-"):
			show = "`" + k.show + "`"
		default:
			show = k.show
		}
		fmt.Fprintf(&out, "| %s | %s | %s | %s |\n", name, takes, sentence(k.doc), show)
	}
	return out.String()
}

// sentence gives a phrase a capital and a full stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	s = strings.ToUpper(s[:1]) + s[1:]
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}

func (g guide) units() string {
	names := []struct {
		dim  device.Dim
		what string
	}{
		{device.Volt, "voltage"}, {device.Ampere, "current"}, {device.Ohm, "resistance"}, {device.Watt, "power"},
		{device.Metre, "length"}, {device.SquareMM, "cross-section"}, {device.Second, "time"}, {device.Celsius, "temperature"},
		{device.Percent, "share"}, {device.AmpereHour, "charge"}, {device.Henry, "inductance"}, {device.Farad, "capacitance"},
		{device.Hertz, "frequency"}, {device.RevPerMinute, "speed of rotation"},
	}
	var out strings.Builder
	out.WriteString("| quantity | units |\n| --- | --- |\n")
	for _, n := range names {
		fmt.Fprintf(&out, "| %s | `%s` |\n", n.what, strings.Join(spellings(n.dim), "`, `"))
	}
	out.WriteString("\nFractions have a point: `0.75 mm2`. The blank before the unit may be left out.\n")
	return out.String()
}

func (g guide) colours() string {
	var out []string
	for _, c := range colourCodes() {
		out = append(out, "`"+c[0]+"` "+c[1])
	}
	return andList(out)
}

func (g guide) weights() string {
	w := DefaultWeights()
	return fmt.Sprintf("confirm %g, isolate %g, repair %g, retest %g, safety %g, economy %g", w.Confirm, w.Isolate, w.Repair, w.Retest, w.Safety, w.Economy)
}

func (g guide) limits() string {
	return fmt.Sprintf("%d KiB and %d entries in one table, a harness %d included files, and a text %d letters", maxFileBytes>>10, maxEntries, maxFiles, maxText)
}

// kindList describes every kind of component.
func (g guide) kindList() string {
	var out strings.Builder
	for _, k := range g.forms.kinds {
		fmt.Fprintf(&out, "### %s\n\n%s\n\n", k.Name, sentence(k.Doc))
		g.kindFacts(&out, k)
		if len(k.Params) > 0 {
			var keys []key
			for _, p := range k.Params {
				keys = append(keys, paramKey(p))
			}
			out.WriteString("\n" + keyTable(keys, "if left out"))
		}
		defects := k.Defects
		if len(defects) > 0 {
			out.WriteString("\n| defect | | severity |\n| --- | --- | --- |\n")
			for _, d := range defects {
				severity := ""
				if d.Dim != device.None {
					severity = fmt.Sprintf("%s to %s, usually %s", showQuantity(d.Low, d.Dim), showQuantity(d.High, d.Dim), showQuantity(d.Typical, d.Dim))
				}
				fmt.Fprintf(&out, "| `%s` | %s | %s |\n", d.Name, d.Doc, severity)
			}
			if k.Logic {
				out.WriteString("| `blind-INPUT` | that input is never on | |\n| `dead-OUTPUT` | that output is never on | |\n" +
					"| `stuck-OUTPUT` | that output is always on (not of a reference) | |\n")
			}
			if k.Table && k.OwnTerminals {
				out.WriteString("| `open-in-POSITION` | no contact made in that position | |\n| `welded-in-POSITION` | the contact of that position never opens | |\n")
			}
		}
		out.WriteString("\n")
	}
	return out.String()
}

// kindFacts lists terminals, words and mounting.
func (g guide) kindFacts(out *strings.Builder, k device.Kind) {
	switch {
	case k.Logic:
		out.WriteString("- Terminals: those that you name in its table.\n")
	case k.OwnTerminals:
		out.WriteString("- Terminals: those that you name under `positions` (or `terminals`).\n")
	default:
		var terminals []string
		for _, t := range k.Terminals {
			name := "`" + t.Name + "`"
			if t.Doc != "" {
				name += " (" + t.Doc + ")"
			}
			terminals = append(terminals, name)
		}
		fmt.Fprintf(out, "- Terminals: %s.\n", andList(terminals))
	}
	if k.Plugged {
		fmt.Fprintf(out, "- Mounted in a %s of its own.\n", usualMount(k))
	} else {
		out.WriteString("- Its terminals are studs; wires end on them with ring terminals.\n")
	}
	if len(k.Words) > 0 {
		fmt.Fprintf(out, "- Words for the check: `%s`.\n", strings.Join(k.Words, "`, `"))
	} else {
		out.WriteString("- Nothing is noticed of it, so the check cannot name it.\n")
	}
}
