package scenarios

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strings"

	"faultloom/sim/device"
)

// SchemaKinds returns the kinds of files that have a schema, in the order in which a person meets them.
func SchemaKinds() []string { return []string{"harness", "exercise", "shared"} }

// Schema returns the JSON Schema (draft 2020-12) of a kind of file, for editors: "harness", "exercise" or "shared". It is made
// from the table that the loader checks files against, so an editor and the loader complain of the same keys and words;
// what needs the whole file, such as a wire end that leads nowhere, only the loader sees. It returns nil for another kind.
func Schema(kind string) []byte {
	f := newForms(device.Kinds())
	var s *shape
	switch kind {
	case "harness":
		s = f.harness
	case "exercise":
		s = f.exercise
	case "shared":
		s = f.shared
	default:
		return nil
	}
	out := f.schema(s)
	out["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	out["title"] = fmt.Sprintf("Faultloom %s file", kind)
	if kind == "exercise" {
		out["oneOf"] = []any{
			object{"required": []string{"fault"}}, object{"required": []string{"faults"}}, object{"required": []string{"draw"}},
			object{"required": []string{"sealed"}},
		}
	}
	data, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		panic("scenarios: schema: " + err.Error()) // the table holds nothing that JSON lacks
	}
	return append(data, '\n')
}

type object = map[string]any

// scalarTypes are what YAML may take an unquoted word for.
var scalarTypes = [3]string{"string", "number", "boolean"}

func (f forms) schema(s *shape) object {
	switch s.is {
	case isText:
		return object{"type": scalarTypes, "minLength": 1, "maxLength": maxText}
	case isName:
		return object{"type": scalarTypes, "pattern": s.rule.pattern}
	case isNumber:
		word := "number"
		if s.whole {
			word = "integer"
		}
		return object{"type": word, "minimum": s.min, "maximum": s.max}
	case isQuantity:
		return object{"type": "string", "pattern": quantityPattern(s)}
	case isChoice:
		return object{"enum": s.words}
	case isYes:
		return object{"enum": []any{"yes", "no", true, false}}
	case isList:
		list := object{"type": "array", "items": f.schema(s.item), "minItems": s.least, "maxItems": s.most}
		if s.alone {
			return object{"anyOf": []any{f.schema(s.item), list}}
		}
		return list
	case isTable:
		return object{"type": "object", "propertyNames": object{"pattern": s.rule.pattern}, "maxProperties": s.most,
			"additionalProperties": f.schema(s.item)}
	case isPart:
		return f.partSchema(s)
	}
	return f.recordSchema(s.keys)
}

// quantityPattern matches what parseQuantity takes for a shape, but for the range: JSON Schema cannot compare numbers in
// strings. A sign is only allowed where the range has one.
func quantityPattern(s *shape) string {
	sign := ""
	if s.min < 0 {
		sign = "-?"
	}
	var spelt []string
	for _, u := range spellings(s.dim) {
		spelt = append(spelt, regexp.QuoteMeta(u))
	}
	return `^\+?` + sign + `([0-9]+(\.[0-9]+)?|\.[0-9]+)\s*(` + strings.Join(spelt, "|") + `)$`
}

func (f forms) recordSchema(keys []key) object {
	properties, required := object{}, []string{}
	for _, k := range keys {
		p := f.schema(k.shape)
		p["description"] = k.hint()
		properties[k.name] = p
		if k.must {
			required = append(required, k.name)
		}
	}
	return object{"type": "object", "properties": properties, "required": required, "additionalProperties": false}
}

// partSchema lets the kind of a component decide which other keys it may have.
func (f forms) partSchema(s *shape) object {
	var byKind []any
	for _, k := range f.kinds {
		byKind = append(byKind, object{
			"if":   object{"properties": object{"kind": object{"const": k.Name}}, "required": []string{"kind"}},
			"then": f.recordSchema(f.ofKind[k.Name]),
		})
	}
	kind := f.schema(s.keys[0].shape)
	kind["description"] = s.keys[0].hint()
	return object{"type": "object", "properties": object{"kind": kind}, "required": []string{"kind"}, "allOf": byKind}
}

// hint is what an editor shows of a key.
func (k key) hint() string {
	out := k.doc
	if s := k.shape; s.is == isQuantity || s.is == isNumber {
		if span := s.span(); span != "" {
			out += " From " + span + "."
		}
	}
	if k.show != "" {
		out += " For instance: " + k.show + "."
	}
	return out
}

// span says from where to where a number goes, "" when it has no practical end.
func (s *shape) span() string {
	if math.IsInf(s.min, -1) || s.max >= 1<<53 {
		return ""
	}
	from := showQuantity(s.min, s.dim)
	if s.above {
		from = "above " + from
	}
	return from + " to " + showQuantity(s.max, s.dim)
}
