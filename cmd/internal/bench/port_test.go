package bench_test

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/desk"
	"faultloom/cmd/internal/wire"
	"faultloom/sim/meter"
)

// flaky is a transport to a desk that can lose requests or answers on the way.
type flaky struct {
	h          http.Handler
	loseAsked  bool // the request never arrives
	loseAnswer bool // it is done, but the answer is lost
	sent       []string
}

func (f *flaky) Send(path string, body []byte, done func(int, []byte, error)) {
	f.sent = append(f.sent, path)
	if f.loseAsked {
		go done(0, nil, errors.New("connection refused"))
		return
	}
	method, reader := http.MethodGet, strings.NewReader("")
	if body != nil {
		method, reader = http.MethodPost, strings.NewReader(string(body))
	}
	w := httptest.NewRecorder()
	f.h.ServeHTTP(w, httptest.NewRequest(method, "/"+path, reader))
	if f.loseAnswer {
		go done(0, nil, errors.New("connection reset"))
		return
	}
	go done(w.Code, w.Body.Bytes(), nil)
}

// serve answers the page's messages from a desk, as the local server does.
func serve(d *desk.Desk) http.Handler {
	mux := http.NewServeMux()
	answer := func(w http.ResponseWriter, v any, err error) {
		if err != nil {
			status := 500
			var e *desk.Error
			if errors.As(err, &e) {
				status = e.Status
			}
			w.WriteHeader(status)
			v = wire.ErrorReply{Error: err.Error()}
		}
		_ = json.NewEncoder(w).Encode(v)
	}
	mux.HandleFunc("GET /"+wire.PathExercises, func(w http.ResponseWriter, _ *http.Request) {
		x, err := d.Exercises()
		answer(w, x, err)
	})
	mux.HandleFunc("GET /"+wire.PathJob, func(w http.ResponseWriter, r *http.Request) {
		j, err := d.Job(r.URL.Query().Get(wire.ExerciseQuery))
		answer(w, j, err)
	})
	mux.HandleFunc("POST /"+wire.PathStart, func(w http.ResponseWriter, r *http.Request) {
		var req wire.StartRequest
		_ = json.NewDecoder(r.Body).Decode(&req)
		j, err := d.Start(req)
		answer(w, j, err)
	})
	mux.HandleFunc("POST /"+wire.PathDo, func(w http.ResponseWriter, r *http.Request) {
		var req wire.DoRequest
		_ = json.NewDecoder(r.Body).Decode(&req)
		a, err := d.Do(req)
		answer(w, a, err)
	})
	return mux
}

func remoteRig(t *testing.T) (*rig, *flaky, *desk.Desk) {
	t.Helper()
	d := newDesk(t)
	f := &flaky{h: serve(d)}
	r := &rig{t: t, m: bench.New(bench.NewRemote(f), bench.Settings{TextScale: 1, Calm: true}), size: point(1280, 800)}
	r.settle()
	return r, f, d
}

// TestServerGone loses the request: it is said plainly, nothing shows as done, and trying again does it once.
func TestServerGone(t *testing.T) {
	r, f, _ := remoteRig(t)
	r.start("dt14-01-the-lamp-that-answers")
	f.loseAsked = true
	r.click("dial/volts")
	m := r.m.Mirror()
	assert.Contains(t, m.Trouble, "does not answer")
	assert.Equal(t, meter.Off, r.m.State().Dial, "nothing shows as done")
	check(t, r, "trouble")
	r.picture("1280/18-trouble")
	r.click("trouble/again")
	assert.NotEmpty(t, r.m.Mirror().Trouble, "still gone")
	f.loseAsked = false
	r.click("trouble/again")
	assert.Empty(t, r.m.Mirror().Trouble)
	assert.Equal(t, meter.Volts, r.m.State().Dial, "done at last")
	assert.Equal(t, 1, r.m.State().Seq, "once")
}

// TestAnswerLost does the action but loses the answer: trying again brings the answer and does nothing twice.
func TestAnswerLost(t *testing.T) {
	r, f, _ := remoteRig(t)
	r.start("dt14-01-the-lamp-that-answers")
	f.loseAnswer = true
	r.click("dial/ohms")
	require.NotEmpty(t, r.m.Mirror().Trouble)
	f.loseAnswer = false
	r.click("trouble/again")
	assert.Equal(t, meter.Ohms, r.m.State().Dial)
	assert.Equal(t, 1, r.m.State().Seq, "done once")
}

// TestGoneOnElsewhere lets another window go on with the attempt: this one says so and takes up the new state.
func TestGoneOnElsewhere(t *testing.T) {
	r, _, d := remoteRig(t)
	r.start("dt14-01-the-lamp-that-answers")
	_, err := d.Do(wire.DoRequest{Exercise: "dt14-01-the-lamp-that-answers", Seq: 0, Action: json.RawMessage(`{"do":"dial","function":"amps"}`)})
	require.NoError(t, err)
	r.click("control/KEY/on")
	require.NotEmpty(t, r.m.Mirror().Trouble)
	r.click("trouble/again")
	assert.Empty(t, r.m.Mirror().Trouble)
	assert.Equal(t, meter.Amps, r.m.State().Dial, "the state of the other window")
	r.click("control/KEY/on")
	assert.Equal(t, "on", r.m.State().Controls["KEY"])
}

// TestNoExercise opens an exercise that is not there, as a mistyped address would.
func TestNoExercise(t *testing.T) {
	d := newDesk(t)
	m := bench.New(bench.NewRemote(&flaky{h: serve(d)}), bench.Settings{TextScale: 1})
	m.Open("no such & exercise")
	r := &rig{t: t, m: m, size: point(1280, 800)}
	r.settle()
	assert.Contains(t, m.Mirror().Trouble, "no such & exercise")
	r.click("trouble/leave")
	assert.Equal(t, "choice", m.Mirror().Screen)
	assert.NotNil(t, m.Frame(r.size).Find("start/dt14-02-candlelight"), "the choice is there")
}

// TestTakenUp leaves an attempt and takes it up again where it was.
func TestTakenUp(t *testing.T) {
	r, f, _ := remoteRig(t)
	r.start("dt14-02-candlelight")
	r.click("dial/volts")
	r.click("exercises")
	require.Equal(t, "choice", r.m.Mirror().Screen)
	check(t, r, "choice with one under way")
	r.picture("1280/19-under-way")
	r.start("dt14-02-candlelight")
	assert.Equal(t, meter.Volts, r.m.State().Dial)
	r.click("exercises")
	r.click("fresh/dt14-02-candlelight")
	assert.Equal(t, 0, r.m.State().Seq, "a fresh attempt")
	for _, p := range f.sent {
		u, err := url.Parse(p)
		require.NoError(t, err)
		assert.False(t, u.IsAbs() || u.Host != "" || strings.HasPrefix(p, "/"), "%q is relative to the page", p)
	}
	_ = time.Second
}
