//go:build !js

package main

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPureStaysPure asks the go command for everything that the rooms without a screen reach: none may reach the
// engine, which cannot be built on Linux without the headers of a display.
func TestPureStaysPure(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-test", "faultloom/sim/...", "faultloom/grading/...", "faultloom/scenarios/...",
		"faultloom/cmd/internal/...").CombinedOutput()
	require.NoError(t, err, string(out))
	for _, p := range strings.Fields(string(out)) {
		assert.NotContains(t, p, "ebiten", "a pure package reaches the engine")
	}
	out, err = exec.Command("go", "list", "-deps", "faultloom/sim/...", "faultloom/grading/...").CombinedOutput()
	require.NoError(t, err, string(out))
	for _, p := range strings.Fields(string(out)) {
		assert.False(t, strings.HasPrefix(p, "faultloom/cmd") || strings.HasPrefix(p, "faultloom/scenarios"), "%s is reached from below: the arrows point one way", p)
	}
}

// TestPageStaysSmall holds what is built for the page to what it needs: no files, no commands, no network stack.
func TestPageStaysSmall(t *testing.T) {
	cmd := exec.Command("go", "list", "-deps", "faultloom/cmd/bench")
	cmd.Env = append(cmd.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	for _, p := range strings.Fields(string(out)) {
		for _, heavy := range []string{"yaml", "cobra", "net/http", "os/exec", "faultloom/scenarios", "faultloom/cmd/internal/desk", "gonum"} {
			assert.NotContains(t, p, heavy, "the page's program carries it")
		}
	}
}
