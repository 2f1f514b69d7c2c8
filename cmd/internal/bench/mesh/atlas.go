package mesh

import (
	"image"
	"image/draw"

	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	shapes "faultloom/cmd/internal/draw"

	"golang.org/x/image/font/sfnt"
)

// AtlasSize is the side of the atlas in pixels. Every screen of the bench fits several times; a browser's lower bound
// for textures is 2048 (WebGL 1 lets 64 be the least, but no machine of this decade has less than 2048).
const AtlasSize = 2048

// gap keeps neighbours in the atlas apart.
const gap = 1

// Atlas is a picture of coverage, from which glyphs and odd shapes are painted. It fills up shelf by shelf; when it is
// full it starts again, and Generation tells.
type Atlas struct {
	// Pix is the coverage. The pixel at 0, 0 and its neighbours are full, for plain shapes.
	Pix *image.Alpha
	// Generation counts how often it started anew.
	Generation int

	dirty   image.Rectangle
	x, y, h int
	glyphs  map[glyphKey]sprite
	masks   map[maskKey]sprite
	fonts   map[shapes.Face]*sfnt.Font
	buf     sfnt.Buffer
	z       *vector.Rasterizer
}

// sprite is a piece of the atlas and where its corner lies from the place it is painted at, in pixels.
type sprite struct {
	rect   image.Rectangle
	dx, dy int
}

type glyphKey struct {
	face  shapes.Face
	char  rune
	size  int // quarter pixels
	shift int // quarter pixels to the right
}

type maskKey struct {
	hash uint64 // of the corners, relative to a whole pixel
	w, h int
}

// NewAtlas returns an atlas that holds nothing but the full pixel.
func NewAtlas() *Atlas {
	a := &Atlas{Pix: image.NewAlpha(image.Rect(0, 0, AtlasSize, AtlasSize)), z: vector.NewRasterizer(1, 1), fonts: map[shapes.Face]*sfnt.Font{}}
	a.reset()
	return a
}

func (a *Atlas) reset() {
	clear(a.Pix.Pix)
	a.glyphs, a.masks = map[glyphKey]sprite{}, map[maskKey]sprite{}
	for y := range whiteSide {
		for x := range whiteSide {
			a.Pix.Pix[y*a.Pix.Stride+x] = 255
		}
	}
	a.x, a.y, a.h = whiteSide+gap, 0, whiteSide+gap
	a.dirty = a.Pix.Rect
	a.Generation++
}

// whiteSide is the side of the full square; its middle is taken, so that no filter can reach its edge.
const whiteSide = 4

// white is where plain shapes take their coverage.
const white = float32(whiteSide) / 2

// Dirty returns the rectangle that changed since the last call, empty if nothing did.
func (a *Atlas) Dirty() image.Rectangle {
	r := a.dirty
	a.dirty = image.Rectangle{}
	return r
}

// place finds room for w by h pixels; ok is false when the atlas is full.
func (a *Atlas) place(w, h int) (r image.Rectangle, ok bool) {
	if a.x+w+gap > AtlasSize {
		a.x, a.y, a.h = 0, a.y+a.h, 0
	}
	if w+gap > AtlasSize || a.y+h+gap > AtlasSize {
		return image.Rectangle{}, false
	}
	r = image.Rect(a.x, a.y, a.x+w, a.y+h)
	a.x += w + gap
	a.h = max(a.h, h+gap)
	a.dirty = a.dirty.Union(r)
	return r, true
}

// glyph returns the sprite of a character; ok is false when the atlas is full. An empty sprite paints nothing.
func (a *Atlas) glyph(k glyphKey) (s sprite, ok bool) {
	if s, ok := a.glyphs[k]; ok {
		return s, true
	}
	f, err := a.font(k.face)
	if err != nil {
		return sprite{}, true
	}
	i, err := f.GlyphIndex(&a.buf, k.char)
	if err != nil {
		return sprite{}, true
	}
	ppem := fixed.Int26_6(k.size * 16)
	segs, err := f.LoadGlyph(&a.buf, i, ppem, nil)
	if err != nil || len(segs) == 0 {
		a.glyphs[k] = sprite{}
		return sprite{}, true
	}
	b := segs.Bounds()
	shift := fixed.Int26_6(k.shift * 16)
	x0, y0 := (b.Min.X + shift).Floor(), b.Min.Y.Floor()
	x1, y1 := (b.Max.X + shift).Ceil(), b.Max.Y.Ceil()
	r, ok := a.place(x1-x0, y1-y0)
	if !ok {
		return sprite{}, false
	}
	a.z.Reset(r.Dx(), r.Dy())
	a.z.DrawOp = draw.Src
	at := func(p fixed.Point26_6) (float32, float32) {
		return float32(p.X+shift)/64 - float32(x0), float32(p.Y)/64 - float32(y0)
	}
	for i, g := range segs {
		ax, ay := at(g.Args[0])
		switch g.Op {
		case sfnt.SegmentOpMoveTo:
			if i > 0 {
				a.z.ClosePath()
			}
			a.z.MoveTo(ax, ay)
		case sfnt.SegmentOpLineTo:
			a.z.LineTo(ax, ay)
		case sfnt.SegmentOpQuadTo:
			bx, by := at(g.Args[1])
			a.z.QuadTo(ax, ay, bx, by)
		case sfnt.SegmentOpCubeTo:
			bx, by := at(g.Args[1])
			cx, cy := at(g.Args[2])
			a.z.CubeTo(ax, ay, bx, by, cx, cy)
		}
	}
	a.z.ClosePath()
	a.z.Draw(a.Pix, r, image.Opaque, image.Point{})
	s = sprite{r, x0, y0}
	a.glyphs[k] = s
	return s, true
}

func (a *Atlas) font(face shapes.Face) (*sfnt.Font, error) {
	if f := a.fonts[face]; f != nil {
		return f, nil
	}
	f, err := sfnt.Parse(shapes.TTF(face))
	if err != nil {
		return nil, err
	}
	a.fonts[face] = f
	return f, nil
}

// Warm draws the printable ASCII characters of face at size pixels, so that the first screen does not have to.
func (a *Atlas) Warm(face shapes.Face, size float64) {
	for c := ' '; c <= '~'; c++ {
		if _, ok := a.glyph(glyphKey{face, c, quarters(size), 0}); !ok {
			return
		}
	}
}

// mask returns the sprite of a filled path whose corners are given in pixels relative to a whole pixel, w by h large.
func (a *Atlas) mask(k maskKey, runs []run) (s sprite, ok bool) {
	if s, ok := a.masks[k]; ok {
		return s, true
	}
	r, ok := a.place(k.w, k.h)
	if !ok {
		return sprite{}, false
	}
	a.z.Reset(k.w, k.h)
	a.z.DrawOp = draw.Src
	for _, c := range runs {
		for i, p := range c.pts {
			if i == 0 {
				a.z.MoveTo(float32(p.X), float32(p.Y))
				continue
			}
			a.z.LineTo(float32(p.X), float32(p.Y))
		}
		a.z.ClosePath()
	}
	a.z.Draw(a.Pix, r, image.Opaque, image.Point{})
	s = sprite{r, 0, 0}
	a.masks[k] = s
	return s, true
}
