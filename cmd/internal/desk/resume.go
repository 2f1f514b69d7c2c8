package desk

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"faultloom/cmd/internal/store"
	"faultloom/sim/attempt"
)

// takeUp returns the attempt in hand at an exercise, else the newest one on disk, nil if there is none.
func (d *Desk) takeUp(ex *attempt.Exercise) (*work, error) {
	w := d.open[ex.ID]
	if w != nil && w.file != nil && w.file.Unchanged() == nil {
		return w, nil
	}
	kept, err := d.store.List(ex.ID)
	if err != nil {
		return nil, err
	}
	if w != nil && w.file == nil && len(kept) > 0 && kept[len(kept)-1].Path == w.path {
		return w, nil // closed, and nothing newer
	}
	d.drop(ex.ID) // another program has gone on with it or has begun a newer one, or its file is gone
	for i := len(kept) - 1; i >= 0; i-- {
		path := kept[i].Path
		w, err := resume(ex, path)
		if errors.Is(err, attempt.ErrEmptyLog) {
			continue // stopped before it had begun
		}
		if err != nil {
			return nil, fmt.Errorf("the last attempt (%s) cannot be taken up again: %w", filepath.Base(path), err)
		}
		d.open[ex.ID] = w
		return w, nil
	}
	return nil, nil
}

// later is a sink whose file is opened only once the log has proved good: what cannot be taken up is not touched.
type later struct{ file *store.File }

func (l *later) Append(line []byte) error { return l.file.Append(line) }

// resume reads an attempt's file and stands ready to append to it.
func resume(ex *attempt.Exercise, path string) (*work, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	sink := &later{}
	a, err := attempt.Resume(*ex, bytes.NewReader(data), sink)
	if err != nil {
		return nil, err
	}
	w := &work{ex: ex, attempt: a, path: path}
	if a.State().Closed {
		return w, nil
	}
	kept := a.Kept()
	if sink.file, err = store.Continue(path, int64(len(data)), kept.Bytes); err != nil {
		return nil, err
	}
	w.file = sink.file
	if kept.Cut {
		w.notice = "The program stopped in the middle of an action last time; that action was not done."
	}
	return w, nil
}
