// Package wire holds the messages between the bench in a browser page and the program that keeps the attempt. They are
// plain data for JSON. None of them can carry a fault: what a page is sent, a curious person can read.
//
//	GET  api/exercises             → Exercises
//	GET  api/job?exercise=ID       → Job of the attempt at ID that is under way, else of the last one closed; 404 when there is none
//	GET  api/par?exercise=ID       → Par of the closed attempt at ID; it may take a while. 409 while the attempt is under way
//	POST api/start  StartRequest   → Job
//	POST api/do     DoRequest      → DoReply
//
// Every failure comes as an ErrorReply with a status of 400 and above: 404 for an exercise or attempt that is not there,
// 409 when Seq does not fit the attempt (the page then asks for api/job again), 500 when the attempt could not be kept.
// All addresses are below the page's own and of the same origin.
package wire

import (
	"encoding/json"

	"faultloom/grading"
	"faultloom/sim/attempt"
	"faultloom/sim/harness"
	"faultloom/sim/meter"
)

// The addresses, relative to the page.
const (
	PathExercises = "api/exercises"
	PathJob       = "api/job"
	PathPar       = "api/par"
	PathStart     = "api/start"
	PathDo        = "api/do"
)

// ExerciseQuery names the query key of PathJob and PathPar, and of the page's own address when it opens an exercise at once.
const ExerciseQuery = "exercise"

// Exercises is what a person can choose from, in the order to show it.
type Exercises struct {
	Exercises []Exercise `json:"exercises"`
}

// Exercise is one line of the choice.
type Exercise struct {
	ID      string  `json:"id"`
	Title   string  `json:"title"`
	Harness string  `json:"harness"`           // title of the vehicle circuit
	Fleet   string  `json:"fleet"`             // fleet number of the vehicle
	Mode    string  `json:"mode"`              // "drill" or "graded"
	Minutes float64 `json:"minutes,omitempty"` // suggested bench time, 0 none
	Open    bool    `json:"open,omitempty"`    // an attempt is under way and can be taken up again
	Done    bool    `json:"done,omitempty"`    // at least one attempt was closed
	Best    float64 `json:"best,omitempty"`    // best score of the closed ones, points
	Of      float64 `json:"of,omitempty"`      // points there are to get
}

// Brief is the part of an exercise that the trainee may see.
type Brief struct {
	ID           string           `json:"id"`
	Title        string           `json:"title"`
	Complaint    string           `json:"complaint"`
	VehicleState string           `json:"vehicleState"`
	Mode         string           `json:"mode"`
	Minutes      float64          `json:"minutes,omitempty"`
	Tools        []meter.Tool     `json:"tools"`
	Functions    []meter.Function `json:"functions"` // of the multimeter's dial, Off not named
}

// Job is an attempt with all that is needed to show it.
type Job struct {
	Exercise Brief            `json:"exercise"`
	Harness  *harness.Harness `json:"harness"`
	State    attempt.State    `json:"state"`
	Report   json.RawMessage  `json:"report,omitempty"` // grading.Report, once the job is closed
	Notice   string           `json:"notice,omitempty"` // something a person should know, such as a line lost in a crash
}

// Par is what the best next test each time would have made of a job that was closed, beside what was made of it.
type Par struct {
	Curve  []grading.ParPoint `json:"curve"`
	Beside []string           `json:"beside"` // grading.Report has both
}

// StartRequest begins an attempt, or takes up the one that is under way unless Fresh asks for a new one.
type StartRequest struct {
	ID    string `json:"id"`
	Fresh bool   `json:"fresh,omitempty"`
}

// DoRequest asks for one action. Seq is State.Seq as the page last saw it. A request that comes again because its reply
// was lost (the same Seq and Action as the last one done) gets the same reply and is not done twice.
type DoRequest struct {
	Exercise string          `json:"exercise"`
	Seq      int             `json:"seq"`
	Action   json.RawMessage `json:"action"` // attempt.EncodeAction
}

// DoReply is what came of it. It is sent only after the action is safe in the log.
type DoReply struct {
	State       attempt.State       `json:"state"`
	Observation attempt.Observation `json:"observation"`
	Report      json.RawMessage     `json:"report,omitempty"` // grading.Report, when the action closed the job
	// Coaching is the answer to an attempt.Ask. It follows from what was seen, so it tells no more than the trainee could know.
	Coaching *grading.Coaching `json:"coaching,omitempty"`
}

// ErrorReply says in plain words what went wrong.
type ErrorReply struct {
	Error string `json:"error"`
}
