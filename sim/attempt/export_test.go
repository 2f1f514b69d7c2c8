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

// Speeds returns between what the model takes the speeds of motors to lie, in the order of the harness.
func (m *Model) Speeds() (out [][2]float64) {
	for _, x := range m.spins {
		out = append(out, [2]float64{x.lo, x.hi})
	}
	return out
}

// Blown tells which fuses of the vehicle are open now, as Sight.Blown does.
func Blown(m *Model) []bool { return m.blown() }
