package device

// Switched returns what in a device is either one thing or another, such as where a relay's armature is or whether a fuse is open, in a
// fixed order; nil for a device all of whose states follow by degree. Two circuits that differ by degree show readings between
// which those of any third lie that differs from them by less; two in which something has switched need not.
func Switched(d Device) []bool {
	switch d := d.(type) {
	case *Relay:
		return []bool{d.PulledIn()}
	case *Solenoid:
		return []bool{d.PulledIn()}
	case *Lamp:
		return []bool{d.Broken()}
	case *Flasher:
		return []bool{d.on, d.fast}
	case *Alternator:
		return []bool{d.Charging()}
	case *Module:
		return append(append([]bool{d.x.alive}, d.x.out...), d.x.tripped...)
	case *Wiper:
		return []bool{d.parked}
	case *Node:
		return []bool{d.awake}
	case *Probe:
		return []bool{d.Blown()}
	case interface{ Blown() bool }:
		return []bool{d.Blown()}
	case interface{ Tripped() bool }:
		return []bool{d.Tripped()}
	}
	return nil
}

// Sensed returns what a device makes of what it is given, in a fixed order; nil for one that has no inputs. Two circuits in which it makes the same of
// it do the same as those between them, but for what has Switched; between two in which it does not, something may be done that is done in neither.
func Sensed(d Device) []bool {
	if m, ok := d.(*Module); ok {
		return m.x.signal
	}
	return nil
}
