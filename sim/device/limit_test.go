package device_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"faultloom/sim/circuit"
	"faultloom/sim/device"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mostIterations is what any of these laws may take alone: what chatters jumps from one solution to another all the time.
const mostIterations = 10

// Whatever feeds a law, and wherever its last solution lay, the next one is found in a few iterations.
func TestLawsConverge(t *testing.T) {
	laws := map[string]circuit.Law{
		"output both ways":     device.DriverLaw(0, 0.05, 3, false),
		"output on pulses":     device.DriverLaw(9, 0.05, 3, false),
		"low-side output":      device.DriverLaw(0, 0.05, 0.5, true),
		"low-side, on pulses":  device.DriverLaw(9, 0.05, 0.5, true),
		"reference":            device.ReferenceLaw(5, 0.05, 0.05),
		"rectifier":            device.JunctionLaw(0.9, 1),
		"light-emitting diode": device.JunctionLaw(2, 0.02),
	}
	random := rand.New(rand.NewPCG(1, 20))
	for name, law := range laws {
		t.Run(name, func(t *testing.T) {
			var n circuit.Netlist
			top := n.Node("top")
			source := n.Add("source", top, circuit.Ground, circuit.Source{EMF: 0, Ohms: 1})
			n.Add("law", top, circuit.Ground, circuit.Curve{Law: law})
			sol, err := circuit.Compile(&n)
			require.NoError(t, err)
			for range 2000 {
				emf, ohms := random.Float64()*80-40, math.Pow(10, random.Float64()*9-2)
				sol.SetEMF(source, emf)
				sol.SetOhms(source, ohms)
				require.NoError(t, sol.Solve())
				v := sol.Voltage(top)
				i, _ := law.At(v)
				assert.InDelta(t, (emf-v)/ohms, i, 1e-9*math.Abs(i)+2*circuit.LeakSiemens*math.Abs(v)+1e-15*(1+math.Abs(emf)/ohms), "%g V behind %g ohms", emf, ohms)
				if !assert.LessOrEqual(t, sol.Iterations(), mostIterations, "%g V behind %g ohms", emf, ohms) {
					return
				}
			}
		})
	}
}

// An output with a light and a coil on its wire, and a reference beside it that a sensor joins to it: each of their tangents at a limit throws the
// other's voltage far over.
func TestOutputsConvergeTogether(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 20))
	var n circuit.Netlist
	supply, low, sense := n.Node("supply"), n.Node("low"), n.Node("sense")
	source := n.Add("source", supply, circuit.Ground, circuit.Source{EMF: 25, Ohms: 0.02})
	coil := n.Add("coil", supply, low, circuit.Resistor{Ohms: 26})
	n.Add("light", supply, low, circuit.Curve{Law: device.JunctionLaw(2, 0.02)})
	n.Add("output", low, circuit.Ground, circuit.Curve{Law: device.DriverLaw(0, 0.05, 3, false)})
	n.Add("reference", sense, circuit.Ground, circuit.Curve{Law: device.ReferenceLaw(5, 0.05, 0.05)})
	load := n.Add("sensor", sense, low, circuit.Resistor{Ohms: 1800})
	sol, err := circuit.Compile(&n)
	require.NoError(t, err)
	all, lost := 0, 0
	const tries = 3000
	for range tries {
		sol.SetEMF(source, random.Float64()*60-30)
		sol.SetOhms(source, math.Pow(10, random.Float64()*6-2))
		sol.SetOhms(coil, math.Pow(10, random.Float64()*5-1))
		sol.SetOhms(load, math.Pow(10, random.Float64()*5))
		require.NoError(t, sol.Solve())
		all += sol.Iterations()
		if sol.Iterations() > 2*mostIterations {
			lost++ // two outputs at their limits that push each other: the damped iteration finds them
		}
	}
	assert.Less(t, float64(all)/tries, 5.0)
	assert.Less(t, lost, tries/100)
	t.Logf("%.2f on average, %d lost their way", float64(all)/tries, lost)
}
