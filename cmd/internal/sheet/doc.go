// Package sheet turns a harness into its wiring diagram: supply at the top, ground at the bottom, every point a lead can
// touch in a place of its own. Layout does the placing and routing once; Draw paints the result with what is happening now
// onto a draw.List; At, Where and Targets answer what is where, for a finger, a mouse or the arrow keys.
//
// The layout is layered (K. Sugiyama, S. Tagawa and M. Toda, "Methods for visual understanding of hierarchical system
// structures", IEEE Trans. SMC 11, 1981): things are ranked by the potential they would have with every switch closed,
// ordered within their layer to cross little, set in line with what they join, and wired through the channels between the
// layers on tracks of their own. The same harness gives the same sheet on every machine.
//
// The package also draws the other two pictures of the same harness: the face of one connector and the vehicle.
package sheet
