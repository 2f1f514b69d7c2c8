package bundle_test

import (
	"compress/gzip"
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"faultloom/cmd/internal/bundle"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// source makes a tiny module that stands in for this one.
func source(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{
		"go.mod":                          "module faultloom\n\ngo 1.26.0\n",
		"go.sum":                          "",
		"cmd/bench/main.go":               "package main\n\nimport \"faultloom/sim/x\"\n\nfunc main() { println(x.X) }\n",
		"sim/x/x.go":                      "package x\n\nconst X = 1\n",
		"sim/x/x_test.go":                 "package x\n",
		"assets/assets.go":                "package assets\n",
		"assets/page/page.js":             "// page\n",
		"sim/x/testdata/table.csv":        "1\n",
		"scenarios/harbour/anything.yaml": "a: 1\n",
		"README.md":                       "read\n",
	} {
		write(t, filepath.Join(dir, filepath.FromSlash(name)), text)
	}
	return dir
}

func write(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
}

func TestKeyFollowsTheSource(t *testing.T) {
	dir := source(t)
	key := func() string {
		k, err := bundle.Digest(context.Background(), dir)
		require.NoError(t, err)
		return k
	}
	first := key()
	assert.Equal(t, first, key(), "the same source has the same key")
	for _, c := range []struct {
		name, file, text string
		changes          bool
	}{
		{"a line of Go", "sim/x/x.go", "package x\n\nconst X = 2\n", true},
		{"a new file", "sim/x/y.go", "package x\n", true},
		{"the page", "assets/page/page.js", "// other\n", true},
		{"a module", "go.sum", "x v1 h1:=\n", true},
		{"a test", "sim/x/x_test.go", "package x\n\n// more\n", false},
		{"a table of tests", "sim/x/testdata/table.csv", "2\n", false},
		{"an exercise, which the page gets from the server", "scenarios/harbour/anything.yaml", "a: 2\n", false},
		{"the README", "README.md", "more\n", false},
	} {
		before := key()
		write(t, filepath.Join(dir, filepath.FromSlash(c.file)), c.text)
		assert.Equal(t, c.changes, key() != before, c.name)
	}
	require.NoError(t, os.Remove(filepath.Join(dir, "sim", "x", "y.go")))
	write(t, filepath.Join(dir, "sim", "y.go"), "package x\n")
	moved := key()
	require.NoError(t, os.Rename(filepath.Join(dir, "sim", "y.go"), filepath.Join(dir, "sim", "z.go")))
	assert.NotEqual(t, moved, key(), "a file's name counts too")
}

// Everything that the bench is built from lies in the folders that the key looks at.
func TestKeyMissesNothing(t *testing.T) {
	cmd := exec.Command("go", "list", "-deps", "faultloom/cmd/bench")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := cmd.Output()
	require.NoError(t, err)
	own := 0
	for _, p := range strings.Fields(string(out)) {
		rest, ok := strings.CutPrefix(p, "faultloom/")
		if !ok {
			continue
		}
		own++
		seen := false
		for _, s := range bundle.Sources {
			seen = seen || rest == s || strings.HasPrefix(rest, s+"/")
		}
		assert.True(t, seen, "%s is not among %v", p, bundle.Sources)
	}
	assert.Greater(t, own, 5, "the list is not empty")
}

func TestBuildIsCachedAndWhole(t *testing.T) {
	dir, cache := source(t), filepath.Join(t.TempDir(), "not", "there", "yet")
	type step struct {
		done, total int
		what        string
	}
	var steps []step
	built, err := bundle.Ensure(context.Background(), dir, cache, func(done, total int, what string) {
		steps = append(steps, step{done, total, what})
	})
	require.NoError(t, err)

	require.NotEmpty(t, steps, "progress is told")
	for i, s := range steps {
		assert.True(t, 0 < s.done && s.done <= s.total, "%+v", s)
		assert.NotEmpty(t, s.what)
		if i > 0 {
			assert.GreaterOrEqual(t, s.done, steps[i-1].done, "it never goes back")
		}
	}
	last := steps[len(steps)-1]
	assert.Equal(t, last.total, last.done, "it ends at the end")

	f, err := os.Open(filepath.Join(built, bundle.WasmName))
	require.NoError(t, err)
	defer f.Close()
	z, err := gzip.NewReader(f)
	require.NoError(t, err)
	program, err := io.ReadAll(z)
	require.NoError(t, err)
	assert.Equal(t, "\x00asm\x01\x00\x00\x00", string(program[:8]), "magic and version (WebAssembly Core Specification 1.0, section 5.5.16)")
	script, err := os.ReadFile(filepath.Join(built, bundle.ExecName))
	require.NoError(t, err)
	assert.Contains(t, string(script), "Go = class")
	only(t, cache, filepath.Base(built))
	only(t, built, bundle.WasmName, bundle.ExecName)

	again, err := bundle.Ensure(context.Background(), dir, cache, func(int, int, string) { t.Error("nothing is built again") })
	require.NoError(t, err)
	assert.Equal(t, built, again)

	require.NoError(t, os.Remove(filepath.Join(built, bundle.ExecName)))
	again, err = bundle.Ensure(context.Background(), dir, cache, nil)
	require.NoError(t, err, "a bundle of which a part is gone is built again")
	assert.Equal(t, built, again)
	only(t, built, bundle.WasmName, bundle.ExecName)

	write(t, filepath.Join(dir, "sim", "x", "x.go"), "package x\n\nconst X = 3\n")
	other, err := bundle.Ensure(context.Background(), dir, cache, nil)
	require.NoError(t, err)
	assert.NotEqual(t, built, other)
	only(t, cache, filepath.Base(built), filepath.Base(other))
}

// only checks what a folder holds.
func only(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	assert.ElementsMatch(t, want, got, dir)
}

func TestNothingHalfBuiltIsLeft(t *testing.T) {
	t.Run("source that does not compile", func(t *testing.T) {
		dir, cache := source(t), t.TempDir()
		write(t, filepath.Join(dir, "sim", "x", "x.go"), "package x\n\nconst X = nonsense\n")
		_, err := bundle.Ensure(context.Background(), dir, cache, nil)
		require.ErrorContains(t, err, "building the bench for the browser failed")
		assert.ErrorContains(t, err, "nonsense", "the compiler's own words")
		only(t, cache)
	})
	t.Run("stopped on the way", func(t *testing.T) {
		dir, cache := source(t), t.TempDir()
		write(t, filepath.Join(dir, "sim", "x", "x.go"), "package x\n\nconst X = 4\n")
		ctx, stop := context.WithCancel(context.Background())
		_, err := bundle.Ensure(ctx, dir, cache, func(int, int, string) { stop() })
		require.Error(t, err)
		only(t, cache)
	})
	t.Run("a folder that cannot be made", func(t *testing.T) {
		dir, file := source(t), filepath.Join(t.TempDir(), "file")
		write(t, file, "")
		_, err := bundle.Ensure(context.Background(), dir, file, nil)
		assert.ErrorContains(t, err, "bundle cache")
	})
}

func TestTidyTakesOnlyItsOwnOldFolders(t *testing.T) {
	cache := t.TempDir()
	old := time.Now().Add(-100 * 24 * time.Hour)
	for _, name := range []string{"0123456789abcdef01234567", "building-123", "76543210fedcba9876543210", "photos", "0123", "zzzz456789abcdef01234567"} {
		require.NoError(t, os.Mkdir(filepath.Join(cache, name), 0o755))
		if name != "76543210fedcba9876543210" {
			require.NoError(t, os.Chtimes(filepath.Join(cache, name), old, old))
		}
	}
	write(t, filepath.Join(cache, "building-file"), "")
	require.NoError(t, os.Chtimes(filepath.Join(cache, "building-file"), old, old))
	bundle.Tidy(cache, time.Now().Add(-time.Hour))
	only(t, cache, "76543210fedcba9876543210", "photos", "0123", "zzzz456789abcdef01234567", "building-file")
}

func TestFindSource(t *testing.T) {
	want, err := filepath.Abs(filepath.Join("..", "..", ".."))
	require.NoError(t, err)
	got, err := bundle.FindSource(context.Background())
	require.NoError(t, err)
	assert.Equal(t, want, got)

	t.Chdir(t.TempDir())
	got, err = bundle.FindSource(context.Background())
	if bundle.BuiltFrom() == "" { // as with -trimpath
		assert.ErrorContains(t, err, "--bundle")
		return
	}
	require.NoError(t, err, "elsewhere the source that it was built from is used")
	assert.Equal(t, want, got)

	t.Setenv("PATH", "")
	_, err = bundle.FindSource(context.Background())
	assert.ErrorContains(t, err, "no go command on the path")
}
