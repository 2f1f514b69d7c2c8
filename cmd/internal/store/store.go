// Package store keeps attempts on disk: one append-only file each, written through before an action shows as done.
package store

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"
)

// Suffix ends the name of every attempt's file.
const Suffix = ".attempt.jsonl"

// Store is a folder of attempts.
type Store struct{ dir string }

// DefaultDir returns where this user's attempts are kept unless told otherwise: $FAULTLOOM_DATA, else faultloom under
// the system's folder for a user's data.
func DefaultDir() (string, error) {
	if dir := os.Getenv("FAULTLOOM_DATA"); dir != "" {
		return dir, nil
	}
	if dir := os.Getenv("XDG_DATA_HOME"); dir != "" && runtime.GOOS != "windows" {
		return filepath.Join(dir, "faultloom"), nil
	}
	if runtime.GOOS == "linux" {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", fmt.Errorf("no folder for your attempts: %w (set FAULTLOOM_DATA)", err)
		}
		return filepath.Join(home, ".local", "share", "faultloom"), nil
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder for your attempts: %w (set FAULTLOOM_DATA)", err)
	}
	return filepath.Join(dir, "faultloom"), nil
}

// Open makes the folder if there is none and checks that it can be written.
func Open(dir string) (*Store, error) {
	s := &Store{filepath.Join(dir, "attempts")}
	if err := os.MkdirAll(s.dir, 0o700); err != nil {
		return nil, fmt.Errorf("the folder for attempts cannot be made: %w", err)
	}
	probe, err := os.CreateTemp(s.dir, "write-test-")
	if err != nil {
		return nil, fmt.Errorf("the folder for attempts cannot be written: %w", err)
	}
	probe.Close()
	os.Remove(probe.Name())
	return s, nil
}

// Dir is the folder.
func (s *Store) Dir() string { return s.dir }

// Kept is one attempt's file.
type Kept struct {
	Path     string
	Exercise string
	Began    string // sorts by time
}

// List returns the attempts at an exercise, oldest first; at all exercises when it is "".
func (s *Store) List(exercise string) ([]Kept, error) {
	entries, err := os.ReadDir(s.dir)
	if err != nil {
		return nil, err
	}
	var out []Kept
	for _, e := range entries {
		name, ok := strings.CutSuffix(e.Name(), Suffix)
		if !ok || !e.Type().IsRegular() {
			continue
		}
		id, began, ok := cutLast(name, "@")
		if ok && (exercise == "" || id == exercise) {
			out = append(out, Kept{filepath.Join(s.dir, e.Name()), id, began})
		}
	}
	slices.SortFunc(out, func(a, b Kept) int {
		return cmp.Or(cmp.Compare(a.Began, b.Began), cmp.Compare(a.Path, b.Path))
	})
	return out, nil
}

func cutLast(s, sep string) (before, after string, found bool) {
	i := strings.LastIndex(s, sep)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(sep):], true
}

// Create begins a new attempt's file; it never overwrites one.
func (s *Store) Create(exercise string, now time.Time) (*File, error) {
	if exercise == "" || strings.ContainsAny(exercise, `/\@:`) || strings.HasPrefix(exercise, ".") {
		return nil, fmt.Errorf("exercise %q cannot name a file", exercise)
	}
	for n := 0; n < 1000; n++ {
		began := now.UTC().Format("20060102T150405.000")
		if n > 0 {
			began += fmt.Sprintf("-%03d", n)
		}
		path := filepath.Join(s.dir, exercise+"@"+began+Suffix)
		f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		syncDir(s.dir)
		return newFile(f, path, 0), nil
	}
	return nil, fmt.Errorf("too many attempts at %s began in this moment", exercise)
}

// syncDir makes a new file's name safe too, where the system allows it.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}
