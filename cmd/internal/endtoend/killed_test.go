//go:build e2e

package endtoend_test

import (
	"bufio"
	"io"
	"net"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"faultloom/cmd/internal/bench"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The program is killed in the middle of a drill and started again: the page says so, and the drill goes on where it was.
func TestProgramKilled(t *testing.T) {
	browser(t)
	data, port := t.TempDir(), freePort(t)
	run := func() (address string, cmd *exec.Cmd) {
		cmd = exec.Command(program(t), "drill", job, "--no-open", "--data", data, "--port", port)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			if a, ok := strings.CutPrefix(lines.Text(), "The bench is at "); ok {
				go io.Copy(io.Discard, out)
				return a, cmd
			}
		}
		require.FailNow(t, "no address")
		return "", nil
	}
	kill := func(cmd *exec.Cmd) {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	}
	address, first := run()
	t.Cleanup(func() { kill(first) })
	p := open(t, "killed", address, 1280, 800, false)
	d := &drill{t: t, hand: &pointer{t: t, screen: mouse{p}, zoomsByWheel: true, near: 12}, ex: exercise(t)}
	until(t, p, "the job card is shown", func(m bench.Mirror) bool { return m.Exercise == job })
	d.control("KEY", "on")
	kept := p.words().Seq
	require.Positive(t, kept)

	kill(first)
	d.use("control/HORN/pressed")
	m := until(t, p, "the trouble is told", func(m bench.Mirror) bool { return m.Trouble != "" })
	p.shot("trouble")
	assert.Equal(t, kept, m.Seq, "nothing is shown as done that is not on disk")

	_, second := run()
	t.Cleanup(func() { kill(second) })
	d.do("trouble/again", "the action is done", func(m bench.Mirror) bool { return m.Trouble == "" && d.position(m, "HORN") == "pressed" })
	assert.Equal(t, kept+1, p.words().Seq, "once, after what was done before")
	p.shot("goes-on")
}

func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	return strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
}
