package attempt

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"

	"faultloom/sim/fault"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// Mode says what an exercise is for.
type Mode string

// The modes.
const (
	Drill  Mode = "drill"  // practice: help may be asked for
	Graded Mode = "graded" // counts: no help
)

// Exercise is one job: a vehicle with a fault in it, and what the person may use. Faults are what the person has to find;
// nothing that is shown before the job is closed may hold them.
type Exercise struct {
	ID           string           `json:"id"`
	Title        string           `json:"title"`
	Complaint    string           `json:"complaint"`
	VehicleState string           `json:"vehicleState,omitempty"`
	Harness      *harness.Harness `json:"harness"`
	Faults       []fault.Fault    `json:"faults"`
	Tools        []meter.Tool     `json:"tools"`
	Functions    []meter.Function `json:"functions"` // of the multimeter; Off is always there
	Mode         Mode             `json:"mode"`
	Weights      Weights          `json:"weights"`
	Seed         uint64           `json:"seed"`              // of all that is drawn: the meter's calibration, a drawn fault
	Minutes      float64          `json:"minutes,omitempty"` // suggested bench time, 0 none
	Sealed       bool             `json:"-"`                 // the faults are not to be told before the job is closed
}

// Weights says how many points each part of the score is worth. They sum to 100.
type Weights struct {
	Confirm float64 `json:"confirm"`
	Isolate float64 `json:"isolate"`
	Repair  float64 `json:"repair"`
	Retest  float64 `json:"retest"`
	Safety  float64 `json:"safety"`
	Economy float64 `json:"economy"`
}

// Sum adds all weights up.
func (w Weights) Sum() float64 {
	return w.Confirm + w.Isolate + w.Repair + w.Retest + w.Safety + w.Economy
}

// check returns what makes the exercise unfit to be attempted.
func (ex *Exercise) check() error {
	if ex.ID == "" {
		return fmt.Errorf("exercise: has no id")
	}
	if ex.Harness == nil {
		return fmt.Errorf("exercise %q: has no harness", ex.ID)
	}
	for _, t := range ex.Tools {
		if !t.Valid() {
			return fmt.Errorf("exercise %q: %w", ex.ID, unknownTool(t))
		}
	}
	for _, f := range ex.Functions {
		if !f.Valid() {
			_, err := meter.ParseFunction(string(f))
			return fmt.Errorf("exercise %q: %w", ex.ID, err)
		}
	}
	if sum := ex.Weights.Sum(); math.IsNaN(sum) || math.IsInf(sum, 0) {
		return fmt.Errorf("exercise %q: weights must be numbers (sum is %v)", ex.ID, sum)
	}
	return nil
}

func unknownTool(t meter.Tool) error {
	_, err := meter.ParseTool(string(t))
	return err
}

// header makes the first line of a log. The digest covers the harness and all of the exercise that may be shown; not the
// faults, for whoever knows the catalogue could find the one that fits a digest. A log made with another fault is found
// out when it is replayed.
func (ex *Exercise) header() (Header, error) {
	public := *ex
	public.Faults, public.Seed = nil, 0
	data, err := marshal(public)
	if err != nil {
		return Header{}, fmt.Errorf("exercise %q: %w", ex.ID, err)
	}
	sum := sha256.Sum256(data)
	return Header{Format: Format, Exercise: ex.ID, Digest: hex.EncodeToString(sum[:]), Seed: ex.Seed}, nil
}
