package bench_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/desk"
	"faultloom/cmd/internal/wire"
	"faultloom/scenarios"
	"faultloom/sim/attempt"
	"faultloom/sim/fault"
	"faultloom/sim/harness"
)

// history is an exercise on a desk with some things done.
func history(t *testing.T, k *desk.Desk, id string, acts ...attempt.Action) {
	t.Helper()
	j, err := k.Start(wire.StartRequest{ID: id})
	require.NoError(t, err)
	for i, act := range acts {
		data, err := attempt.EncodeAction(act)
		require.NoError(t, err)
		x, err := k.Do(wire.DoRequest{Exercise: id, Seq: j.State.Seq + i, Action: json.RawMessage(data)})
		require.NoError(t, err)
		require.Empty(t, x.Observation.Refused, "%#v", act)
	}
}

// seenAt is what the name of a cavity on its connector's face says was seen there.
func (r *rig) seenAt(p string) string {
	r.t.Helper()
	w := r.m.Frame(r.size).Find("face/" + p)
	require.NotNil(r.t, w, "the face shows %s", p)
	_, word, _ := strings.Cut(w.Label, ", seen: ")
	return word
}

// What a look at a connector showed stays on its face, with the connector plugged again and when the job is taken up another day, until that
// place is repaired.
func TestFaceRemembersWhatWasSeen(t *testing.T) {
	const id = "dt14-05-half-the-light" // terminal 2 of X2 backed out
	k := newDesk(t)
	r := rigOn(t, k, 1280, 1600, 1)
	r.start(id)
	r.open("X2.2.a")
	r.click("unplug")
	assert.Empty(t, r.seenAt("X2.2.a"), "nobody has looked closely")
	assert.NotContains(t, r.written(), "backed out")
	r.click("inspect")
	assert.Equal(t, "backed out", r.seenAt("X2.2.a"))
	assert.Empty(t, r.seenAt("X2.2.b"))
	assert.Empty(t, r.seenAt("X2.1.a"))
	count := func(all []string, word string) (n int) {
		for _, s := range all {
			if s == word {
				n++
			}
		}
		return n
	}
	assert.Equal(t, 2, count(r.written(), "backed out"), "a word on the face and one on the sheet")
	r.picture("1280/seen")
	r.click("plug")
	assert.Equal(t, "backed out", r.seenAt("X2.2.a"))

	again := rigOn(t, k, 1280, 1600, 1)
	again.start(id)
	again.open("X2.2.a")
	assert.Equal(t, "backed out", again.seenAt("X2.2.a"), "read from the log")

	done := len(r.m.State().Log)
	repair := func(what string) {
		data, err := attempt.EncodeAction(attempt.Repair{Repair: what})
		require.NoError(t, err)
		x, err := k.Do(wire.DoRequest{Exercise: id, Seq: done, Action: json.RawMessage(data)})
		require.NoError(t, err)
		require.Empty(t, x.Observation.Refused)
		done++
		again = rigOn(t, k, 1280, 1600, 1)
		again.start(id)
		again.open("X2.2.a")
	}
	repair("remake cavity X2.1")
	assert.Equal(t, "backed out", again.seenAt("X2.2.a"), "its neighbour was repaired")
	repair("remake cavity X2.2")
	assert.Empty(t, again.seenAt("X2.2.a"), "mended")
	assert.NotContains(t, again.written(), "backed out")
}

// Corrosion is on both halves; of a place that is no cavity the sheet and the card tell.
func TestWhatIsSeenElsewhere(t *testing.T) {
	for _, c := range []struct {
		id   string
		look []attempt.Action
		open harness.Point
		at   map[string]string // by the id of what can be chosen
	}{
		{"dt14-02-candlelight", []attempt.Action{attempt.Unplug{Connector: "X1"}, attempt.Inspect{Place: "X1.1"}}, "X1.1.a",
			map[string]string{"face/X1.1.a": "corroded", "face/X1.1.b": "corroded", "at/point/X1.1.a": "corroded", "face/X1.2.a": ""}},
		{"dt14-01-the-lamp-that-answers", []attempt.Action{attempt.Inspect{Place: "G1"}}, "G1", map[string]string{"at/point/G1": "no contact"}},
		{"dt14-15-hoarse", []attempt.Action{attempt.Inspect{Place: "G1"}}, "G1", map[string]string{"at/point/G1.31f": "corroded", "at/point/G1": ""}},
		{"ft5-07-fresh-paint", []attempt.Action{attempt.Inspect{Place: "X2"}}, "X2.2.a",
			map[string]string{"face/X2.2.a": "crossed", "face/X2.3.a": "crossed", "face/X2.2.b": ""}},
		{"dt14-05-half-the-light", []attempt.Action{attempt.Inspect{Place: "X2"}}, "X2.2.a", map[string]string{"face/X2.2.a": ""}}, // mated: hidden
	} {
		t.Run(c.id, func(t *testing.T) {
			k := newDesk(t)
			history(t, k, c.id, c.look...)
			r := rigOn(t, k, 1280, 1600, 1)
			r.start(c.id)
			r.open(c.open)
			f := r.m.Frame(r.size)
			for id, want := range c.at {
				w := f.Find(id)
				require.NotNil(t, w, id)
				_, word, _ := strings.Cut(w.Label, ", seen: ")
				assert.Equal(t, want, word, id)
			}
			told := strings.Contains(strings.Join(r.written(), "\n"), "Seen: ")
			assert.Equal(t, c.id != "dt14-05-half-the-light", told, "the card tells it in a sentence")
			r.picture("1280/seen-" + c.id)
		})
	}
}

// The log is read back by the titles of faults: no two that can be seen may read alike, unless a different rating of a fuse is all that differs.
func TestWhatIsSeenReadsUnlike(t *testing.T) {
	lib, err := scenarios.LoadAll(scenarios.Builtin())
	require.NoError(t, err)
	for _, file := range lib.Harnesses {
		h := file.Harness
		book := fault.NewBook(h)
		was := map[string]fault.Fault{}
		for _, e := range book.Catalogue() {
			if !e.Visible || strings.HasPrefix(e.Fault.Place, "fuse ") {
				continue
			}
			f := e.Fault
			f.Severity = 0
			_, told := attempt.Words(h, attempt.Record{Action: attempt.Inspect{Place: "X1"}, Observation: attempt.Observation{Seen: []string{f.String()}}})
			assert.Equal(t, e.Title, told, "the log tells a fault by its title")
			other, twice := was[e.Title]
			assert.False(t, twice, "%s: %s and %s are both %q", h.ID, f, other, e.Title)
			was[e.Title] = f
		}
	}
}
