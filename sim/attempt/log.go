package attempt

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Format is the first line's mark of a log that this package writes.
const Format = "faultloom attempt 1"

// maxLogLine bounds one line of a log in bytes. An observation names every component once, so even a large harness
// stays far below.
const maxLogLine = 1 << 20

// A log is JSON Lines. Line 1 is the Header, every other line one Record. Each line's last field "sum" is the SHA-256, in
// hexadecimal, over the sum of the line before (as text; nothing for line 1) and the line's bytes without that field.
// So a line that is changed, moved, taken out or put in breaks the chain there.

// Header is the first line of a log. It says which exercise the log belongs to and holds no fault. Seed tells the meter's
// calibration, and lets a program that drew the exercise from a seed draw it again.
type Header struct {
	Format   string `json:"format"`
	Exercise string `json:"exercise"`
	Digest   string `json:"digest"`
	Seed     uint64 `json:"seed"`
}

// LogError says that a log cannot be used, and where. Line counts from 1.
type LogError struct {
	Line int
	What string
}

func (e *LogError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.What) }

// ErrEmptyLog says that a log ends before its first line does: nothing was done in it, so a new attempt can be started.
var ErrEmptyLog = errors.New("the log has no complete first line: nothing was recorded in it yet")

const sumField = `,"sum":"`

// seal appends the chained sum to the JSON object body and returns the whole line with its newline, and the sum.
func seal(prev string, body []byte) (line []byte, sum string) {
	h := sha256.New()
	h.Write([]byte(prev))
	h.Write(body)
	sum = hex.EncodeToString(h.Sum(nil))
	line = make([]byte, 0, len(body)+len(sumField)+len(sum)+3)
	line = append(line, body[:len(body)-1]...)
	line = append(line, sumField...)
	line = append(line, sum...)
	line = append(line, '"', '}', '\n')
	return line, sum
}

// unseal splits a line without its newline into the object it was made from and its sum, and checks the sum.
func unseal(prev string, line []byte) (body []byte, sum string, ok bool) {
	const tail = len(sumField) + 2*sha256.Size + len(`"}`)
	if len(line) <= tail || line[0] != '{' {
		return nil, "", false
	}
	cut := len(line) - tail
	body = append(append([]byte(nil), line[:cut]...), '}')
	again, sum := seal(prev, body)
	return body, sum, bytes.Equal(again[:len(again)-1], line)
}

// chain reads a log's lines one by one and checks their sums.
type chain struct {
	r    *bufio.Reader
	n    int    // lines read
	good int64  // bytes of complete, checked lines
	sum  string // of the last of them
	cut  bool   // the log ends inside a line
}

func newChain(r io.Reader) *chain { return &chain{r: bufio.NewReader(r)} }

// next returns the next line's object, io.EOF after the last complete line, a *LogError for one whose sum does not fit, or
// the reader's own error.
func (c *chain) next() ([]byte, error) {
	var line []byte
	for {
		part, err := c.r.ReadSlice('\n')
		line = append(line, part...)
		if len(line) > maxLogLine {
			return nil, &LogError{c.n + 1, fmt.Sprintf("is longer than %d bytes, which no line of a log is", maxLogLine)}
		}
		if err == nil {
			break
		}
		if errors.Is(err, io.EOF) {
			c.cut = len(line) > 0
			return nil, io.EOF
		}
		if !errors.Is(err, bufio.ErrBufferFull) {
			return nil, fmt.Errorf("line %d: %w", c.n+1, err)
		}
	}
	body, sum, ok := unseal(c.sum, line[:len(line)-1])
	if !ok {
		return nil, &LogError{c.n + 1, "the sum does not fit: this line, or one just before it, was changed, moved, added or taken out"}
	}
	c.n++
	c.good += int64(len(line))
	c.sum = sum
	return body, nil
}

// header reads line 1.
func (c *chain) header() (Header, error) {
	body, err := c.next()
	if errors.Is(err, io.EOF) {
		return Header{}, ErrEmptyLog
	}
	if err != nil {
		return Header{}, err
	}
	var h Header
	dec := json.NewDecoder(bytes.NewReader(body))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&h); err != nil {
		return Header{}, &LogError{1, fmt.Sprintf("is not the first line of an attempt's log (%v)", err)}
	}
	if h.Format != Format {
		return Header{}, &LogError{1, fmt.Sprintf("format must be %q (got %q)", Format, h.Format)}
	}
	return h, nil
}

// ReadHeader reads the first line of a log and checks its sum. It returns ErrEmptyLog when there is no complete first line,
// a *LogError when it is not one.
func ReadHeader(r io.Reader) (Header, error) { return newChain(r).header() }

// fits returns a *LogError unless the header is that of want.
func (h Header) fits(want Header) error {
	switch {
	case h.Exercise != want.Exercise:
		return &LogError{1, fmt.Sprintf("belongs to exercise %q, not to %q", h.Exercise, want.Exercise)}
	case h.Seed != want.Seed:
		return &LogError{1, fmt.Sprintf("was made with seed %d, not with %d", h.Seed, want.Seed)}
	case h.Digest != want.Digest:
		return &LogError{1, fmt.Sprintf("exercise %q or its harness has another content than when the log was made (digest %s, now %s)",
			h.Exercise, short(h.Digest), short(want.Digest))}
	}
	return nil
}

func short(s string) string {
	const most = 12
	if len(s) > most {
		return strings.ToValidUTF8(s[:most], "")
	}
	return s
}
