package meter

// Show makes f's display of a value at the meter's terminals, without calibration error.
func Show(f Function, v float64) Display {
	b := Bench{cal: Ideal(), dial: f}
	return b.show(f, v)
}

// Apply is what the meter with calibration c makes of v on the range of f that can show it.
func Apply(c Calibration, f Function, v float64) float64 {
	i, _ := f.RangeOf(v)
	return c.apply(f, accuracies[f].Ranges[i], v)
}
