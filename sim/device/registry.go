package device

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
)

// family is a kind with what makes a device of it from a checked Spec.
type family struct {
	kind Kind
	make func(Spec) Device
	// tune fits the severities of one of the kind's defects to a component with these values, nil if they suit all.
	tune func(values map[string]float64, d *Defect)
}

// families lists every kind in the order in which the guide shows them. It is never written to.
func families() []family {
	return []family{
		batteryFamily(), fuseFamily(), largeFuseFamily(), fusibleLinkFamily(), breakerFamily(), resetBreakerFamily(), ptcFuseFamily(),
		switchFamily(), buttonFamily(), relayFamily(), flasherFamily(),
		lampFamily(), ledFamily(), hornFamily(), buzzerFamily(), heaterFamily(), ptcHeaterFamily(),
		motorFamily(), wiperFamily(), solenoidFamily(), alternatorFamily(),
		resistorFamily(), resistorPackFamily(), diodeFamily(), suppressorFamily(),
		potentiometerFamily(), thermistorFamily(), platinumFamily(), pressureFamily(), hallFamily(), pickupFamily(),
		moduleFamily(), nodeFamily(),
	}
}

// Kinds returns every kind of component, always in the same order. The caller owns the slice.
func Kinds() []Kind {
	fs := families()
	kinds := make([]Kind, len(fs))
	for i, f := range fs {
		kinds[i] = f.kind
	}
	return kinds
}

// Lookup returns the kind with a name as written in a harness file, and whether there is one.
func Lookup(name string) (Kind, bool) {
	f, ok := lookup(name)
	return f.kind, ok
}

func lookup(name string) (family, bool) {
	for _, f := range theFamilies() {
		if f.kind.Name == name {
			return f, true
		}
	}
	return family{}, false
}

// theFamilies are made once for whoever looks for one of them.
var theFamilies = sync.OnceValue(families)

// New makes a device from its description. Values that are absent take the kind's defaults, and Terminals may be left out
// where the kind names them. The error tells of everything that is wrong, each with the key, the value and what would
// be right; several are joined as by errors.Join.
func New(spec Spec) (Device, error) {
	f, ok := lookup(spec.Kind)
	if !ok {
		var names []string
		for _, f := range families() {
			names = append(names, f.kind.Name)
		}
		return nil, fmt.Errorf("unknown kind %q (known: %s)", spec.Kind, strings.Join(names, ", "))
	}
	spec, err := f.kind.complete(spec)
	if err != nil {
		return nil, err
	}
	d := f.make(spec)
	if frail, ok := d.(interface{ describe(string, []Defect) }); ok {
		frail.describe(spec.Kind, f.defects(spec))
	}
	return d, nil
}

// complete checks a Spec against its kind and returns it with everything filled in that may be left out.
func (k Kind) complete(spec Spec) (Spec, error) {
	var errs []error
	values := make(map[string]float64, len(k.Params))
	for _, p := range k.Params {
		x, given := spec.Values[p.Key]
		switch {
		case !given && p.Required:
			errs = append(errs, fmt.Errorf("%s: %s is missing: give a value %s", k.Name, p.Key, p.span()))
		case !given && p.Extra:
			continue
		case !given:
			x = p.Default
		case !(x >= p.Min && x <= p.Max):
			errs = append(errs, fmt.Errorf("%s: %s must be %s (got %g)", k.Name, p.Key, p.span(), x))
		}
		values[p.Key] = x
	}
	for _, key := range slices.Sorted(maps.Keys(spec.Values)) {
		if _, known := values[key]; !known {
			errs = append(errs, fmt.Errorf("%s: unknown value %q (known: %s)", k.Name, key, k.keys()))
		}
	}
	spec.Values = values
	if k.Logic {
		errs = append(errs, checkLogic(k.Name, &spec)...)
	} else if spec.Logic != nil {
		errs = append(errs, fmt.Errorf("%s: takes no table of conditions", k.Name))
	}
	if !k.OwnTerminals {
		names := k.terminalNames()
		if len(spec.Terminals) == 0 {
			spec.Terminals = names
		}
		if !slices.Equal(spec.Terminals, names) {
			errs = append(errs, fmt.Errorf("%s: terminals must be %s (got %s)", k.Name, strings.Join(names, " "), strings.Join(spec.Terminals, " ")))
		}
	} else if err := checkOwnTerminals(k.Name, spec.Terminals); err != nil {
		errs = append(errs, err)
	}
	if k.Table {
		errs = append(errs, checkTable(k.Name, spec)...)
	} else if len(spec.Positions) > 0 {
		errs = append(errs, fmt.Errorf("%s: takes no table of positions", k.Name))
	}
	return spec, errors.Join(errs...)
}

func checkOwnTerminals(kind string, names []string) error {
	if len(names) < 2 {
		return fmt.Errorf("%s: needs two terminals or more (got %d)", kind, len(names))
	}
	for i, t := range names {
		if t == "" {
			return fmt.Errorf("%s: terminal %d has no name", kind, i+1)
		}
		if slices.Contains(names[:i], t) {
			return fmt.Errorf("%s: terminal %q is listed twice", kind, t)
		}
	}
	return nil
}

// checkLogic checks a table of conditions; its terminals may be left out.
func checkLogic(kind string, spec *Spec) []error {
	l := spec.Logic
	if l == nil {
		return []error{fmt.Errorf("%s: needs a table of conditions", kind)}
	}
	var errs []error
	for _, f := range l.Flaws() {
		errs = append(errs, fmt.Errorf("%s: %s: %s", kind, strings.Join(f.Path, ": "), f.Text))
	}
	if len(spec.Terminals) == 0 {
		spec.Terminals = l.Terminals()
	}
	for _, t := range l.Terminals() {
		if !slices.Contains(spec.Terminals, t) {
			errs = append(errs, fmt.Errorf("%s: its table names terminal %q, which it does not have (it has %s)", kind, t, strings.Join(spec.Terminals, " ")))
		}
	}
	return errs
}

func checkTable(kind string, spec Spec) []error {
	var errs []error
	if len(spec.Positions) < 2 {
		errs = append(errs, fmt.Errorf("%s: needs two positions or more (got %d)", kind, len(spec.Positions)))
	}
	for i, p := range spec.Positions {
		if p.Name == "" {
			errs = append(errs, fmt.Errorf("%s: position %d has no name", kind, i+1))
		}
		if slices.ContainsFunc(spec.Positions[:i], func(q Position) bool { return q.Name == p.Name }) {
			errs = append(errs, fmt.Errorf("%s: position %q is listed twice", kind, p.Name))
		}
		for _, join := range p.Joins {
			for _, t := range join {
				if !slices.Contains(spec.Terminals, t) {
					errs = append(errs, fmt.Errorf("%s: position %q joins terminal %q, which it does not have (it has %s)",
						kind, p.Name, t, strings.Join(spec.Terminals, " ")))
				}
			}
			if join[0] == join[1] {
				errs = append(errs, fmt.Errorf("%s: position %q joins terminal %q to itself", kind, p.Name, join[0]))
			}
		}
	}
	return errs
}

func (k Kind) terminalNames() []string {
	names := make([]string, len(k.Terminals))
	for i, t := range k.Terminals {
		names[i] = t.Name
	}
	return names
}

func (k Kind) keys() string {
	keys := make([]string, len(k.Params))
	for i, p := range k.Params {
		keys[i] = p.Key
	}
	return strings.Join(keys, ", ")
}

// span says in words which values a parameter takes.
func (p Param) span() string {
	unit := ""
	if p.Dim != None {
		unit = " " + string(p.Dim)
	}
	return fmt.Sprintf("from %g to %g%s", p.Min, p.Max, unit)
}

// spoilt is the defect that is in a component, with its severity in the defect's own dimension; no name means health. Devices
// embed it, and with it Spoil.
type spoilt struct {
	kind     string
	all      []Defect // that the component can have
	name     string
	severity float64
}

// describe tells what can go wrong with the component.
func (s *spoilt) describe(kind string, all []Defect) { s.kind, s.all = kind, all }

// heal takes the defect away.
func (s *spoilt) heal() { s.name, s.severity = "", 0 }

// Spoil implements Defective.
func (s *spoilt) Spoil(defect string, severity float64) error { return s.put(defect, severity) }

// put changes to one of the defects, "" for health. A severity of 0 stands for the typical one. The error names what would be
// right, and then nothing has changed.
func (s *spoilt) put(defect string, severity float64) error {
	if defect == "" {
		s.heal()
		return nil
	}
	i := slices.IndexFunc(s.all, func(d Defect) bool { return d.Name == defect })
	if i < 0 {
		names := make([]string, len(s.all))
		for i, d := range s.all {
			names[i] = d.Name
		}
		return fmt.Errorf("%s: unknown defect %q (known: %s)", s.kind, defect, strings.Join(names, ", "))
	}
	d := s.all[i]
	switch {
	case d.Dim == None:
		severity = 0
	case severity == 0 && d.Low > 0:
		severity = d.Typical
	case !(severity >= d.Low && severity <= d.High):
		return fmt.Errorf("%s: %s must be from %g to %g %s (got %g)", s.kind, defect, d.Low, d.High, d.Dim, severity)
	}
	s.name, s.severity = defect, severity
	return nil
}

// Defects returns what can go wrong with this very component: its kind's defects, less those that need a part it has not
// got, with severities that make a difference to one of its values, and for one with a table of joins those of each
// contact. The order is fixed; the caller owns the slice. It is empty for an unknown kind.
func (s Spec) Defects() []Defect {
	f, ok := lookup(s.Kind)
	if !ok {
		return nil
	}
	values := make(map[string]float64, len(f.kind.Params))
	for _, p := range f.kind.Params {
		values[p.Key] = p.Default
		if x, given := s.Values[p.Key]; given {
			values[p.Key] = x
		}
	}
	s.Values = values
	return f.defects(s)
}

// defects is Spec.Defects of a complete Spec.
func (f family) defects(s Spec) []Defect {
	var all []Defect
	for _, d := range f.kind.Defects {
		if d.Needs != "" && s.Values[d.Needs] <= 0 {
			continue
		}
		if f.tune != nil {
			f.tune(s.Values, &d)
		}
		all = append(all, d)
	}
	if f.kind.Logic && s.Logic != nil {
		all = append(all, logicDefects(s.Logic)...)
	}
	if f.kind.Table {
		all = append(all, contactDefects(s.Positions)...)
	}
	return all
}

// span bounds the severity of a defect.
func (d *Defect) span(low, typical, high float64) { d.Low, d.Typical, d.High = low, typical, high }
