package main_test

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	program "faultloom/cmd/faultloom"
	"faultloom/scenarios"
	"faultloom/sim/attempt"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"faultloom": program.Main})
}

// The scripts say what a person types and what comes back. Besides testscript's own they have the commands
//
//	exits CODE faultloom ARG...    the program must end with that code
//	record EXERCISE FILE ACTIONS   does the actions, one JSON object a line, as the bench would and leaves the log in FILE;
//	                               FOLDER:N is the nth exercise of a folder
//	told SHEET FILE                no fault of an answer sheet may be told in FILE (or stdout, stderr)
//	giveaway SHEET FOLDER          nor in any exercise of a folder
//	same FOLDER FOLDER             both hold the same
//	wellformed FILE                the file must be well-formed XML
//	edit FILE LINE OLD NEW         changes text in one line of a file
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("FAULTLOOM_DATA", filepath.Join(env.WorkDir, "data"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "record": record, "wellformed": wellformed, "edit": edit,
			"told": told, "giveaway": giveaway, "same": same,
		},
	})
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND ARG...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	code := 0
	var exit *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		code = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if code != want {
		ts.Fatalf("exit code is %d, want %d", code, want)
	}
}

func record(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: record EXERCISE FILE ACTIONS")
	}
	fsys, id := scenarios.Builtin(), args[0]
	folder, n, own := strings.Cut(id, ":")
	if own {
		fsys = os.DirFS(ts.MkAbs(folder))
	}
	lib, err := scenarios.LoadAll(fsys)
	ts.Check(err)
	if own {
		k, err := strconv.Atoi(n)
		ts.Check(err)
		id = lib.Exercises[k-1].Exercise.ID
	}
	ex := lib.Exercise(id)
	if ex == nil {
		ts.Fatalf("no exercise %s", args[0])
	}
	var log sink
	a, err := attempt.Start(*ex, &log)
	ts.Check(err)
	lines := bufio.NewScanner(strings.NewReader(ts.ReadFile(args[2])))
	for lines.Scan() {
		act, err := attempt.DecodeAction(lines.Bytes())
		ts.Check(err)
		_, err = a.Do(act)
		ts.Check(err)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), log.Bytes(), 0o600))
}

// secrets are the places and faults that an answer sheet tells.
func secrets(ts *testscript.TestScript, sheet string) []string {
	var out []string
	for _, m := range regexp.MustCompile("(?m)^- \\*\\*Fault:\\*\\* (.*) \\(`(.*)`\\)$").FindAllStringSubmatch(ts.ReadFile(sheet), -1) {
		words := strings.Fields(m[2])
		out = append(out, m[1], m[2], words[0]+" "+words[1])
	}
	if len(out) == 0 {
		ts.Fatalf("%s: holds no fault", sheet)
	}
	return out
}

func told(ts *testscript.TestScript, neg bool, args []string) {
	text := strings.ToLower(ts.ReadFile(args[1]))
	for _, secret := range secrets(ts, args[0]) {
		if strings.Contains(text, strings.ToLower(secret)) != neg {
			ts.Fatalf("%s tells %q", args[1], secret)
		}
	}
}

func giveaway(ts *testscript.TestScript, neg bool, args []string) {
	files, err := filepath.Glob(filepath.Join(ts.MkAbs(args[1]), "*-[0-9][0-9].yaml"))
	ts.Check(err)
	if len(files) == 0 {
		ts.Fatalf("%s: holds no exercise", args[1])
	}
	for _, file := range files {
		told(ts, neg, []string{args[0], file})
	}
}

func same(ts *testscript.TestScript, neg bool, args []string) {
	list := func(folder string) (out []string) {
		ts.Check(fs.WalkDir(os.DirFS(ts.MkAbs(folder)), ".", func(name string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				out = append(out, name, ts.ReadFile(filepath.Join(folder, name)))
			}
			return err
		}))
		return out
	}
	if slices.Equal(list(args[0]), list(args[1])) == neg {
		ts.Fatalf("%s and %s differ, or should", args[0], args[1])
	}
}

// sink keeps a log in memory.
type sink struct{ bytes.Buffer }

func (s *sink) Append(line []byte) error {
	_, err := s.Write(line)
	return err
}

func wellformed(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		dec := xml.NewDecoder(strings.NewReader(ts.ReadFile(name)))
		for {
			if _, err := dec.Token(); errors.Is(err, io.EOF) {
				break
			} else if (err != nil) != neg {
				ts.Fatalf("%s: %v", name, err)
			}
		}
	}
}

func edit(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: edit FILE LINE OLD NEW")
	}
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	lines := strings.SplitAfter(ts.ReadFile(args[0]), "\n")
	if n < 1 || n > len(lines) || !strings.Contains(lines[n-1], args[2]) {
		ts.Fatalf("%s: line %d does not hold %q", args[0], n, args[2])
	}
	lines[n-1] = strings.Replace(lines[n-1], args[2], args[3], 1)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Join(lines, "")), 0o600))
}
