package scenarios_test

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"faultloom/scenarios"
)

// seeds adds every shipped file, and files that are wrong in nasty ways.
func seeds(f *testing.F) {
	err := fs.WalkDir(scenarios.Builtin(), ".", func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(scenarios.Builtin(), file)
		f.Add(string(data), "shared: x\n")
		return err
	})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good, "shared: x\n")
	f.Add("include: part.yaml\n"+good, "shared: x\ninclude: part.yaml\n")
	f.Add("include: part.yaml\n"+good, "shared: x\ncomponents:\n  BAT: {kind: battery, title: B}\n")
	f.Add(goodExercise, good)
	f.Add(strings.Replace(goodExercise, "h.yaml", "part.yaml", 1), good)
	f.Add("exercise: x\nharness: main.yaml\n", "")
	f.Add("harness: x\ncomponents: {A: {kind: switch, positions: {a: [1-1, nothing], a: }}}\nwires: {1: {from: A, to: A.1.b}}\n", "")
	f.Add("harness: x\nsheet: {A: [1e9, .5, -.5]}\n? [1, 2]\n: {}\n", "\xff\xfe")
	f.Add(strings.Repeat("[", 20000), strings.Repeat("- ", 20000))
	f.Add("harness: &a [*a]\n", "<<: {}\n")
	f.Add("harness: !!binary x\n---\n", "%YAML 1.2\n---\n")
}

// FuzzLoad feeds arbitrary files to the loader. Whatever they hold, it returns: a harness that its own room calls valid, or
// problems that have a file and a message.
func FuzzLoad(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, main, part string) {
		fsys := fstest.MapFS{"main.yaml": {Data: []byte(main)}, "part.yaml": {Data: []byte(part)}}
		h, err := scenarios.Load(fsys, "main.yaml")
		judge(t, err, h == nil)
		if h != nil {
			if errs := h.Validate(); len(errs) > 0 {
				t.Errorf("the loader let a harness pass that is not valid: %v", errs)
			}
		}
		ex, err := scenarios.LoadExercise(fsys, "main.yaml")
		judge(t, err, ex == nil)
		_, err = scenarios.LoadAll(fsys)
		judge(t, err, err != nil)
	})
}

func judge(t *testing.T, err error, nothing bool) {
	t.Helper()
	if (err != nil) != nothing {
		t.Errorf("either a result or an error: got error %v, nothing %v", err, nothing)
	}
	if err == nil {
		return
	}
	ps, ok := err.(scenarios.Problems)
	if !ok || len(ps) == 0 {
		t.Fatalf("an error must be Problems with at least one in it (got %T)", err)
	}
	for _, p := range ps {
		if p.File == "" || p.Message == "" || p.Line < 0 || p.Column < 0 {
			t.Errorf("a problem without place or message: %+v", p)
		}
	}
}

// BenchmarkLoad reads the dock tractor; BenchmarkLoadAll everything that is shipped, the drawing of faults included.
func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, err := scenarios.Load(scenarios.Builtin(), "harbour/dock-tractor.yaml"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLoadAll(b *testing.B) {
	for b.Loop() {
		if _, err := scenarios.LoadAll(scenarios.Builtin()); err != nil {
			b.Fatal(err)
		}
	}
}
