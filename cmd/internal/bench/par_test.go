package bench_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/bench"
	"faultloom/cmd/internal/wire"
	"faultloom/grading"
	"faultloom/sim/meter"
)

// slowPar answers what par is when it is told to, after it has been lost a number of times.
type slowPar struct {
	quickClose
	lost int
	now  chan struct{}
}

func (s *slowPar) Par(string) (*wire.Par, error) {
	<-s.now
	if s.lost--; s.lost >= 0 {
		return nil, bench.ErrLost
	}
	return &wire.Par{Curve: []grading.ParPoint{{Minutes: 1, Total: 2}}, Beside: []string{"You took as long as par."}}, nil
}

// lostPort is a port on which answers about par can get lost.
type lostPort struct {
	bench.Port
	k *slowPar
	c chan func()
}

func (p *lostPort) Par(id string, done func(*wire.Par, error)) {
	go func() {
		x, err := p.k.Par(id)
		p.c <- func() { done(x, err) }
	}()
}

func (p *lostPort) Poll() bool {
	select {
	case f := <-p.c:
		f()
		return true
	default:
		return p.Port.Poll()
	}
}

// The debrief is there at once; par comes when it comes, though its answer be lost on the way, and nothing waits for it.
func TestParComesLater(t *testing.T) {
	k := &slowPar{quickClose: quickClose{Keeper: newDesk(t)}, lost: 2, now: make(chan struct{})}
	r := &rig{t: t, size: point(1280, 800)}
	r.m = bench.New(&lostPort{bench.NewLocal(k), k, make(chan func(), 1)}, bench.Settings{TextScale: 1, Calm: true})
	r.settle()
	r.start("dt14-02-candlelight")
	r.dial(meter.Volts)
	r.click("close")
	r.click("close/yes")
	require.NotNil(t, r.m.Report())
	assert.Nil(t, r.m.Report().Par)
	assert.False(t, r.m.Busy(), "nothing is waited for")
	r.picture("1280/par-late")
	close(k.now)
	require.Eventually(t, func() bool {
		r.m.Tick(0.01)
		return r.m.Report().Par != nil
	}, 10*time.Second, time.Millisecond) // far above what three answers need
	assert.True(t, r.m.Dirty(), "the debrief is drawn anew")
	assert.Contains(t, r.m.Mirror().Report, "You took as long as par.")
	r.picture("1280/par")
}
