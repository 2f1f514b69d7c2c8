package device

import "math"

// The exponential and the logarithm of this file give the same bits on every processor: Go's own use machine code on some of
// them, which differs in the last place, and a fuse that opens one tick later or a digit that rounds the other way
// would make a replay disagree. No product here may be fused with a sum, hence the conversions.

// ln2 in two parts, the first with zeros below 2^-33 so that its product with a small integer is exact.
const (
	ln2Hi = 6.93147180369123816490e-01
	ln2Lo = 1.90821492927058770002e-10
)

// exp returns e to the x, within 2 units in the last place. It is 0 below -708 and +Inf above 709.
func exp(x float64) float64 {
	switch {
	case x != x:
		return x
	case x < -708:
		return 0
	case x > 709:
		return math.Inf(1)
	}
	// x = k·ln2 + r with |r| at most half of ln2, and the Taylor series of e^r, whose 14th term is below 1e-17.
	k := math.Floor(float64(x*math.Log2E) + 0.5)
	r := (x - float64(k*ln2Hi)) - float64(k*ln2Lo)
	// e^r = 1 + r + r²·(p0 + r²·p2 + r⁴·(p4 + r²·p6) + r⁸·(p8 + r²·p10)), pairs of terms side by side, which a processor does at once.
	r2 := r * r
	r4 := r2 * r2
	p0 := 1.0/2 + float64(r*(1.0/6))
	p2 := 1.0/24 + float64(r*(1.0/120))
	p4 := 1.0/720 + float64(r*(1.0/5040))
	p6 := 1.0/40320 + float64(r*(1.0/362880))
	p8 := 1.0/3628800 + float64(r*(1.0/39916800))
	p10 := 1.0/479001600 + float64(r*(1.0/6227020800))
	low := p0 + float64(r2*p2)
	mid := p4 + float64(r2*p6)
	top := p8 + float64(r2*p10)
	p := low + float64(r4*(mid+float64(r4*top)))
	y := 1 + (r + float64(r2*p))
	// Scaled in two steps, for 2^k alone may be beyond the exponents of normal numbers.
	half := int(k) / 2
	return y * power2(half) * power2(int(k)-half)
}

// power2 returns 2 to the k for k from -1022 to 1023.
func power2(k int) float64 { return math.Float64frombits(uint64(k+1023) << 52) }

// log returns the natural logarithm of x, within 2 units in the last place. It is -Inf at 0 and not a number below.
func log(x float64) float64 {
	switch {
	case x < 0 || x != x:
		return math.NaN()
	case x == 0:
		return math.Inf(-1)
	case x > math.MaxFloat64:
		return x
	}
	f, k := math.Frexp(x)
	if f < math.Sqrt2/2 {
		f, k = 2*f, k-1
	}
	// ln f = 2·artanh(s) with s at most 0.172, whose 11th term is below 1e-17.
	s := (f - 1) / (f + 1)
	z := s * s
	z2 := z * z
	z4 := z2 * z2
	p0 := 1.0/3 + float64(z*(1.0/5))
	p2 := 1.0/7 + float64(z*(1.0/9))
	p4 := 1.0/11 + float64(z*(1.0/13))
	p6 := 1.0/15 + float64(z*(1.0/17))
	p8 := 1.0/19 + float64(z*(1.0/21))
	low := p0 + float64(z2*p2)
	mid := p4 + float64(z2*p6)
	p := low + float64(z4*(mid+float64(z4*p8)))
	y := 2 * (s + float64(float64(s*z)*p))
	return float64(float64(k)*ln2Hi) + (y + float64(float64(k)*ln2Lo))
}

// pow returns x to the y for x above 0.
func pow(x, y float64) float64 { return exp(y * log(x)) }
