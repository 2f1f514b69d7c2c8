package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/rogpeppe/go-internal/lockedfile"
)

// ErrElsewhere says that another program has written to an attempt's file since this one last did. Nothing was written; the
// attempt is to be read again.
var ErrElsewhere = errors.New("the attempt has gone on in another window")

// lockName is the file in an attempts' folder that is locked while a line is appended, so that two programs at the same
// attempt cannot write into one another.
const lockName = ".lock"

// File is an attempt's open file. It satisfies attempt.Sink. It is not safe for concurrent use within a program; other
// programs may have the same file open.
type File struct {
	f    disk
	path string
	size int64 // bytes of it that are known to be whole
	lock *lockedfile.Mutex
	torn error // set when a failed append could not be taken back
}

// disk is what a File needs of an *os.File.
type disk interface {
	io.Writer
	io.Seeker
	io.Closer
	Stat() (os.FileInfo, error)
	Sync() error
	Truncate(size int64) error
}

func newFile(f disk, path string, size int64) *File {
	return &File{f: f, path: path, size: size, lock: lockedfile.MutexAt(filepath.Join(filepath.Dir(path), lockName))}
}

// Continue opens an attempt's file to append to it. read is the length in bytes of what was read of it, keep the length of
// what is whole: a last line that was being written when the program was killed is cut off first. It returns ErrElsewhere
// when the file has another length than read.
func Continue(path string, read, keep int64) (*File, error) {
	o, err := os.OpenFile(path, os.O_WRONLY, 0o600)
	if err != nil {
		return nil, err
	}
	f := newFile(o, path, read)
	defer f.exclude()()
	if err := f.unchanged(); err != nil {
		o.Close()
		return nil, err
	}
	f.size = keep
	if err := f.cut(); err != nil {
		o.Close()
		return nil, err
	}
	return f, nil
}

// Append writes one line (with its newline) and returns once it is safe on disk. After an error the file is as it was; if
// even that cannot be done, every later Append fails, and what was cut off is dropped when the file is read again. It
// returns ErrElsewhere when another program has appended.
func (f *File) Append(line []byte) error {
	if f.torn != nil {
		return fmt.Errorf("the attempt could not be saved before, and its file is not as it should be: %w", f.torn)
	}
	defer f.exclude()()
	if err := f.unchanged(); err != nil {
		return err
	}
	_, err := f.f.Write(line)
	if err == nil {
		err = f.f.Sync()
	}
	if err != nil {
		f.torn = f.cut()
		return fmt.Errorf("the attempt could not be saved: %w", err)
	}
	f.size += int64(len(line))
	return nil
}

// Unchanged returns ErrElsewhere when another program has written to the file, another error when it is gone from its place.
func (f *File) Unchanged() error { return f.unchanged() }

// Path is where it is.
func (f *File) Path() string { return f.path }

// Close closes it.
func (f *File) Close() error { return f.f.Close() }

// exclude keeps other programs from writing until the function that it returns is called. Where the file system knows no
// locks the length of the file still tells of another program, only not between the look and the write.
func (f *File) exclude() (done func()) {
	unlock, err := f.lock.Lock()
	if err != nil {
		return func() {}
	}
	return unlock
}

func (f *File) unchanged() error {
	info, err := f.f.Stat()
	if err != nil {
		return fmt.Errorf("the attempt's file cannot be reached: %w", err)
	}
	there, err := os.Stat(f.path)
	if err != nil || !os.SameFile(info, there) {
		return fmt.Errorf("the attempt's file %s is gone from its place", f.path)
	}
	if info.Size() != f.size {
		return ErrElsewhere
	}
	return nil
}

// cut takes off what stands after the whole part, and goes to the end of that.
func (f *File) cut() error {
	if err := f.f.Truncate(f.size); err != nil {
		return err
	}
	_, err := f.f.Seek(f.size, io.SeekStart)
	return err
}
