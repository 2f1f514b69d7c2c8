package main_test

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	program "faultloom/cmd/faultloom"
	"faultloom/cmd/internal/bundle"
	"faultloom/cmd/internal/wire"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drill runs the program until stop is called, and returns the address that it printed and what it ends with.
func drill(t *testing.T, data string, args ...string) (address string, stop func() int) {
	t.Helper()
	built := t.TempDir()
	for _, name := range []string{bundle.WasmName, bundle.ExecName} {
		require.NoError(t, os.WriteFile(filepath.Join(built, name), []byte("a stand-in"), 0o600))
	}
	ctx, cancel := context.WithCancel(context.Background())
	out, in := io.Pipe()
	var errs bytes.Buffer
	done := make(chan int, 1)
	go func() {
		done <- program.Run(ctx, append([]string{"drill", "--no-open", "--data", data, "--bundle", built}, args...), in, &errs)
		in.Close()
	}()
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if a, ok := strings.CutPrefix(lines.Text(), "The bench is at "); ok {
			address = a
			break
		}
	}
	go func() { _, _ = io.Copy(io.Discard, out) }()
	require.NotEmpty(t, address, "%s", &errs)
	stop = func() int {
		cancel()
		select {
		case code := <-done:
			return code
		case <-time.After(20 * time.Second): // far above what it gives requests under way
			t.Fatal("it does not end")
			return -1
		}
	}
	t.Cleanup(cancel)
	return address, stop
}

func post(t *testing.T, address, path, body string, into any) {
	t.Helper()
	base, _, _ := strings.Cut(address, "?")
	req, err := http.NewRequest(http.MethodPost, base+path, strings.NewReader(body))
	require.NoError(t, err)
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Origin", strings.TrimSuffix(base, "/"))
	answer, err := http.DefaultClient.Do(req)
	require.NoError(t, err)
	defer answer.Body.Close()
	data, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, answer.StatusCode, "%s", data)
	require.NoError(t, json.Unmarshal(data, into))
}

func TestDrillServesAndGoesOnWhereItWasStopped(t *testing.T) {
	data := t.TempDir()
	address, stop := drill(t, data, "dt14-06-gate-four")
	assert.True(t, strings.HasSuffix(address, "/?exercise=dt14-06-gate-four"), "%s", address)
	answer, err := http.Get(address)
	require.NoError(t, err)
	page, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	assert.Contains(t, string(page), "page.js", "the page itself")

	var j wire.Job
	post(t, address, wire.PathStart, `{"id":"dt14-06-gate-four"}`, &j)
	var r wire.DoReply
	post(t, address, wire.PathDo, `{"exercise":"dt14-06-gate-four","seq":0,"action":{"do":"operate","control":"KEY","position":"on"}}`, &r)
	assert.Equal(t, 1, r.State.Seq)
	assert.Equal(t, 0, stop(), "stopping it is no error")

	address, stop = drill(t, data)
	assert.True(t, strings.HasSuffix(address, "/"), "%s", address)
	post(t, address, wire.PathStart, `{"id":"dt14-06-gate-four"}`, &j)
	assert.Equal(t, 1, j.State.Seq, "the attempt is taken up")
	assert.Equal(t, "on", j.State.Controls["KEY"])
	assert.Equal(t, 0, stop())
}

func TestDrillOfFilesThatArePartlyWrong(t *testing.T) {
	dir := t.TempDir()
	good, err := os.ReadFile(filepath.Join("..", "..", "scenarios", "guide", "first.yaml"))
	require.NoError(t, err)
	job, err := os.ReadFile(filepath.Join("..", "..", "scenarios", "guide", "first-exercise.yaml"))
	require.NoError(t, err)
	for name, data := range map[string][]byte{"first.yaml": good, "first-exercise.yaml": job, "slip.yaml": []byte("harnes: x\n")} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o600))
	}
	address, stop := drill(t, t.TempDir(), "--from", dir)
	answer, err := http.Get(address + wire.PathExercises)
	require.NoError(t, err)
	defer answer.Body.Close()
	var list wire.Exercises
	require.NoError(t, json.NewDecoder(answer.Body).Decode(&list))
	assert.Len(t, list.Exercises, 1, "what is right can be drilled")
	assert.Equal(t, 0, stop())
}

func TestDrillOnAPortThatIsTaken(t *testing.T) {
	address, stop := drill(t, t.TempDir())
	defer stop()
	var port int
	_, err := fmt.Sscanf(address, "http://127.0.0.1:%d/", &port)
	require.NoError(t, err)
	var out, errs bytes.Buffer
	code := program.Run(context.Background(), []string{"--no-open", "--data", t.TempDir(), "--bundle", t.TempDir(), "--port", fmt.Sprint(port)}, &out, &errs)
	assert.Equal(t, 4, code, "%s", &out)
	assert.Contains(t, errs.String(), fmt.Sprintf("port %d cannot be opened", port))
}
