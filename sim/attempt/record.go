package attempt

import (
	"bytes"
	"encoding/json"
)

// Record is one action with what came of it.
type Record struct {
	Seq         int   // counted from 0
	Ticks       int64 // clock before the action
	Action      Action
	Observation Observation
}

// wire is a Record's JSON form.
type wire struct {
	Seq         int             `json:"seq"`
	Ticks       int64           `json:"ticks"`
	Action      json.RawMessage `json:"action"`
	Observation Observation     `json:"observation"`
}

// MarshalJSON writes the record as a log's line has it, without the sum.
func (r Record) MarshalJSON() ([]byte, error) {
	act, err := EncodeAction(r.Action)
	if err != nil {
		return nil, err
	}
	return marshal(wire{r.Seq, r.Ticks, act, r.Observation})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (r *Record) UnmarshalJSON(data []byte) error {
	var w wire
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&w); err != nil {
		return err
	}
	act, err := DecodeAction(w.Action)
	if err != nil {
		return err
	}
	*r = Record{w.Seq, w.Ticks, act, w.Observation}
	return nil
}
