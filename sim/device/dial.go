package device

// dial is what an operator or the vehicle's state moves over evenly spaced places: the positions of a control, the first at 0
// and the last at 1.
type dial struct{ places, position int }

// Set implements Controlled. A position that does not exist is taken as the nearest that does.
func (d *dial) Set(i int) { d.position = min(max(i, 0), d.places-1) }

// Position implements Controlled.
func (d *dial) Position() int { return d.position }

// between returns the value at the present position when it goes from low at the first to high at the last.
func (d *dial) between(low, high float64) float64 {
	if d.places < 2 {
		return low
	}
	return low + float64((high-low)*(float64(d.position)/float64(d.places-1)))
}

// State implements Device: the position.
func (d *dial) State() []float64 { return []float64{float64(d.position)} }

// SetState implements Device.
func (d *dial) SetState(x []float64) { d.Set(int(x[0])) }
