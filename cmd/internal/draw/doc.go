// Package draw is the display list through which everything visible goes: the
// wiring sheet and the panels of the bench are appended to a List as plain
// shapes, and the List is then painted on a screen, written as SVG or
// rasterised in memory.
//
// Lengths are in sheet units: one unit is one CSS pixel (1/96 inch) at zoom 1.
// X grows to the right and Y grows downwards, as on every screen; angles are in
// degrees, clockwise from the positive X axis. Nothing here needs a GPU, a
// window, a file or a clock, so the package works under js/wasm and in tests.
package draw
