// Package mesh turns a display list into triangles with soft edges over one atlas of glyphs, so that a whole screen is
// painted in a few calls of any triangle painter. It is plain Go: it needs no GPU and no window.
//
// Edges are smoothed by a fringe one pixel wide whose outer side is transparent, so no multisampling is needed. What is
// upright (rectangles, lines along an axis, text) is put on whole pixels, so that it stays crisp.
package mesh

import "image"

// Vertex is a corner of a triangle. X and Y are pixels of the picture, U and V pixels of the atlas; the colour is
// premultiplied by its alpha, each channel 0 to 1, and is to be multiplied with the atlas at U, V.
type Vertex struct{ X, Y, U, V, R, G, B, A float32 }

// MaxVertices bounds one batch, so that 16 bits count its corners with room to spare.
const MaxVertices = 60000

// Batch is what can be painted in one call: triangles that are cut to the same rectangle of the picture.
type Batch struct {
	Clip     image.Rectangle
	Vertices []Vertex
	Indices  []uint16
}
