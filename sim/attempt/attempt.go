package attempt

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"

	"faultloom/sim/device"
	"faultloom/sim/meter"
)

// Sink is where a log goes, line by line.
type Sink interface {
	// Append writes one line, its newline included, and returns once it is safe: flushed to the disk if it is a file. After an
	// error nothing of the line may be left, or the attempt must be taken up anew with Resume.
	Append(line []byte) error
}

// ErrClosed says that the job is closed: nothing can be done any more.
var ErrClosed = errors.New("the job is closed")

// SinkError says that an action was not kept, so it was not done: the attempt stands as before it.
type SinkError struct{ Err error }

func (e *SinkError) Error() string { return fmt.Sprintf("the action could not be recorded: %v", e.Err) }

// Unwrap returns the Sink's own error.
func (e *SinkError) Unwrap() error { return e.Err }

// Attempt is one person's go at one exercise. It is not safe for concurrent use.
type Attempt struct {
	ex      Exercise
	sink    Sink
	sum     string // of the last line
	w       *world // nil when it has to be made again from the records
	t       *track
	records []Record
	state   State
	kept    Kept
}

// Kept says what Resume found of a log.
type Kept struct {
	Lines int   // complete lines, the header included
	Bytes int64 // their length: what follows must be cut off before anything is appended
	Cut   bool  // the log ended inside a line, which was dropped: the action in hand when the program was stopped
}

// Start begins an attempt and writes the log's first line. It returns an error when the exercise is not fit to be attempted,
// and a *SinkError when the line was not kept.
func Start(ex Exercise, log Sink) (*Attempt, error) {
	a, head, err := begin(ex)
	if err != nil {
		return nil, err
	}
	body, err := marshal(head)
	if err != nil {
		return nil, err
	}
	line, sum := seal("", body)
	if err := log.Append(line); err != nil {
		return nil, &SinkError{err}
	}
	a.sink, a.sum = log, sum
	a.kept = Kept{Lines: 1, Bytes: int64(len(line))}
	return a, nil
}

// begin makes the attempt as it stands before its first action.
func begin(ex Exercise) (*Attempt, Header, error) {
	if err := ex.check(); err != nil {
		return nil, Header{}, err
	}
	head, err := ex.header()
	if err != nil {
		return nil, Header{}, err
	}
	a := &Attempt{ex: ex}
	if a.w, err = newWorld(&a.ex); err != nil {
		return nil, Header{}, fmt.Errorf("exercise %q: %w", ex.ID, err)
	}
	a.t = newTrack(ex.Harness)
	a.state = a.look(Observation{}, nil)
	return a, head, nil
}

// Resume takes an attempt up from its log: every action is done again and must yield what was recorded. A last line that was
// cut off is dropped; Kept tells, and the caller cuts it off the log before the next action. It returns ErrEmptyLog when the
// first line is not complete, and a *LogError for a log that was edited, damaged or made for another exercise.
func Resume(ex Exercise, lines io.Reader, log Sink) (*Attempt, error) {
	a, err := replay(ex, lines)
	if err != nil {
		return nil, err
	}
	a.sink = log
	return a, nil
}

// Replay does every action of a log again and returns the records. Errors are those of Resume.
func Replay(ex Exercise, lines io.Reader) ([]Record, error) {
	a, err := replay(ex, lines)
	if err != nil {
		return nil, err
	}
	return a.Records(), nil
}

// Kept returns what Resume found; after Start, the first line.
func (a *Attempt) Kept() Kept { return a.kept }

// Do does one action: it takes its bench time, changes the vehicle or the tools, and is recorded; only once the record is
// safe does State show it. An action that cannot be done here and now is recorded as refused and changes nothing but the clock.
//
// It returns ErrClosed after Close, a *MalformedError for what is no action, a *SinkError when the record was not kept, and the
// solver's error when the circuit has no solution. After any error the attempt stands as before.
func (a *Attempt) Do(act Action) (Observation, error) {
	if a.t.closed {
		return Observation{}, ErrClosed
	}
	if err := CheckAction(act); err != nil {
		return Observation{}, err
	}
	if a.w == nil {
		if err := a.rebuild(); err != nil {
			return Observation{}, err
		}
	}
	rec, body, err := a.try(act)
	if err != nil {
		a.w = nil
		return Observation{}, err
	}
	line, sum := seal(a.sum, body)
	if err := a.sink.Append(line); err != nil {
		a.w = nil
		return Observation{}, &SinkError{err}
	}
	a.accept(rec, sum)
	return rec.Observation, nil
}

// try does the action in the world, which is of no use if it fails.
func (a *Attempt) try(act Action) (Record, []byte, error) {
	rec := Record{Seq: len(a.records), Ticks: a.w.ticks, Action: act}
	var err error
	if rec.Observation, err = a.w.step(a.t, act); err != nil {
		return rec, nil, fmt.Errorf("action %d (%s): %w", rec.Seq, act.Do(), err)
	}
	body, err := marshal(rec)
	return rec, body, err
}

// accept makes a record part of the attempt.
func (a *Attempt) accept(rec Record, sum string) {
	stage := a.t.take(rec)
	a.records = append(a.records, rec)
	a.sum = sum
	did, showed := Words(a.ex.Harness, rec)
	entry := Entry{Seq: rec.Seq, Ticks: rec.Ticks, Did: did, Showed: showed, Stage: stage}
	a.state = a.look(rec.Observation, append(a.state.Log, entry))
}

// rebuild makes the world again from the records.
func (a *Attempt) rebuild() error {
	w, err := newWorld(&a.ex)
	if err != nil {
		return err
	}
	t := newTrack(a.ex.Harness)
	for _, rec := range a.records {
		if _, err := w.step(t, rec.Action); err != nil {
			return err
		}
		t.take(rec)
	}
	a.w = w
	return nil
}

// replay makes an attempt from a log.
func replay(ex Exercise, lines io.Reader) (*Attempt, error) {
	c := newChain(lines)
	found, err := c.header()
	if err != nil {
		return nil, err
	}
	a, head, err := begin(ex)
	if err != nil {
		return nil, err
	}
	if err := found.fits(head); err != nil {
		return nil, err
	}
	a.sum = c.sum
	for {
		body, err := c.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if err := a.again(c, body); err != nil {
			return nil, err
		}
	}
	a.kept = Kept{Lines: c.n, Bytes: c.good, Cut: c.cut}
	return a, nil
}

// again does the action of one line and compares what it yields with what the line says.
func (a *Attempt) again(c *chain, body []byte) error {
	var was Record
	if err := was.UnmarshalJSON(body); err != nil {
		return &LogError{c.n, fmt.Sprintf("is not a record (%v)", err)}
	}
	switch {
	case a.t.closed:
		return &LogError{c.n, "follows after the job was closed"}
	case was.Seq != len(a.records):
		return &LogError{c.n, fmt.Sprintf("holds action %d where action %d belongs", was.Seq, len(a.records))}
	}
	rec, now, err := a.try(was.Action)
	if err != nil {
		return &LogError{c.n, err.Error()}
	}
	if string(now) != string(body) {
		return &LogError{c.n, "does not follow from the actions before it: " + difference(was, rec)}
	}
	a.accept(rec, c.sum)
	return nil
}

// difference says what a replay shows otherwise than the record.
func difference(was, now Record) string {
	for _, part := range []struct {
		name     string
		was, now any
	}{
		{"clock", was.Ticks, now.Ticks},
		{"displays", was.Observation.Displays, now.Observation.Displays},
		{"effects", was.Observation.Effects, now.Observation.Effects},
		{"events", was.Observation.Events, now.Observation.Events},
		{"things seen", was.Observation.Seen, now.Observation.Seen},
		{"refusal", was.Observation.Refused, now.Observation.Refused},
		{"clock after it", was.Observation.Ticks, now.Observation.Ticks},
	} {
		x, errX := marshal(part.was)
		y, errY := marshal(part.now)
		if errX != nil || errY != nil || string(x) != string(y) {
			return fmt.Sprintf("%s recorded %s, replayed %s", part.name, clip(x), clip(y))
		}
	}
	return "the record is written otherwise than this program writes it"
}

// Records returns all records in order. The slice is the caller's, the maps in it are not to be written.
func (a *Attempt) Records() []Record { return slices.Clone(a.records) }

// State returns what may be shown now. It is the caller's own.
func (a *Attempt) State() State {
	s := a.state
	s.Controls, s.Unplugged, s.OpenLooms, s.Accessed = maps.Clone(s.Controls), maps.Clone(s.Unplugged), maps.Clone(s.OpenLooms), maps.Clone(s.Accessed)
	s.Effects, s.Fuses, s.Celsius = maps.Clone(s.Effects), maps.Clone(s.Fuses), maps.Clone(s.Celsius)
	s.Leads, s.Displays = maps.Clone(s.Leads), maps.Clone(s.Displays)
	s.Reach, s.Marks, s.Shown = slices.Clone(s.Reach), slices.Clone(s.Marks), slices.Clone(s.Shown)
	s.Repairs, s.Log = slices.Clone(s.Repairs), slices.Clone(s.Log)
	return s
}

// look makes the state that shows the track and the world as they are after an observation.
func (a *Attempt) look(obs Observation, log []Entry) State {
	t := a.t
	s := State{
		Seq: len(a.records), Ticks: a.w.ticks, Closed: t.closed,
		Controls: maps.Clone(t.controls), Unplugged: maps.Clone(t.parted), OpenLooms: maps.Clone(t.open), Accessed: maps.Clone(t.accessed),
		Fuses: maps.Clone(t.fuses), Effects: map[string]device.Effect{},
		Dial: t.dial, Relative: t.relative, Capture: t.capture, Leads: map[meter.Tool][2]string{}, Displays: maps.Clone(obs.Displays),
		Marks: slices.Clone(t.marks), Shown: slices.Clone(t.shown),
		Finding: t.finding, Repairs: slices.Clone(t.repairs), Log: log, Stage: t.stage,
	}
	s.Shaking, s.Celsius = a.w.m.Shaking(), a.w.felt()
	if s.Displays == nil {
		s.Displays = map[meter.Tool]meter.Display{}
	}
	s.Sweep = a.w.bench.Sweep()
	if _, shown := s.Displays[meter.TraceView]; shown {
		trace := a.w.bench.Trace()
		s.Trace = &trace
	}
	for id, e := range a.w.m.Effects() {
		e.Level = math.Round(e.Level*levelSteps) / levelSteps
		s.Effects[id] = e
	}
	for _, tool := range a.ex.Tools {
		ends := t.leads[tool]
		s.Leads[tool] = [2]string{string(ends[0]), string(ends[1])}
	}
	for _, p := range a.ex.Harness.Points() {
		ok, why := a.w.m.Reach(p)
		s.Reach = append(s.Reach, Reachable{Point: p, Ok: ok, Why: why})
	}
	return s
}

// levelSteps is how finely a person tells the strength of what is noticed, in steps per rated strength.
const levelSteps = 100
