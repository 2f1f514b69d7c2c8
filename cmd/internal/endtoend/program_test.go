//go:build e2e

package endtoend_test

import (
	"bufio"
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// need finds programs that a test cannot do without. Where all must be there (CI=true) a missing one is a failure.
func need(t *testing.T, names ...string) {
	t.Helper()
	for _, name := range names {
		if _, err := exec.LookPath(name); err != nil {
			if os.Getenv("CI") == "true" {
				t.Fatalf("%s is not installed", name)
			}
			t.Skipf("%s is not installed", name)
		}
	}
}

// browser is the name of the browser's program.
func browser(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	need(t, "chromium")
	return ""
}

var (
	bin  string // folder of what is built for the tests
	once = map[string]*sync.Once{"faultloom": {}, "bench": {}}
)

func TestMain(m *testing.M) {
	var err error
	if bin, err = os.MkdirTemp("", "endtoend-"); err != nil {
		panic(err)
	}
	code := m.Run()
	os.RemoveAll(bin)
	os.Exit(code)
}

// build builds a command once.
func build(t *testing.T, name string, flags ...string) string {
	t.Helper()
	path := filepath.Join(bin, name)
	once[name].Do(func() {
		args := append(append([]string{"build"}, flags...), "-o", path, "faultloom/cmd/"+name)
		out, err := exec.Command("go", args...).CombinedOutput()
		require.NoError(t, err, "%s", out)
	})
	require.FileExists(t, path)
	return path
}

func program(t *testing.T) string { return build(t, "faultloom") }

// serve starts "faultloom drill" over a folder of attempts and returns the address that it prints.
func serve(t *testing.T, data string) string {
	t.Helper()
	cmd := exec.Command(program(t), "drill", "--no-open", "--data", data)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	var errs bytes.Buffer
	cmd.Stderr = &errs
	require.NoError(t, cmd.Start())
	t.Cleanup(func() { stop(t, cmd) })
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if address, ok := strings.CutPrefix(lines.Text(), "The bench is at "); ok {
			go io.Copy(io.Discard, out)
			return address
		}
		t.Log(lines.Text())
	}
	t.Fatalf("no address: %s", &errs)
	return ""
}

// stop ends a program that a test started, as Ctrl+C would.
func stop(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	_ = cmd.Process.Signal(syscall.SIGINT)
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	select {
	case <-done:
	case <-time.After(10 * time.Second):
		_ = cmd.Process.Kill()
		<-done
		t.Errorf("%s did not end when asked to", filepath.Base(cmd.Path))
	}
}
