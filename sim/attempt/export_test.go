package attempt

import (
	"errors"
	"io"
)

// ReadLines reads a log's lines without playing them.
func ReadLines(r io.Reader) (Kept, error) {
	c := newChain(r)
	for {
		_, err := c.next()
		if errors.Is(err, io.EOF) {
			return Kept{c.n, c.good, c.cut}, nil
		}
		if err != nil {
			return Kept{}, err
		}
	}
}

// ParseFuseSeen reads what a look at a fuse tells.
func ParseFuseSeen(text string) (id string, amps float64, sight string, ok bool) {
	id, amps, s, ok := parseFuseSeen(text)
	return id, amps, s.String(), ok
}
