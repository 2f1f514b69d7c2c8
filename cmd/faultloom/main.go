// Command faultloom is the bench's one command: drills in a browser, checks of harness files, grades, good readings, wiring
// sheets. See its help.
package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// The exit codes, as the help states them.
const (
	exitOK       = 0
	exitFindings = 1 // the command worked, and what it looked at is not in order
	exitUsage    = 2 // the command line is not understood
	exitInput    = 3 // a file is missing, damaged or wrong
	exitRun      = 4 // the machine would not: no port, no Go, no disk
)

// coded is an error that knows its exit code.
type coded struct {
	code int
	err  error
}

func (c coded) Error() string { return c.err.Error() }
func (c coded) Unwrap() error { return c.err }

func inputError(err error) error {
	if err == nil {
		return nil
	}
	return coded{exitInput, err}
}

func runError(err error) error {
	if err == nil {
		return nil
	}
	return coded{exitRun, err}
}

// errFindings ends a command whose findings were printed already.
var errFindings = errors.New("not in order")

// run is main without the process: it returns the exit code. What waits for a person (drill) ends with ctx.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	root := newRoot()
	root.SetArgs(args)
	stdout, stderr = plain{stdout}, plain{stderr}
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	var c coded
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, errFindings):
		return exitFindings
	case errors.As(err, &c):
		fmt.Fprintln(stderr, "faultloom: "+err.Error())
		return c.code
	}
	fmt.Fprintln(stderr, "faultloom: "+err.Error())
	fmt.Fprintln(stderr, "faultloom --help tells more.")
	return exitUsage
}

// plain writes text without control characters, but for new lines and tabs: titles and messages come from files of others,
// and a terminal takes some of these for commands.
type plain struct{ w io.Writer }

func (p plain) Write(data []byte) (int, error) {
	clean := bytes.Clone(data)
	for i, b := range clean { // by bytes: a write may end within a letter
		if b < ' ' && b != '\n' && b != '\t' || b == 0x7f {
			clean[i] = '?'
		}
	}
	if _, err := p.w.Write(clean); err != nil {
		return 0, err
	}
	return len(data), nil
}
