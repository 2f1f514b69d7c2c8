package scenarios

import (
	"io/fs"
	"path"
	"sort"
	"strings"

	"faultloom/sim/attempt"
	"faultloom/sim/harness"
)

// maxLibrary bounds how many files one library may hold.
const maxLibrary = 5000

// Library is all harnesses and exercises under one folder, each sorted by file name.
type Library struct {
	Harnesses []HarnessFile
	Exercises []ExerciseFile
}

// HarnessFile is a harness and the file it was read from.
type HarnessFile struct {
	File    string
	Harness *harness.Harness
}

// ExerciseFile is an exercise and the file it was read from.
type ExerciseFile struct {
	File     string
	Exercise *attempt.Exercise
}

// Exercise returns the exercise of an id, nil when there is none.
func (lib *Library) Exercise(id string) *attempt.Exercise {
	for _, e := range lib.Exercises {
		if e.Exercise.ID == id {
			return e.Exercise
		}
	}
	return nil
}

// Harness returns the harness of an id, nil when there is none.
func (lib *Library) Harness(id string) *harness.Harness {
	for _, h := range lib.Harnesses {
		if h.Harness.ID == id {
			return h.Harness
		}
	}
	return nil
}

// LoadAll reads every harness and exercise under the root of fsys; files whose names begin with a dot are passed over, and
// so are files for others to include. The library holds what was right even when the error, of type Problems, says what was
// not. Ids must differ within the library.
func LoadAll(fsys fs.FS) (*Library, error) {
	l := newLoader(fsys)
	lib := &Library{}
	var files []string
	err := fs.WalkDir(fsys, ".", func(file string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			l.say(val{file: file}, "cannot be read: %v", err)
		case strings.HasPrefix(path.Base(file), ".") && file != ".":
			if d.IsDir() {
				return fs.SkipDir
			}
		case !d.IsDir() && isYAML(file):
			if len(files) == maxLibrary {
				l.say(val{file: file}, "more than %d files under one folder", maxLibrary)
				return fs.SkipAll
			}
			files = append(files, file)
		}
		return nil
	})
	if err != nil {
		l.say(val{file: "."}, "cannot be read: %v", err)
	}
	sort.Strings(files)
	harnesses := map[string]*harness.Harness{}
	ids := map[string]string{}
	claim := func(at val, noun, id string) {
		if old, taken := ids[noun+id]; taken {
			l.say(at, "%s: the id %s is taken by %s", noun, quote(id), old)
		}
		ids[noun+id] = at.file
	}
	for _, file := range files {
		peek := &loader{fsys: fsys, forms: l.forms}
		root := peek.read(file, val{})
		if !root.ok() {
			l.bad = append(l.bad, peek.bad...)
			continue
		}
		switch l.kindOf(root) {
		case "harness":
			h, done := harnesses[file]
			if !done {
				h = l.load(file, val{})
				harnesses[file] = h
			}
			if h != nil {
				claim(l.get(root, "harness"), "harness", h.ID)
				lib.Harnesses = append(lib.Harnesses, HarnessFile{file, h})
			}
		case "exercise":
			if ex := l.loadExercise(file, harnesses); ex != nil {
				claim(l.get(root, "exercise"), "exercise", ex.ID)
				lib.Exercises = append(lib.Exercises, ExerciseFile{file, ex})
			}
		case "shared":
			// Read with the files that include it.
		default:
			l.isFile(root, "harness", val{})
		}
	}
	return lib, l.bad.tidy().orNil()
}
