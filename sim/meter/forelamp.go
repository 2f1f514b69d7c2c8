package meter

import (
	"fmt"
	"math"

	"faultloom/sim/circuit"
	"faultloom/sim/device"
)

// Forelamp foretells the light of the test lamp between two points of which the open voltage and the resistance are known (Thevenin), as
// far as the rest of the circuit is linear. It is not safe for concurrent use.
type Forelamp struct {
	lamp  device.Device
	sol   *circuit.Solver
	feeds circuit.ID
	dark  float64 // watts below which the lamp stays dark whatever
}

// NewForelamp returns one for a test lamp that is made for a supply of volts.
func NewForelamp(volts float64) (*Forelamp, error) {
	lamp, err := device.New(device.Spec{Kind: "lamp", Values: map[string]float64{"power": TestLampWatts, "volts": volts}})
	if err != nil {
		return nil, fmt.Errorf("test lamp: %w", err)
	}
	f := &Forelamp{lamp: lamp, dark: TestLampWatts * 1e-3}
	var net circuit.Netlist
	tip := net.Node("tip")
	f.feeds = net.Add("what feeds it", tip, circuit.Ground, circuit.Source{Ohms: 1})
	lamp.Build(&net, "test lamp", []circuit.Node{tip, circuit.Ground})
	if f.sol, err = circuit.Compile(&net); err != nil {
		return nil, fmt.Errorf("test lamp: %w", err)
	}
	return f, nil
}

// leastOhms keeps what feeds the lamp from having no resistance at all.
const leastOhms = 1e-3

// Light returns what the lamp does once it is warm, with volts open and ohms behind them.
func (f *Forelamp) Light(volts, ohms float64) (device.Effect, error) {
	ohms = max(ohms, leastOhms)
	if most := volts * volts / (4 * ohms); most < f.dark || math.IsInf(ohms, 1) {
		volts, ohms = 0, 1 // more than that no lamp can draw from it
	}
	f.sol.SetEMF(f.feeds, volts)
	f.sol.SetOhms(f.feeds, ohms)
	f.lamp.Stamp(f.sol, device.Steady)
	if err := f.sol.Solve(); err != nil {
		return device.Effect{}, fmt.Errorf("test lamp at %g V and %g ohm: %w", volts, ohms, err)
	}
	return f.lamp.Effect(f.sol), nil
}
