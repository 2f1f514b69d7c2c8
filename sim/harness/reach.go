package harness

import "fmt"

// Reach reports whether a lead can touch a point now, and if not, why in plain words. Both halves of a mated in-line connector are
// reached from behind, and either half of a parted one. Of a mated component's plug the loom's half is reached from
// behind. A relay's or other plug-in part's socket is hidden under it until it is pulled; a fuse shows its two test points and hides
// the holder. Studs, their rings and the body are always in reach; a splice is once the loom is opened there.
func (m *Machine) Reach(p Point) (ok bool, why string) {
	i, found := m.ix.place[p]
	if !found {
		return false, fmt.Sprintf("there is no point %q here", p)
	}
	info := &m.ix.infos[i]
	switch info.Kind {
	case SplicePoint:
		if !m.LoomOpen(info.Splice) {
			return false, fmt.Sprintf("splice %s is inside the loom: open the loom to get at it", info.Splice)
		}
	case CavityHalf:
		k := m.ix.connectors[info.Connector]
		if !m.parted[k] {
			return reachMated(m.h.Connectors[k], info.Half)
		}
	}
	return true, ""
}

func reachMated(c Connector, half string) (ok bool, why string) {
	switch {
	case c.Mount == Plug && half == "b":
		return false, fmt.Sprintf("the terminal is inside %s: unplug %s to get at it", c.Component, c.ID)
	case c.Mount == Socket && half == "a":
		return false, fmt.Sprintf("%s sits on its socket: pull it out to get at this cavity", c.Component)
	case c.Mount == Socket:
		return false, fmt.Sprintf("%s sits on its socket: pull it out to get at its pins", c.Component)
	case c.Mount == Holder && half == "a":
		return false, fmt.Sprintf("fuse %s sits in its holder: pull it out to get at this cavity, or use the test points on its back", c.Component)
	}
	return true, ""
}
