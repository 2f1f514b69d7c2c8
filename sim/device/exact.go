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
	p := 1.0 / 6227020800
	for _, c := range [...]float64{1.0 / 479001600, 1.0 / 39916800, 1.0 / 3628800, 1.0 / 362880, 1.0 / 40320,
		1.0 / 5040, 1.0 / 720, 1.0 / 120, 1.0 / 24, 1.0 / 6, 0.5} {
		p = float64(p*r) + c
	}
	y := 1 + (r + float64(float64(r*r)*p))
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
	// ln f = 2·artanh(s) with s at most 0.172, whose 12th term is below 1e-18.
	s := (f - 1) / (f + 1)
	z := s * s
	p := 1.0 / 25
	for _, c := range [...]float64{1.0 / 23, 1.0 / 21, 1.0 / 19, 1.0 / 17, 1.0 / 15, 1.0 / 13, 1.0 / 11, 1.0 / 9,
		1.0 / 7, 1.0 / 5, 1.0 / 3} {
		p = float64(p*z) + c
	}
	y := 2 * (s + float64(float64(s*z)*p))
	return float64(float64(k)*ln2Hi) + (y + float64(float64(k)*ln2Lo))
}

// pow returns x to the y for x above 0.
func pow(x, y float64) float64 { return exp(y * log(x)) }
