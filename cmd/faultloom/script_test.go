package main_test

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
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
//	record EXERCISE FILE ACTIONS   does the actions, one JSON object a line, as the bench would and leaves the log in FILE
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
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	ts.Check(err)
	ex := lib.Exercise(args[0])
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
