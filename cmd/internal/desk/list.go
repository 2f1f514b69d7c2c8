package desk

import (
	"strings"
	"time"
)

// Kept is one attempt on disk.
type Kept struct {
	Exercise string
	Began    time.Time // zero when its file's name does not tell
	File     string
	Closed   bool
	Score    float64 // of a closed one, points
	Of       float64
}

// Attempts lists the attempts at the library's exercises that are on disk, oldest first. Those that cannot be taken up are
// among them, not closed.
func (d *Desk) Attempts() ([]Kept, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	kept, err := d.store.List("")
	if err != nil {
		return nil, &Error{Failed, err}
	}
	var out []Kept
	for _, k := range kept {
		ex := d.library.Exercise(k.Exercise)
		if ex == nil {
			continue
		}
		s := summarise(ex, k.Path)
		began, _ := time.Parse("20060102T150405", strings.SplitN(k.Began, ".", 2)[0]) // the zero time if it is none
		out = append(out, Kept{k.Exercise, began, k.Path, s.closed, s.Score, s.Of})
	}
	return out, nil
}
