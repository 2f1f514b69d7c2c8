package harness

// Quiet settles and returns how long, in seconds, the steady state can stand until something changes by itself, such as a fuse that
// opens; +Inf when nothing will. Within that time Hold changes nothing but the battery's charge. Errors are those of Settle.
func (m *Machine) Quiet() (seconds float64, err error) {
	if err := m.Settle(); err != nil {
		return 0, err
	}
	return m.due(), nil
}
