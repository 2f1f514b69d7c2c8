//go:build !linux || desktop

package main

import (
	"image"

	"github.com/hajimehoshi/ebiten/v2"

	"faultloom/cmd/internal/bench/mesh"
	"faultloom/cmd/internal/draw"
)

// painter paints display lists: the still part into a picture that is kept, what follows the pointer over it.
type painter struct {
	b     *mesh.Builder
	atlas *ebiten.Image
	kept  *ebiten.Image

	vertices []ebiten.Vertex
	pix      []byte
}

func newPainter() *painter {
	p := &painter{b: mesh.NewBuilder()}
	// The sizes of the first screen, so that it comes up at once.
	th := draw.Workshop()
	for _, s := range []float64{th.Type.Body, th.Type.Caption} {
		p.b.Atlas.Warm(draw.Regular, s*ebiten.Monitor().DeviceScaleFactor())
		p.b.Atlas.Warm(draw.Bold, s*ebiten.Monitor().DeviceScaleFactor())
	}
	return p
}

// still paints l, one unit being scale pixels, into the picture that is kept.
func (p *painter) still(l *draw.List, w, h int, scale float64) {
	if p.kept == nil || p.kept.Bounds().Dx() != w || p.kept.Bounds().Dy() != h {
		if p.kept != nil {
			p.kept.Deallocate()
		}
		p.kept = ebiten.NewImageWithOptions(image.Rect(0, 0, w, h), &ebiten.NewImageOptions{Unmanaged: true})
	}
	p.paint(p.kept, l, w, h, scale)
}

// show puts the kept picture on the screen and paints l over it.
func (p *painter) show(screen *ebiten.Image, l *draw.List, w, h int, scale float64) {
	screen.DrawImage(p.kept, &ebiten.DrawImageOptions{Blend: ebiten.BlendCopy})
	if l.Len() > 0 {
		p.paint(screen, l, w, h, scale)
	}
}

func (p *painter) paint(to *ebiten.Image, l *draw.List, w, h int, scale float64) {
	batches := p.b.Build(l, w, h, scale)
	p.upload()
	for i := range batches {
		b := &batches[i]
		if len(b.Indices) == 0 {
			continue
		}
		p.vertices = p.vertices[:0]
		for _, v := range b.Vertices {
			p.vertices = append(p.vertices, ebiten.Vertex{
				DstX: v.X, DstY: v.Y, SrcX: v.U, SrcY: v.V, ColorR: v.R, ColorG: v.G, ColorB: v.B, ColorA: v.A,
			})
		}
		dst, ok := to.SubImage(b.Clip).(*ebiten.Image)
		if !ok {
			continue
		}
		dst.DrawTriangles(p.vertices, b.Indices, p.atlas, &ebiten.DrawTrianglesOptions{ColorScaleMode: ebiten.ColorScaleModePremultipliedAlpha})
	}
}

// upload brings what changed of the atlas to the graphics card.
func (p *painter) upload() {
	r := p.b.Atlas.Dirty()
	if p.atlas == nil {
		p.atlas = ebiten.NewImageWithOptions(p.b.Atlas.Pix.Rect, &ebiten.NewImageOptions{Unmanaged: true})
		r = p.b.Atlas.Pix.Rect
	}
	if r.Empty() {
		return
	}
	n := 4 * r.Dx() * r.Dy()
	if cap(p.pix) < n {
		p.pix = make([]byte, n)
	}
	p.pix = p.pix[:n]
	i := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := p.b.Atlas.Pix.Pix[y*p.b.Atlas.Pix.Stride+r.Min.X:]
		for x := range r.Dx() {
			a := row[x]
			p.pix[i], p.pix[i+1], p.pix[i+2], p.pix[i+3] = a, a, a, a
			i += 4
		}
	}
	if img, ok := p.atlas.SubImage(r).(*ebiten.Image); ok {
		img.WritePixels(p.pix)
	}
}
