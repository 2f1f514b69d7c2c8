package draw

import (
	"fmt"
	"math"
)

// Colour is an sRGB colour, each channel 0 to 255, with straight (not
// premultiplied) alpha. The zero Colour is fully transparent and means "none".
type Colour struct{ R, G, B, A uint8 }

// RGB returns the opaque colour 0xRRGGBB.
func RGB(hex uint32) Colour {
	return Colour{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), 255} //nolint:gosec // the bytes are wanted
}

// WithAlpha returns c with its alpha replaced by a.
func (c Colour) WithAlpha(a uint8) Colour { c.A = a; return c }

// Mix returns the colour that is the share t (0 gives c, 1 gives d, clamped)
// of the way from c to d, channel by channel.
func (c Colour) Mix(d Colour, t float64) Colour {
	t = min(max(t, 0), 1)
	f := func(a, b uint8) uint8 {
		return uint8(math.Round(float64(a) + float64((float64(b)-float64(a))*t)))
	}
	return Colour{f(c.R, d.R), f(c.G, d.G), f(c.B, d.B), f(c.A, d.A)}
}

// Over returns what is seen when c is laid over the opaque colour ground.
func (c Colour) Over(ground Colour) Colour {
	return ground.Mix(c.WithAlpha(255), float64(c.A)/255).WithAlpha(255)
}

// Hex returns c as "#rrggbb"; alpha is left out.
func (c Colour) Hex() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// RGBA makes Colour a color.Color of the standard library: the channels are
// premultiplied by alpha and scaled to 0..65535.
func (c Colour) RGBA() (r, g, b, a uint32) {
	a = uint32(c.A) * 0x101
	mul := func(v uint8) uint32 { return uint32(v) * 0x101 * a / 0xffff }
	return mul(c.R), mul(c.G), mul(c.B), a
}

// Luminance returns the relative luminance of c (0 black to 1 white), alpha
// ignored, by the definition in WCAG 2.1 (W3C Recommendation, "relative
// luminance").
func (c Colour) Luminance() float64 {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
}

// Contrast returns the contrast ratio of a and b, 1 to 21, by the definition in
// WCAG 2.1 ("contrast ratio"). Text needs 4.5 (success criterion 1.4.3, level
// AA), graphics that carry meaning need 3 (1.4.11).
func Contrast(a, b Colour) float64 {
	la, lb := a.Luminance(), b.Luminance()
	if la < lb {
		la, lb = lb, la
	}
	return (la + 0.05) / (lb + 0.05)
}
