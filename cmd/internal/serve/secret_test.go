package serve_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"faultloom/cmd/internal/serve"
	"faultloom/cmd/internal/wire"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/meter"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// telling are the names under which a reply could give the fault away.
var telling = []string{"fault", "faults", "cause", "severity", "seed", "digest", "draw", "likelihood", "repairFor", "truth", "report"}

// secrets fails the test when a reply holds an exercise's fault in any form.
func secrets(t *testing.T, ex *attempt.Exercise, what string, body []byte) {
	t.Helper()
	for _, f := range ex.Faults {
		bare := f
		bare.Severity = 0
		for _, text := range []string{f.String(), bare.String(), fmt.Sprintf("%s %s", f.Place, f.Kind), string(f.Kind) + " in " + f.Place} {
			assert.NotContains(t, strings.ToLower(string(body)), strings.ToLower(text), "%s: %s", ex.ID, what)
		}
	}
	var all any
	require.NoError(t, json.Unmarshal(body, &all), "%s: %s", ex.ID, what)
	keys(all, func(k string) {
		for _, word := range telling {
			assert.False(t, strings.EqualFold(k, word), "%s: %s has a field %q", ex.ID, what, k)
		}
	})
}

// keys calls f with the name of every field.
func keys(v any, f func(string)) {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			f(k)
			keys(x, f)
		}
	case []any:
		for _, x := range v {
			keys(x, f)
		}
	}
}

// curious are things that somebody does who looks everywhere: each control in each position, every connector parted and looked at,
// every place inspected that holds no fault word of its own, and the meter all over.
func curious(ex *attempt.Exercise) []attempt.Action {
	h := ex.Harness
	var out []attempt.Action
	add := func(a ...attempt.Action) { out = append(out, a...) }
	for _, c := range h.Controls {
		for _, p := range c.Positions {
			add(attempt.Operate{Control: c.ID, Position: p})
		}
	}
	add(attempt.Dial{Function: meter.Volts}, attempt.Lead{Tool: meter.Multimeter, End: 1, Point: "G1"})
	for n, p := range h.Points() {
		if n%9 == 0 {
			add(attempt.Lead{Tool: meter.Multimeter, End: 0, Point: p})
		}
	}
	for n, c := range h.Connectors {
		if n%3 == 0 {
			add(attempt.Unplug{Connector: c.ID}, attempt.Plug{Connector: c.ID})
		}
	}
	add(attempt.Study{Page: "hints"}, attempt.Study{Page: "symptoms"}, attempt.Mark{Line: 0, Good: false}, attempt.Wait{Seconds: 5})
	return out
}

// Until the job is closed no reply of any address holds the fault, whatever is asked.
func TestNoReplyHoldsTheFault(t *testing.T) {
	lib := library(t)
	site := newSite(t)
	h := serve.Handler(port, site)
	require.NotEmpty(t, lib.Exercises)
	for n, e := range lib.Exercises {
		ex := e.Exercise
		require.NotEmpty(t, ex.Faults, ex.ID)
		ask := func(method, target, body string) []byte {
			w := call(h, method, target, body, nil)
			require.Equal(t, 200, w.Code, "%s: %s", target, w.Body)
			secrets(t, ex, method+" "+target+" "+body, w.Body.Bytes())
			return w.Body.Bytes()
		}
		ask("POST", "/api/start", `{"id":"`+ex.ID+`"}`)
		acts := curious(ex)
		if n%4 != 0 {
			acts = acts[:6] // the whole tour on every fourth is enough: the same code answers all
		}
		for seq, act := range acts {
			data, err := attempt.EncodeAction(act)
			require.NoError(t, err)
			req, err := json.Marshal(wire.DoRequest{Exercise: ex.ID, Seq: seq, Action: data})
			require.NoError(t, err)
			ask("POST", "/api/do", string(req))
		}
		ask("GET", "/api/job?exercise="+ex.ID, "")
		ask("POST", "/api/start", `{"id":"`+ex.ID+`"}`)
		for _, wrong := range []string{
			call(h, "POST", "/api/do", `{"exercise":"`+ex.ID+`","seq":0,"action":{"do":"wait","seconds":1}}`, nil).Body.String(),
			call(h, "POST", "/api/do", `{"exercise":"`+ex.ID+`","seq":0,"action":{"do":"find","fault":"x"}}`, nil).Body.String(),
			call(h, "GET", "/"+ex.ID, "", nil).Body.String(),
			refused(t, call(h, "GET", "/api/par?exercise="+ex.ID, "", nil)),
		} {
			for _, f := range ex.Faults {
				assert.NotContains(t, wrong, f.String(), ex.ID)
			}
		}
	}
	w := call(h, "GET", "/api/exercises", "", nil)
	require.Equal(t, http.StatusOK, w.Code)
	for _, e := range lib.Exercises {
		secrets(t, e.Exercise, "the list", w.Body.Bytes())
	}
}

// refused returns what a request got that comes too early.
func refused(t *testing.T, w *httptest.ResponseRecorder) string {
	t.Helper()
	assert.Equal(t, http.StatusConflict, w.Code, "%s", w.Body)
	return w.Body.String()
}

// What is sent at the beginning depends on the fault only through what can be seen and heard: with any other fault in the
// same exercise the page gets the same bytes, but for what its loads do.
func TestTheFirstReplyDependsOnlyOnWhatIsSeen(t *testing.T) {
	lib := library(t)
	base := lib.Exercise(job)
	require.NotNil(t, base)
	first := func(faults ...fault.Fault) (rest string, seen string) {
		ex := *base
		ex.Faults = faults
		site := serve.Site{Desk: newDesk(t, &scenarios.Library{Exercises: []scenarios.ExerciseFile{{File: "x.yaml", Exercise: &ex}}})}
		w := call(serve.Handler(port, site), "POST", "/api/start", begin, nil)
		require.Equal(t, 200, w.Code, w.Body)
		var all map[string]json.RawMessage
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &all))
		var state map[string]json.RawMessage
		require.NoError(t, json.Unmarshal(all["state"], &state))
		seen = string(state["effects"])
		delete(state, "effects")
		data, err := json.Marshal(state)
		require.NoError(t, err)
		all["state"] = data
		whole, err := json.Marshal(all)
		require.NoError(t, err)
		return string(whole), seen
	}
	want, _ := first(base.Faults...)
	all := fault.Catalogue(base.Harness)
	require.NotEmpty(t, all)
	different := map[string]bool{}
	for n := 0; n < len(all); n += 1 + len(all)/70 {
		rest, seen := first(all[n].Fault)
		assert.Equal(t, want, rest, "%s", all[n].Fault)
		different[seen] = true
	}
	assert.Greater(t, len(different), 1, "some faults are seen at once, or this test sees nothing")
}

// The coach, which a drill may be asked for, answers from what was seen: with another fault in that looks the same so far it
// says the same.
func TestTheCoachDependsOnlyOnWhatIsSeen(t *testing.T) {
	lib := library(t)
	base := lib.Exercise(job)
	require.NotNil(t, base)
	answers := map[string]string{}
	for _, text := range []string{"wire 71c open", "ground G1 open", "wire 56d short-to-ground 0.05 ohm", "component LL filament-open"} {
		f, err := fault.Parse(text)
		require.NoError(t, err)
		ex := *base
		ex.Faults = []fault.Fault{f}
		h := serve.Handler(port, serve.Site{Desk: newDesk(t, &scenarios.Library{Exercises: []scenarios.ExerciseFile{{File: "x.yaml", Exercise: &ex}}})})
		require.Equal(t, 200, call(h, "POST", "/api/start", begin, nil).Code)
		for seq, ask := range []attempt.Ask{{Topic: attempt.AskSuspects}, {Topic: attempt.AskReading, Point: "HN.in.a"}} {
			data, err := attempt.EncodeAction(ask)
			require.NoError(t, err)
			req, err := json.Marshal(wire.DoRequest{Exercise: job, Seq: seq, Action: data})
			require.NoError(t, err)
			w := call(h, "POST", "/api/do", string(req), nil)
			require.Equal(t, 200, w.Code, w.Body)
			var r wire.DoReply
			require.NoError(t, json.Unmarshal(w.Body.Bytes(), &r))
			require.NotNil(t, r.Coaching, "%s", w.Body)
			got, err := json.Marshal(r.Coaching)
			require.NoError(t, err)
			if answers[ask.Topic] == "" {
				answers[ask.Topic] = string(got)
			}
			assert.Equal(t, answers[ask.Topic], string(got), "%s with %s", ask.Topic, text)
		}
	}
	assert.Len(t, answers, 2)
}
