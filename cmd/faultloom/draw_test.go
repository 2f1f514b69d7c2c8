package main_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	program "faultloom/cmd/faultloom"
	"faultloom/cmd/internal/wire"
	"faultloom/scenarios"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What an instructor draws a trainee can play: the bench serves the folder, and says nothing of the fault before the job is closed.
func TestADrawnSetIsPlayed(t *testing.T) {
	dir := t.TempDir()
	lamp, err := os.ReadFile(filepath.Join("..", "..", "scenarios", "guide", "first.yaml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "lamp.yaml"), lamp, 0o600))
	set := filepath.Join(dir, "set")
	var out, errs bytes.Buffer
	code := program.Run(context.Background(), []string{"draw", filepath.Join(dir, "lamp.yaml"), "--seed", "5", "--count", "2", "--minutes", "0-60", "--mode", "drill", "-o", set}, &out, &errs)
	require.Equal(t, 0, code, "%s%s", &out, &errs)
	lib, err := scenarios.LoadAll(os.DirFS(set))
	require.NoError(t, err)
	require.Len(t, lib.Exercises, 2)

	data := t.TempDir()
	address, stop := drill(t, data, "--from", set)
	for _, e := range lib.Exercises {
		ex := e.Exercise
		quiet := func(what any) {
			text, err := json.Marshal(what)
			require.NoError(t, err)
			assert.NotContains(t, string(text), ex.Faults[0].String())
			assert.NotContains(t, string(text), `"sealed"`)
		}
		var j wire.Job
		post(t, address, wire.PathStart, `{"id":"`+ex.ID+`"}`, &j)
		assert.Equal(t, ex.Complaint, j.Exercise.Complaint)
		quiet(j)
		var r wire.DoReply
		post(t, address, wire.PathDo, `{"exercise":"`+ex.ID+`","seq":0,"action":{"do":"operate","control":"SW","position":"on"}}`, &r)
		quiet(r)
		post(t, address, wire.PathDo, `{"exercise":"`+ex.ID+`","seq":1,"action":{"do":"close"}}`, &r)
		assert.Contains(t, string(r.Report), `"cause"`)

		answer, err := http.Get(address + wire.PathPar + "?" + wire.ExerciseQuery + "=" + ex.ID)
		require.NoError(t, err)
		var par wire.Par
		require.NoError(t, json.NewDecoder(answer.Body).Decode(&par))
		require.NoError(t, answer.Body.Close())
		assert.NotEmpty(t, par.Curve)
	}
	assert.Equal(t, 0, stop())

	logs, err := filepath.Glob(filepath.Join(data, "attempts", "*.jsonl"))
	require.NoError(t, err)
	require.Len(t, logs, 2)
	for _, log := range logs {
		out.Reset()
		code := program.Run(context.Background(), []string{"grade", "--from", set, log, "--format", "html"}, &out, &errs)
		assert.Equal(t, 0, code, "%s", &errs)
		assert.Contains(t, out.String(), "Beside par")
	}
}

// Each exercise of a set has a fault of its own that shows, is isolable and has its par in the band; different seeds make different
// sets; and the answer sheet's numbers are those of the exercises as they were written.
func TestDrawnSets(t *testing.T) {
	dir := t.TempDir()
	firsts := map[string]bool{}
	for seed := 1; seed <= 3; seed++ {
		set := filepath.Join(dir, fmt.Sprint("set", seed))
		var out, errs bytes.Buffer
		code := program.Run(context.Background(), []string{"draw", filepath.Join("..", "..", "scenarios", "guide", "first.yaml"), "--seed", fmt.Sprint(seed), "--count", "3", "--minutes", "1-2.5", "-o", set}, &out, &errs)
		require.Equal(t, 0, code, "%s%s", &out, &errs)
		sheet, err := os.ReadFile(set + "-answers.md")
		require.NoError(t, err)
		var checked bytes.Buffer
		code = program.Run(context.Background(), []string{"check", "--from", set, "--solve", "--format", "json"}, &checked, &errs)
		require.Equal(t, 0, code, "%s", &checked)
		var all []struct {
			ID  string
			Par *struct {
				Minutes, Isolate float64
				Proved           bool
			}
		}
		require.NoError(t, json.Unmarshal(checked.Bytes(), &all))
		n := 0
		for _, c := range all {
			if c.Par == nil {
				continue
			}
			n++
			assert.True(t, c.Par.Proved, c.ID)
			assert.GreaterOrEqual(t, c.Par.Isolate, 1.0, c.ID)
			assert.Less(t, c.Par.Isolate, 2.5, c.ID)
			assert.Contains(t, string(sheet), fmt.Sprintf("par is %.1f bench minutes", c.Par.Minutes), c.ID)
		}
		assert.Equal(t, 3, n)
		lib, err := scenarios.LoadAll(os.DirFS(set))
		require.NoError(t, err)
		faults := map[string]bool{}
		for _, e := range lib.Exercises {
			faults[e.Exercise.Faults[0].String()] = true
			assert.NotContains(t, strings.ToLower(e.Exercise.Title+e.Exercise.ID), fmt.Sprint("set", seed))
		}
		assert.Len(t, faults, 3, "each has another fault")
		firsts[lib.Exercises[0].Exercise.Faults[0].String()] = true
	}
	assert.Greater(t, len(firsts), 1)
}
