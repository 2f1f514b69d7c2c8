package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"faultloom/scenarios"
	"faultloom/sim/harness"

	"gopkg.in/yaml.v3"
)

// source is a harness with the files that it is made of.
type source struct {
	harness *harness.Harness
	files   []string // the harness's own first; relative to the folder that holds all, with slashes
	data    map[string][]byte
}

// base is the harness's file, seen from the folder that holds all.
func (s *source) base() string { return s.files[0] }

// source finds a harness and reads its files.
func (o *drawOptions) source(w io.Writer, arg string) (*source, error) {
	h, err := o.harness(w, arg)
	if err != nil {
		return nil, err
	}
	fsys, file := scenarios.Builtin(), ""
	switch {
	case isFile(arg):
		whole, err := filepath.Abs(arg)
		if err != nil {
			return nil, inputError(err)
		}
		top, rest := split(whole)
		fsys, file = os.DirFS(top), rest
	case o.dir != "":
		fsys = os.DirFS(o.dir)
	}
	if file == "" {
		lib, _ := scenarios.LoadAll(fsys) // what is wrong in it has been told
		for _, f := range lib.Harnesses {
			if f.Harness.ID == h.ID {
				file = f.File
			}
		}
	}
	t := &tracer{FS: fsys, read: map[string][]byte{}}
	if h, err = scenarios.Load(t, file); err != nil {
		return nil, inputError(err)
	}
	s := &source{harness: h, data: map[string][]byte{}}
	top := path.Dir(file)
	for name := range t.read {
		for top != "." && !strings.HasPrefix(name, top+"/") {
			top = path.Dir(top)
		}
	}
	for name, data := range t.read {
		short := name
		if top != "." {
			short = strings.TrimPrefix(name, top+"/")
		}
		s.data[short] = data
		if s.files = append(s.files, short); name == file {
			s.files[0], s.files[len(s.files)-1] = short, s.files[0]
		}
	}
	slices.Sort(s.files[1:])
	return s, nil
}

// tracer is a file system that remembers what was read whole.
type tracer struct {
	fs.FS
	mu   sync.Mutex
	read map[string][]byte
}

// Open opens a file and remembers what it holds.
func (t *tracer) Open(name string) (fs.File, error) {
	f, err := t.FS.Open(name)
	if err != nil {
		return nil, err
	}
	if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
		if data, err := fs.ReadFile(t.FS, name); err == nil {
			t.mu.Lock()
			t.read[name] = data
			t.mu.Unlock()
		}
	}
	return f, nil
}

// exerciseFile is an exercise as its file has it.
type exerciseFile struct {
	Exercise  string  `yaml:"exercise"`
	Title     string  `yaml:"title"`
	Harness   string  `yaml:"harness"`
	Complaint string  `yaml:"complaint"`
	State     string  `yaml:"state"`
	Sealed    string  `yaml:"sealed"`
	Mode      string  `yaml:"mode"`
	Seed      uint64  `yaml:"seed"`
	Minutes   float64 `yaml:"minutes"`
}

// standing is how a drawn vehicle stands in the workshop.
const standing = "In the workshop, all controls at rest. Nobody has looked at it yet."

// write writes the folder for trainees and the answer sheet, each whole or not at all, and tries the folder before it appears.
func (d *drawing) write(src *source, folder, answers string, sheet []byte) (err error) {
	hidden, err := os.MkdirTemp(filepath.Dir(filepath.Clean(folder)), ".draw-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(hidden)
	for _, name := range src.files {
		if err := put(filepath.Join(hidden, filepath.FromSlash(name)), src.data[name]); err != nil {
			return err
		}
	}
	for _, x := range d.drawn {
		seal, err := scenarios.Seal(x.ID, x.Faults)
		if err != nil {
			return err
		}
		var buf bytes.Buffer
		buf.WriteString("# Drawn by the program. The fault is sealed; the answer sheet has it.\n")
		if err := yaml.NewEncoder(&buf).Encode(exerciseFile{
			x.ID, x.Title, src.base(), x.Complaint, standing, seal, string(x.Mode), x.Seed, x.Minutes,
		}); err != nil {
			return err
		}
		if err := put(filepath.Join(hidden, x.ID+".yaml"), buf.Bytes()); err != nil {
			return err
		}
	}
	lib, err := scenarios.LoadAll(os.DirFS(hidden))
	if err != nil {
		return fmt.Errorf("the set cannot be read back: %w", err)
	}
	for _, x := range d.drawn {
		if back := lib.Exercise(x.ID); back == nil || back.Faults[0].String() != x.Faults[0].String() {
			return fmt.Errorf("exercise %s cannot be read back as it was", x.ID)
		}
	}
	f, err := os.OpenFile(answers, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(sheet)
	if err = errors.Join(err, f.Close()); err == nil {
		if err = os.Chmod(hidden, 0o755); err == nil {
			err = os.Rename(hidden, folder)
		}
	}
	if err != nil {
		os.Remove(answers)
	}
	return err
}

func put(name string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return os.WriteFile(name, data, 0o644)
}
