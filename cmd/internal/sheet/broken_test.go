package sheet_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"faultloom/cmd/internal/draw"
	"faultloom/cmd/internal/sheet"
	"faultloom/sim/harness"
)

// TestBrokenHarnessesDraw holds the sheet to drawing whatever it is given: a harness with mistakes in it is drawn as far as it
// makes sense, and nothing panics.
func TestBrokenHarnessesDraw(t *testing.T) {
	for seed := range uint64(120) {
		h := generated(seed, 12)
		spoil(h, rand.New(rand.NewPCG(seed, 99)))
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			s := sheet.Layout(h)
			var l draw.List
			s.Draw(&l, allUnplugged(h))
			require.NoError(t, l.Err())
			l.Reset()
			s.DrawPage(&l, sheet.Live{}, sheet.A4)
			require.NoError(t, l.Err())
			for i := range h.Connectors {
				if f := sheet.ConnectorFace(h, h.Connectors[i].ID, sheet.Live{}); f != nil {
					l.Reset()
					f.Draw(&l, sheet.Live{})
					f.Stacked().Draw(&l, sheet.Live{})
					require.NoError(t, l.Err())
				}
			}
			l.Reset()
			sheet.VehicleView(h, sheet.Live{}, 300, 200).Draw(&l, sheet.Live{})
			require.NoError(t, l.Err())
		})
	}
}

// spoil makes a few mistakes in a harness.
func spoil(h *harness.Harness, r *rand.Rand) {
	wire := func() *harness.Wire { return &h.Wires[r.IntN(len(h.Wires))] }
	for range 1 + r.IntN(4) {
		switch r.IntN(14) {
		case 0:
			wire().To = "nowhere.1.a"
		case 1:
			w := wire()
			w.To = w.From
		case 2:
			wire().Colour = "XX/YY"
		case 3:
			wire().Size = math.Inf(1)
		case 4:
			h.Components[r.IntN(len(h.Components))].Spec.Terminals = nil
		case 5:
			h.Connectors[r.IntN(len(h.Connectors))].Cavities = nil
		case 6:
			h.Connectors[r.IntN(len(h.Connectors))].Component = "nobody"
		case 7:
			h.Components[r.IntN(len(h.Components))].Spec.Kind = "relay"
		case 8:
			h.Components = append(h.Components, h.Components[0])
		case 9:
			wire().ID = "a wire with a name that nobody would paint on any insulation, ever, \x00 and more"
		case 10:
			h.Connectors[r.IntN(len(h.Connectors))].Title = "Ω \u202e upside down, and very, very, very long, with-hyphens/and/slashes"
		case 11:
			h.Grounds = nil
		case 12:
			h.Components = h.Components[1:]
		case 13:
			h.Sheet = append(h.Sheet, harness.Placement{ID: h.Components[0].ID, Column: -900, Row: 900, Turn: -7}, harness.Placement{ID: "ghost"})
		}
	}
}
