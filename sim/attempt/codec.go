package attempt

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"faultloom/sim/meter"
)

// Bounds on what an action may carry. They keep log lines short and clocks finite.
const (
	// MaxText is the largest length of a text in an action, in bytes. Names in harness files are shorter.
	MaxText = 200
	// MaxWait is the longest single wait in seconds of bench time.
	MaxWait = 600
	// MaxAmps is the largest fuse rating that can be asked for, in amperes.
	MaxAmps = 1000
	// MaxLevel is the largest level of the trace view in volts, either way.
	MaxLevel = 100
	// MaxLine is the largest number of a check line.
	MaxLine = 999
)

// Pages lists the pages that Study opens.
func Pages() []string { return []string{"sheet", "notes", "hints", "symptoms", "check"} }

// MalformedError says that an action is none: an unknown word, a value outside its bounds. Such an action is neither done
// nor logged. An action that is well formed but cannot be done here and now is refused instead, in its Observation.
type MalformedError struct{ What string }

func (e *MalformedError) Error() string { return e.What }

func malformed(format string, args ...any) error {
	return &MalformedError{What: fmt.Sprintf(format, args...)}
}

// shapes lists one zero value of every action, in the order used in messages.
func shapes() []Action {
	return []Action{Operate{}, Mark{}, Study{}, Dial{}, Relative{}, Capture{}, Zero{}, Sweep{}, Lead{}, Unplug{}, Plug{}, OpenLoom{}, CloseLoom{}, Inspect{}, Wiggle{}, Warm{}, Cool{},
		Find{}, Repair{}, FitFuse{}, ResetFuse{}, Ask{}, Wait{}, Close{}}
}

// EncodeAction writes act as one JSON object on one line: {"do":"unplug","connector":"X1"}. It returns a
// *MalformedError for an action that DecodeAction would not read back.
func EncodeAction(act Action) ([]byte, error) {
	if err := CheckAction(act); err != nil {
		return nil, err
	}
	fields, err := marshal(act)
	if err != nil {
		return nil, err
	}
	out := append([]byte(`{"do":"`), act.Do()...)
	out = append(out, '"')
	if len(fields) > 2 {
		out = append(out, ',')
	}
	return append(out, fields[1:]...), nil
}

// DecodeAction reads one JSON object as EncodeAction writes it. Every field of the action must be there, once, with its
// exact name; anything else is a *MalformedError that names the value.
func DecodeAction(data []byte) (Action, error) {
	fields, names, err := object(data)
	if err != nil {
		return nil, err
	}
	raw, ok := fields["do"]
	if !ok {
		return nil, malformed(`action: field "do" is missing: it must be one of %s`, wordsOf(shapes()))
	}
	var do string
	if err := json.Unmarshal(raw, &do); err != nil || isNull(raw) {
		return nil, malformed(`action: field "do" must be a text (got %s)`, clip(raw))
	}
	for _, shape := range shapes() {
		if shape.Do() != do {
			continue
		}
		v := reflect.New(reflect.TypeOf(shape)).Elem()
		if err := fill(v, do, fields, names); err != nil {
			return nil, err
		}
		act := v.Interface().(Action)
		if err := CheckAction(act); err != nil {
			return nil, err
		}
		return act, nil
	}
	return nil, malformed("action %q: must be one of %s", do, wordsOf(shapes()))
}

// object reads a flat JSON object: its fields by name, and the names in their order.
func object(data []byte) (map[string]json.RawMessage, []string, error) {
	if !utf8.Valid(data) {
		return nil, nil, malformed("action: must be UTF-8 text")
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	tok, err := dec.Token()
	if err != nil {
		return nil, nil, malformed("action: must be one JSON object (%v)", err)
	}
	if tok != json.Delim('{') {
		return nil, nil, malformed("action: must be one JSON object (got %s)", clip(data))
	}
	fields := map[string]json.RawMessage{}
	var names []string
	for dec.More() {
		tok, err := dec.Token()
		if err != nil {
			return nil, nil, malformed("action: must be one JSON object (%v)", err)
		}
		name, _ := tok.(string)
		if _, twice := fields[name]; twice {
			return nil, nil, malformed("action: field %q stands there twice", name)
		}
		var raw json.RawMessage
		if err := dec.Decode(&raw); err != nil {
			return nil, nil, malformed("action: field %q: %v", name, err)
		}
		fields[name] = raw
		names = append(names, name)
	}
	if _, err := dec.Token(); err != nil {
		return nil, nil, malformed("action: must be one JSON object (%v)", err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, nil, malformed("action: nothing may follow the object")
	}
	return fields, names, nil
}

// fill sets the fields of the action v from their JSON values.
func fill(v reflect.Value, do string, fields map[string]json.RawMessage, names []string) error {
	known := map[string]int{}
	var list []string
	for i := range v.NumField() {
		name := v.Type().Field(i).Tag.Get("json")
		known[name] = i
		list = append(list, name)
	}
	for _, name := range names {
		if name == "do" {
			continue
		}
		i, ok := known[name]
		if !ok {
			if len(list) == 0 {
				return malformed("action %q: field %q is unknown: it takes none", do, name)
			}
			return malformed("action %q: field %q is unknown: it takes %s", do, name, strings.Join(list, ", "))
		}
		f := v.Field(i)
		if err := json.Unmarshal(fields[name], f.Addr().Interface()); err != nil || isNull(fields[name]) {
			return malformed("action %q: field %q must be %s (got %s)", do, name, wanted(f.Kind()), clip(fields[name]))
		}
	}
	for _, name := range list {
		if _, ok := fields[name]; !ok {
			return malformed("action %q: field %q is missing", do, name)
		}
	}
	return nil
}

func wanted(k reflect.Kind) string {
	switch k {
	case reflect.String:
		return "a text"
	case reflect.Bool:
		return "true or false"
	case reflect.Int:
		return "a whole number"
	}
	return "a number"
}

func isNull(raw json.RawMessage) bool { return bytes.Equal(bytes.TrimSpace(raw), []byte("null")) }

// clip shortens data for a message.
func clip(data []byte) string {
	const most = 40
	s := string(bytes.TrimSpace(data))
	if len(s) > most {
		s = strings.ToValidUTF8(s[:most], "") + "…"
	}
	return s
}

func wordsOf(acts []Action) string {
	var words []string
	for _, a := range acts {
		words = append(words, a.Do())
	}
	return strings.Join(words, ", ")
}

// CheckAction returns a *MalformedError when a value of act is outside what any harness could allow.
func CheckAction(act Action) error {
	if act == nil {
		return malformed("action: there is none")
	}
	v := reflect.ValueOf(act)
	if v.Kind() != reflect.Struct {
		return malformed("action: must be one of %s, by value (got %T)", wordsOf(shapes()), act)
	}
	for i := range v.NumField() {
		if f := v.Field(i); f.Kind() == reflect.String {
			if err := checkText(act.Do(), v.Type().Field(i).Tag.Get("json"), f.String()); err != nil {
				return err
			}
		}
	}
	switch a := act.(type) {
	case Mark:
		if a.Line < 0 || a.Line > MaxLine {
			return malformed("action %q: line must be between 0 and %d (got %d)", a.Do(), MaxLine, a.Line)
		}
	case Study:
		for _, p := range Pages() {
			if a.Page == p {
				return nil
			}
		}
		return malformed("action %q: page must be one of %s (got %q)", a.Do(), strings.Join(Pages(), ", "), a.Page)
	case Ask:
		switch {
		case a.Topic != AskSuspects && a.Topic != AskReading && a.Topic != AskNext:
			return malformed("action %q: topic must be one of %s, %s, %s (got %q)", a.Do(), AskSuspects, AskReading, AskNext, a.Topic)
		case (a.Topic == AskReading) != (a.Point != ""):
			return malformed("action %q: point must be named for a reading, and only then (got %q)", a.Do(), a.Point)
		}
	case Dial:
		if _, err := meter.ParseFunction(string(a.Function)); err != nil {
			return malformed("action %q: %v", a.Do(), err)
		}
	case Lead:
		if a.End != 0 && a.End != 1 {
			return malformed("action %q: end must be 0 or 1 (got %d)", a.Do(), a.End)
		}
		return checkTool(a.Do(), a.Tool)
	case ResetFuse:
		return checkTool(a.Do(), a.Tool)
	case Zero:
		return checkTool(a.Do(), a.Tool)
	case Sweep:
		if !slices.Contains(meter.Sweeps(), a.Seconds) {
			return malformed("action %q: seconds must be one of %v (got %v)", a.Do(), meter.Sweeps(), a.Seconds)
		}
		if !(math.Abs(a.Level) <= MaxLevel) {
			return malformed("action %q: level must be between -%d and %d V (got %v)", a.Do(), MaxLevel, MaxLevel, a.Level)
		}
	case FitFuse:
		if !(a.Amps > 0 && a.Amps <= MaxAmps) {
			return malformed("action %q: amps must be above 0 and at most %d (got %v)", a.Do(), MaxAmps, a.Amps)
		}
	case Wait:
		if !(a.Seconds > 0 && a.Seconds <= MaxWait) || math.IsNaN(a.Seconds) {
			return malformed("action %q: seconds must be above 0 and at most %d (got %v)", a.Do(), MaxWait, a.Seconds)
		}
	}
	return nil
}

func checkTool(do string, t meter.Tool) error {
	if _, err := meter.ParseTool(string(t)); err != nil {
		return malformed("action %q: %v", do, err)
	}
	return nil
}

func checkText(do, field, s string) error {
	if len(s) > MaxText {
		return malformed("action %q: %s must be at most %d bytes long (got %d)", do, field, MaxText, len(s))
	}
	if !utf8.ValidString(s) {
		return malformed("action %q: %s must be UTF-8 text", do, field)
	}
	for _, r := range s {
		if unicode.IsControl(r) {
			return malformed("action %q: %s must hold no control characters (got %q)", do, field, s)
		}
	}
	return nil
}

// marshal writes v as compact JSON without turning <, > and & into escapes.
func marshal(v any) ([]byte, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(buf.Bytes(), []byte("\n")), nil
}
