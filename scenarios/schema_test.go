package scenarios_test

import (
	"bytes"
	"flag"
	"io/fs"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"faultloom/scenarios"
)

var update = flag.Bool("update", false, "write the generated files anew: schemas and guide")

// golden compares generated text with a file of this package, or writes it with -update.
func golden(t *testing.T, file string, got []byte) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(file, got, 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(want, got), "%s is not what the tables make; run go test ./scenarios -update and look at the difference", file)
}

// schema compiles the JSON Schema of a kind of file with a validator that is not ours.
func schema(t *testing.T, kind string) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(scenarios.Schema(kind)))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource(kind+".json", doc))
	s, err := c.Compile(kind + ".json")
	require.NoError(t, err)
	return s
}

// generic reads YAML as an editor does before it applies a schema.
func generic(t *testing.T, text string) any {
	t.Helper()
	var v any
	require.NoError(t, yaml.Unmarshal([]byte(text), &v))
	return named(v)
}

// named turns keys that YAML takes for numbers into words, as JSON has no others.
func named(v any) any {
	switch v := v.(type) {
	case map[any]any:
		out := map[string]any{}
		for k, x := range v {
			text, err := yaml.Marshal(k)
			if err == nil {
				out[strings.TrimSpace(string(text))] = named(x)
			}
		}
		return out
	case map[string]any:
		for k, x := range v {
			v[k] = named(x)
		}
	case []any:
		for i, x := range v {
			v[i] = named(x)
		}
	}
	return v
}

func TestSchemasAreUpToDate(t *testing.T) {
	for _, kind := range scenarios.SchemaKinds() {
		golden(t, "schema/"+kind+".json", scenarios.Schema(kind))
	}
	assert.Nil(t, scenarios.Schema("sonnet"))
}

// kindOf tells what a file is by the key that says so.
func kindOf(text string) string {
	for _, kind := range []string{"exercise", "harness", "shared"} {
		if strings.HasPrefix(text, kind+":") || strings.Contains(text, "\n"+kind+":") {
			return kind
		}
	}
	return ""
}

// TestShippedFilesFitTheirSchemas: an editor must not mark what the loader takes.
func TestShippedFilesFitTheirSchemas(t *testing.T) {
	compiled := map[string]*jsonschema.Schema{}
	for _, kind := range scenarios.SchemaKinds() {
		compiled[kind] = schema(t, kind)
	}
	check := func(name, text string) {
		kind := kindOf(text)
		require.NotEmpty(t, kind, name)
		assert.NoError(t, compiled[kind].Validate(generic(t, text)), name)
	}
	check("the good harness", good)
	check("the good exercise", goodExercise)
	for _, file := range []string{"guide/first.yaml", "guide/first-exercise.yaml"} {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		check(file, string(data))
	}
	err := fs.WalkDir(scenarios.Builtin(), ".", func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(scenarios.Builtin(), file)
		check(file, string(data))
		return err
	})
	require.NoError(t, err)
}

// TestSchemaRefuses: what an editor can see, it must mark. Each of these the loader refuses too.
func TestSchemaRefuses(t *testing.T) {
	s := schema(t, "harness")
	for _, c := range []struct{ name, old, new string }{
		{"unknown key", "title: Lamp A", "titel: Lamp A"},
		{"unknown key at the top", "splices:", "splice:"},
		{"missing key", "title: Fuse, rating: 10 A", "title: Fuse"},
		{"unknown kind", "kind: fuse", "kind: fues"},
		{"key of another kind", "rating: 10 A", "rating: 10 A, power: 4 W"},
		{"no unit", "F1.1, length: 1 m", "F1.1, length: 1"},
		{"wrong unit", "F1.1, length: 1 m", "F1.1, length: 1 mm2"},
		{"negative size", "F1.1, length: 1 m, size: 2.5 mm2", "F1.1, length: 1 m, size: -2.5 mm2"},
		{"unknown colour", "colour: RD/WH", "colour: RD/XX"},
		{"two tracers", "colour: RD/WH", "colour: RD/WH/BK"},
		{"id with a dot", "  S1: {access: 5 min}", "  S.1: {access: 5 min}"},
		{"end that is none", "to: X1.1.a", "to: X1/1"},
		{"list for a table", "  G1: {title: Ground}", "  - {id: G1}"},
		{"yes or no", "to: F1.1, length: 1 m", "to: F1.1, flexing: maybe, length: 1 m"},
		{"spot of three", "{access: 5 min}", "{access: 5 min, spot: [1, 2, 3]}"},
		{"join that is none", "on: 1-2", "on: 1+2"},
		{"empty words", "title: Lamp A", `title: ""`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := swap(t, c.old, c.new)
			assert.Error(t, s.Validate(generic(t, text)), "the schema lets it pass")
			assert.Error(t, load(text, nil), "the loader lets it pass")
		})
	}
	e := schema(t, "exercise")
	for _, c := range []struct{ name, old, new string }{
		{"no fault", "fault: wire 4 open\n", ""},
		{"fault and draw", "fault:", "draw: {seed: 1}\nfault:"},
		{"broken seed", "fault: wire 4 open", "draw: {seed: 1.5}"},
		{"unknown tool", "fault:", "tools: [hammer]\nfault:"},
		{"unknown mode", "fault:", "mode: exam\nfault:"},
		{"weights not all", "fault:", "weights: {confirm: 100}\nfault:"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Error(t, e.Validate(generic(t, strings.Replace(goodExercise, c.old, c.new, 1))))
		})
	}
}
