package store_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"faultloom/cmd/internal/store"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var noon = time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC)

func open(t *testing.T) *store.Store {
	t.Helper()
	s, err := store.Open(t.TempDir())
	require.NoError(t, err)
	return s
}

func create(t *testing.T, s *store.Store, id string) *store.File {
	t.Helper()
	f, err := s.Create(id, noon)
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

func content(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func TestCreateNeverOverwrites(t *testing.T) {
	s := open(t)
	paths := map[string]bool{}
	for n := range 12 {
		f := create(t, s, "a-job")
		require.NoError(t, f.Append([]byte{byte('a' + n), '\n'}))
		assert.False(t, paths[f.Path()], "%s is new", f.Path())
		paths[f.Path()] = true
	}
	kept, err := s.List("a-job")
	require.NoError(t, err)
	require.Len(t, kept, 12)
	for n, k := range kept {
		assert.Equal(t, string(rune('a'+n))+"\n", content(t, k.Path), "attempts of one moment are listed in the order they began")
		assert.Equal(t, "a-job", k.Exercise)
	}
}

func TestListIsByExerciseAndTime(t *testing.T) {
	s := open(t)
	for n, id := range []string{"b", "a", "b", "a-longer-name"} {
		f, err := s.Create(id, noon.Add(-time.Duration(n)*time.Hour))
		require.NoError(t, err)
		require.NoError(t, f.Close())
	}
	for _, name := range []string{"notes.txt", "a.attempt.jsonl", "b@x.score.json", store.Suffix} {
		require.NoError(t, os.WriteFile(filepath.Join(s.Dir(), name), nil, 0o600))
	}
	require.NoError(t, os.Mkdir(filepath.Join(s.Dir(), "a@folder"+store.Suffix), 0o700))
	ids := func(exercise string) (out []string) {
		kept, err := s.List(exercise)
		require.NoError(t, err)
		for _, k := range kept {
			out = append(out, k.Exercise+" "+k.Began)
		}
		return out
	}
	assert.Equal(t, []string{"a-longer-name 20310506T090000.000", "b 20310506T100000.000", "a 20310506T110000.000", "b 20310506T120000.000"}, ids(""), "oldest first, strangers left out")
	assert.Equal(t, []string{"b 20310506T100000.000", "b 20310506T120000.000"}, ids("b"))
	assert.Equal(t, []string{"a 20310506T110000.000"}, ids("a"), "not the one whose name begins alike")
	assert.Empty(t, ids("c"))
}

func TestNamesThatAreNoFileNames(t *testing.T) {
	s := open(t)
	for _, id := range []string{"", "..", "../x", `a\b`, "a/b", "a@b", "c:x", ".hidden"} {
		_, err := s.Create(id, noon)
		assert.ErrorContains(t, err, "cannot name a file", "%q", id)
	}
	entries, err := os.ReadDir(s.Dir())
	require.NoError(t, err)
	assert.Empty(t, entries, "nothing was made")
}

func TestAppendErrorLeavesTheFileAsItWas(t *testing.T) {
	full := errors.New("no space left")
	for _, c := range []struct {
		name        string
		room        int
		write, sync error
	}{
		{"nothing written", 0, full, nil},
		{"half a line written", 5, full, nil},
		{"all but the newline written", 9, full, nil},
		{"written but not flushed", 0, nil, full},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := create(t, open(t), "job")
			require.NoError(t, f.Append([]byte("line one\n")))
			store.Break(f, c.room, c.sync, nil, c.write)
			err := f.Append([]byte("line two!\n"))
			require.ErrorIs(t, err, full)
			assert.ErrorContains(t, err, "could not be saved")
			assert.Equal(t, "line one\n", content(t, f.Path()))
			store.Mend(f)
			require.NoError(t, f.Append([]byte("line 3\n")), "with the disk mended it goes on")
			assert.Equal(t, "line one\nline 3\n", content(t, f.Path()))
		})
	}
}

func TestAppendAfterATornLineIsRefused(t *testing.T) {
	full, stuck := errors.New("no space left"), errors.New("read-only by now")
	f := create(t, open(t), "job")
	require.NoError(t, f.Append([]byte("line one\n")))
	store.Break(f, 4, nil, stuck, full)
	require.ErrorIs(t, f.Append([]byte("line two\n")), full)
	store.Mend(f)
	require.ErrorIs(t, f.Append([]byte("line two\n")), stuck, "nothing may be written behind half a line")
	assert.Equal(t, "line one\nline", content(t, f.Path()))
}

// Whatever byte the program was killed at, what was whole is kept and the file can be written on.
func TestContinueAfterAnyCut(t *testing.T) {
	const whole = "first\nsecond line\nthird\n"
	dir := t.TempDir()
	for n := range len(whole) + 1 {
		path := filepath.Join(dir, "cut")
		require.NoError(t, os.WriteFile(path, []byte(whole[:n]), 0o600))
		keep := 0
		for i := range n {
			if whole[i] == '\n' {
				keep = i + 1
			}
		}
		f, err := store.Continue(path, int64(n), int64(keep))
		require.NoError(t, err, "cut at %d", n)
		require.NoError(t, f.Append([]byte("next\n")))
		require.NoError(t, f.Close())
		assert.Equal(t, whole[:keep]+"next\n", content(t, path), "cut at %d", n)
	}
}

func TestTwoProgramsAtOneFile(t *testing.T) {
	f := create(t, open(t), "job")
	require.NoError(t, f.Append([]byte("one\n")))
	g, err := store.Continue(f.Path(), 4, 4)
	require.NoError(t, err)
	defer g.Close()
	require.NoError(t, g.Unchanged())
	require.NoError(t, f.Append([]byte("two\n")))
	require.ErrorIs(t, g.Unchanged(), store.ErrElsewhere)
	require.ErrorIs(t, g.Append([]byte("2\n")), store.ErrElsewhere)
	assert.Equal(t, "one\ntwo\n", content(t, f.Path()))
	require.NoError(t, f.Append([]byte("three\n")), "the first goes on")

	_, err = store.Continue(f.Path(), 4, 4)
	require.ErrorIs(t, err, store.ErrElsewhere, "it grew after it was read")
	assert.Equal(t, "one\ntwo\nthree\n", content(t, f.Path()), "nothing was cut off")
}

func TestOpenSaysWhatIsWrong(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := store.Open(file)
	assert.ErrorContains(t, err, "the folder for attempts cannot be made")
}

func TestDefaultDir(t *testing.T) {
	t.Setenv("FAULTLOOM_DATA", "/somewhere")
	dir, err := store.DefaultDir()
	require.NoError(t, err)
	assert.Equal(t, "/somewhere", dir)
}
