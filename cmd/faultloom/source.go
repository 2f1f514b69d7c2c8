package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"faultloom/scenarios"
	"faultloom/sim/harness"

	"github.com/spf13/cobra"
)

// from is the folder of harness and exercise files that a command reads; "" is the ones that ship with the program.
type from struct{ dir string }

func (f *from) flag(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.dir, "from", "", "read harnesses and exercises from this `folder` (default: those that ship with the program)")
}

// library is what was right in the files that were read.
type library struct {
	*scenarios.Library
	bad int // how much was not, and was told
}

// library reads all files. Everything that is wrong is told on w; a command can go on with what is right.
func (f *from) library(w io.Writer) (*library, error) {
	if f.dir == "" {
		return readAll(scenarios.Builtin(), w, func(file string) string { return file }, nil)
	}
	if info, err := os.Stat(f.dir); err != nil {
		return nil, inputError(err)
	} else if !info.IsDir() {
		return nil, inputError(fmt.Errorf("--from takes a folder (%s is none)", f.dir))
	}
	return readAll(os.DirFS(f.dir), w, func(file string) string { return filepath.Join(f.dir, filepath.FromSlash(file)) }, nil)
}

// readAll reads a library and tells its problems, each at its file as name has it.
func readAll(fsys fs.FS, w io.Writer, name, text func(string) string) (*library, error) {
	lib, err := scenarios.LoadAll(fsys)
	out := &library{Library: lib}
	var problems scenarios.Problems
	if errors.As(err, &problems) {
		for _, p := range problems {
			p.File = name(p.File)
			if text != nil {
				p.Message = text(p.Message)
			}
			fmt.Fprintln(w, p)
		}
		out.bad = len(problems)
	} else if err != nil {
		return nil, inputError(err)
	}
	for i := range lib.Harnesses {
		lib.Harnesses[i].File = name(lib.Harnesses[i].File)
	}
	for i := range lib.Exercises {
		lib.Exercises[i].File = name(lib.Exercises[i].File)
	}
	return out, nil
}

// err is the error that ends a command whose files were not all right, nil if they were.
func (l *library) err() error {
	switch l.bad {
	case 0:
		return nil
	case 1:
		return inputError(errors.New("1 problem in these files"))
	}
	return inputError(fmt.Errorf("%d problems in these files", l.bad))
}

func (l *library) exerciseIDs() []string {
	var ids []string
	for _, e := range l.Exercises {
		ids = append(ids, e.Exercise.ID)
	}
	return ids
}

func (l *library) harnessIDs() []string {
	var ids []string
	for _, h := range l.Harnesses {
		ids = append(ids, h.Harness.ID)
	}
	return ids
}

// isFile says whether a command's argument is a file's name rather than an id; ids hold no dot.
func isFile(arg string) bool {
	ext := strings.ToLower(filepath.Ext(arg))
	return ext == ".yaml" || ext == ".yml"
}

// harness finds what a command asks for: the id of a harness or the name of a harness file.
func (f *from) harness(w io.Writer, arg string) (*harness.Harness, error) {
	if isFile(arg) {
		lib, err := readFiles(w, arg)
		switch {
		case err != nil:
			return nil, err
		case len(lib.Harnesses) == 1:
			return lib.Harnesses[0].Harness, nil
		case lib.err() != nil:
			return nil, lib.err()
		}
		return nil, inputError(fmt.Errorf("%s: is not a harness file", arg))
	}
	lib, err := f.library(w)
	if err != nil {
		return nil, err
	}
	if h := lib.Harness(arg); h != nil {
		return h, nil
	}
	return nil, inputError(unknown("harness", arg, lib.harnessIDs()))
}

// readFiles reads the files named, with what they include wherever that is.
func readFiles(w io.Writer, files ...string) (*library, error) {
	root := ""
	only := map[string]bool{}
	for _, name := range files {
		whole, err := filepath.Abs(name)
		if err != nil {
			return nil, inputError(err)
		}
		if info, err := os.Stat(whole); err != nil {
			return nil, inputError(err)
		} else if info.IsDir() {
			return nil, inputError(fmt.Errorf("%s is a folder (read one with --from)", name))
		}
		top, rest := split(whole)
		if root != "" && top != root {
			return nil, inputError(fmt.Errorf("%s and %s cannot be read at once: they lie too far apart", files[0], name))
		}
		root = top
		only[rest] = true
	}
	here := ""
	if dir, err := os.Getwd(); err == nil {
		here, _ = filepath.Rel(root, dir)
	}
	name := func(file string) string {
		whole := filepath.Join(root, filepath.FromSlash(file))
		if near, err := filepath.Rel(filepath.Join(root, here), whole); err == nil && !strings.HasPrefix(near, filepath.Join("..", "..")) {
			return near
		}
		return whole
	}
	// Messages name other files from the root of everything; people stand in their own folder.
	text := func(s string) string {
		if base := filepath.ToSlash(here); base != "" && base != "." {
			s = strings.ReplaceAll(s, base+"/", "")
			if up := path.Dir(base); up != "." {
				s = strings.ReplaceAll(s, up+"/", "../")
			}
		}
		return s
	}
	return readAll(view{os.DirFS(root), only}, w, name, text)
}

// split parts an absolute name into the folder that everything may be included from and the rest, with slashes: the root
// of the disk, or a hidden folder on the way, for what lies in one is passed over when all of a folder is read.
func split(whole string) (root, rest string) {
	root = filepath.VolumeName(whole) + string(filepath.Separator)
	parts := strings.Split(strings.TrimPrefix(whole, root), string(filepath.Separator))
	for i := len(parts) - 2; i >= 0; i-- {
		if strings.HasPrefix(parts[i], ".") {
			return filepath.Join(root, filepath.Join(parts[:i+1]...)), path.Join(parts[i+1:]...)
		}
	}
	return root, path.Join(parts...)
}

// view is a file system that lists some of its files only, and opens all.
type view struct {
	fs.FS
	only map[string]bool
}

// ReadDir lists what leads to the files of the view.
func (v view) ReadDir(name string) ([]fs.DirEntry, error) {
	var next []string
	for file := range v.only {
		rest, ok := file, true
		if name != "." {
			rest, ok = strings.CutPrefix(file, name+"/")
		}
		if ok {
			next = append(next, path.Join(name, strings.SplitN(rest, "/", 2)[0]))
		}
	}
	slices.Sort(next)
	var out []fs.DirEntry
	for _, file := range slices.Compact(next) {
		info, err := fs.Stat(v.FS, file)
		if err != nil {
			return out, err
		}
		out = append(out, fs.FileInfoToDirEntry(info))
	}
	return out, nil
}
