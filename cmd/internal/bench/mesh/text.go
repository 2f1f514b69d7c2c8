package mesh

import (
	"math"

	shapes "faultloom/cmd/internal/draw"
)

// quarters returns a size in quarter pixels: text drawn a little larger shares its glyphs.
func quarters(size float64) int { return int(math.Round(size * 4)) }

// text paints a line of text: the baseline on a whole pixel, every character at the nearest quarter of a pixel.
func (b *Builder) text(o *shapes.TextOp) {
	size := o.Style.Size * b.view.scale
	q := quarters(size)
	if q < 8 { // below two pixels nothing can be read
		return
	}
	at := b.view.at(o.At)
	y := math.Round(at.Y)
	c := b.view.clip
	if y+size < float64(c.Min.Y) || y-size*1.2 > float64(c.Max.Y) {
		return
	}
	x := at.X
	if o.Style.Align != shapes.Start {
		w := shapes.Measure(o.Text, o.Style.Face, size)
		if o.Style.Align == shapes.Middle {
			w /= 2
		}
		x -= w
	}
	x = math.Round(x)
	bins := b.bins
	if size > 30 { // a quarter of a pixel is not seen in large letters
		bins = 1
	}
	col := colour(o.Style.Colour)
	for _, r := range o.Text {
		adv := shapes.Measure(string(r), o.Style.Face, size)
		if r != ' ' && x+size*2 > float64(c.Min.X) && x-size < float64(c.Max.X) {
			px := math.Floor(x*float64(bins)+0.5) / float64(bins)
			left := math.Floor(px)
			s, ok := b.Atlas.glyph(glyphKey{o.Style.Face, r, q, int(math.Round((px - left) * 4))})
			if !ok {
				b.full = true
				return
			}
			if !s.rect.Empty() {
				b.sprite(s, left, y, 1, col)
			}
		}
		x += adv
	}
}
