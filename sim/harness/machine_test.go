package harness_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/sim/harness"
	"faultloom/sim/harness/sample"
)

func newTractor(t testing.TB) *harness.Machine {
	t.Helper()
	h := sample.Tractor()
	require.Empty(t, h.Validate())
	m, err := harness.NewMachine(h)
	require.NoError(t, err)
	return m
}

func operate(t testing.TB, m *harness.Machine, settings ...string) {
	t.Helper()
	for i := 0; i < len(settings); i += 2 {
		require.NoError(t, m.Operate(settings[i], settings[i+1]))
	}
}

func TestHealthyLampsOn(t *testing.T) {
	m := newTractor(t)
	t.Log(len(m.Harness().Points()), len(m.Harness().Limbs()))
	operate(t, m, "key", "on", "lamps", "on")
	ev, err := m.Run(2)
	require.NoError(t, err)
	t.Log(ev)
	for _, p := range m.Harness().Points() {
		t.Logf("%-12s %.4f", p, m.Volts(p))
	}
	t.Log(m.Effects(), m.LimbAmps("wire 21"))
	r, err := m.RunCheck()
	require.NoError(t, err)
	t.Log(r)
}
