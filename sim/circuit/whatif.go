package circuit

import "math"

const (
	// updateLoss bounds how many digits a rank-one update may lose: it is done when the change leaves at least this share
	// of what stood between the two nodes, else the circuit is eliminated anew with the branch in it. One digit of
	// fifteen is of no account.
	updateLoss = 0.1
	// driftVolts bounds by how much rounding may shift a part of the circuit that hardly anything joins to ground: the
	// update loses about rounding times the current times the resistance to ground. A hundredth of a microvolt is a
	// thousandth of the last digit of a good meter.
	driftVolts = 1e-8
	// rounding is the relative error of a number that went through a few operations.
	rounding = 4.5e-16
)

// Thevenin returns what the circuit, linearised at the last solution, looks like from two nodes: the voltage of a above b in
// volts with nothing added between them, and the resistance in ohms. Both are NaN unless Solve has succeeded since the last
// change.
func (s *Solver) Thevenin(a, b Node) (volts, ohms float64) {
	if !s.solved {
		return math.NaN(), math.NaN()
	}
	if a == b {
		return 0, 0
	}
	s.complete()
	ohms, _ = s.reaction(a, b)
	s.clearPath()
	return s.volts[a] - s.volts[b], ohms
}

// Transfer writes to out the voltages in volts that one ampere more into a and out of b adds to all nodes (indexed by Node,
// length Nodes), in the circuit linearised at the last solution. It returns out[a]-out[b], the resistance in ohms
// between them. By reciprocity out[c]-out[d] is also what an ampere into c and out of d adds to the voltage of a above
// b: one call with a meter's two points tells what any branch anywhere would do to its reading. All is NaN unless
// Solve has succeeded since the last change. It panics if out has another length.
func (s *Solver) Transfer(a, b Node, out []float64) (ohms float64) {
	if len(out) != len(s.volts) {
		panic("circuit: Transfer needs room for every node")
	}
	if !s.solved {
		fill(out, math.NaN())
		return math.NaN()
	}
	if a == b {
		clear(out)
		return 0
	}
	s.reaction(a, b)
	sym := s.sym
	for k := sym.columns - 1; k >= 0; k-- {
		t := s.rhs[k] * s.inv[k]
		p0, p1 := s.entries(k)
		for e := p0; e < p1; e++ {
			t += float64(s.part[e] * out[sym.rowNode[e]])
		}
		out[sym.node[k]] = t
	}
	out[Ground] = 0
	s.clearPath()
	return out[a] - out[b]
}

func fill(x []float64, v float64) {
	for i := range x {
		x[i] = v
	}
}

// WhatIf writes to out the voltages of all nodes (indexed by Node, length Nodes) that the circuit, linearised at the last
// solution, would have with one more branch between a and b: a conductance in siemens in series with an emf in volts that
// raises a above b. siemens may be +Inf, to force the voltage, or negative, to take away what stands there already
// (for a Source give its EMF too). The solver keeps its own solution. All voltages are NaN unless Solve has
// succeeded since the last change. WhatIf panics if out has another length.
//
// The formula is that of Sherman and Morrison (1950), "Adjustment of an inverse matrix corresponding to a change in one
// element of a given matrix". Where it would lose digits the circuit is eliminated anew: along the path that the change
// touches when a conductance goes that was nearly all there was between two nodes, and whole when a current is driven round a
// part that hardly anything joins to ground. Only the latter allocates.
func (s *Solver) WhatIf(a, b Node, siemens, emf float64, out []float64) {
	if len(out) != len(s.volts) {
		panic("circuit: WhatIf needs room for every node")
	}
	s.complete()
	switch {
	case !s.solved || math.IsNaN(siemens) || math.IsInf(siemens, -1):
		fill(out, math.NaN())
		return
	case a == b || siemens == 0:
		copy(out, s.volts)
		return
	}
	ohms, ground := s.reaction(a, b)
	rise := emf - (s.volts[a] - s.volts[b])
	left := 1 + float64(siemens*ohms)
	amps := siemens * rise / left
	if math.IsInf(siemens, 1) {
		amps = rise / ohms
	}
	drifts := rounding*math.Abs(amps)*ground > driftVolts
	switch {
	case siemens < 0 && (left < updateLoss || drifts) && s.without(a, b, -siemens, emf, out):
	case siemens > 0 && drifts && s.rebuilt(a, b, siemens, emf, out):
	default:
		s.respond(amps, out)
	}
	s.clearPath()
}

// reaction solves for one ampere into a and out of b, on the columns between them and the root only. It returns the voltage
// that this raises between a and b, in ohms, and a bound on the resistance from either to ground. It leaves the right-hand
// side after elimination in s.rhs, to be cleared by clearPath.
func (s *Solver) reaction(a, b Node) (ohms, ground float64) {
	sym, y := s.sym, s.rhs
	ka, kb := sym.pos[a], sym.pos[b]
	if ka >= 0 {
		y[ka]++
	}
	if kb >= 0 {
		y[kb]--
	}
	s.path = s.path[:0]
	for ka >= 0 || kb >= 0 {
		k := ka
		if ka < 0 || kb >= 0 && kb < ka {
			k = kb
		}
		if ka == k {
			ka = sym.parent[k]
		}
		if kb == k {
			kb = sym.parent[k]
		}
		s.path = append(s.path, k)
		x := y[k]
		p0, p1 := s.entries(int(k))
		rows, parts := sym.row[p0:p1], s.part[p0:p1]
		for i, j := range rows {
			y[j] += float64(parts[i] * x)
		}
	}
	z, r := s.unit, s.grounding
	for i := len(s.path) - 1; i >= 0; i-- {
		k := s.path[i]
		inv := s.inv[k]
		p0, p1 := s.entries(int(k))
		t, share, most := y[k]*inv, 0.0, 0.0
		nodes, parts := sym.rowNode[p0:p1], s.part[p0:p1]
		for i, n := range nodes {
			t += float64(parts[i] * z[n])
			share += parts[i]
			most = max(most, r[n])
		}
		// R_kk = 1/d + Σ l_i·l_q·R_iq, and no R_iq is above the largest R_ii.
		n := sym.node[k]
		z[n], r[n] = t, inv+share*share*most
	}
	return z[a] - z[b], max(r[a], r[b])
}

// respond writes to out the solution with amps more into a and out of b, after reaction.
func (s *Solver) respond(amps float64, out []float64) {
	was := s.spare[:len(s.path)]
	for i, k := range s.path {
		p := s.sym.ptr[k]
		was[i] = s.part[p]
		s.part[p] += float64(float64(amps*s.rhs[k]) * s.inv[k])
	}
	s.back(s.form.liveRuns, out)
	s.back(s.form.fixedRuns, out)
	out[Ground] = 0
	for i, k := range s.path {
		s.part[s.sym.ptr[k]] = was[i]
	}
}

// clearPath leaves s.rhs all zero again.
func (s *Solver) clearPath() {
	for _, k := range s.path {
		s.rhs[k] = 0
	}
}

// without writes to out the voltages with a conductance and its emf taken away between a and b, by elimination, and puts the
// elimination back as it was. It reports false when nothing like it stands there.
func (s *Solver) without(a, b Node, siemens, emf float64, out []float64) bool {
	slot, sign := s.sym.slotBetween(a, b)
	if slot < 0 {
		return false
	}
	rest, ok := s.leftIn(slot, siemens, emf*sign)
	if !ok {
		return false
	}
	was := s.orig.at(int(slot))
	hot := -1
	if h, found := s.sym.hotAt(slot); found {
		hot = h
	}
	var wasHot norton
	if hot >= 0 {
		wasHot, s.hot[hot] = s.hot[hot], norton{}
	}
	s.orig.put(int(slot), rest)
	if rest.j != 0 && !s.form.driven[s.sym.col[slot]] {
		s.reform() // an emf was given that is not there
	}
	s.touch(slot, newAll)
	s.reeliminate()
	s.back(s.form.liveRuns, out)
	s.back(s.form.fixedRuns, out)
	out[Ground] = 0
	s.orig.put(int(slot), was)
	if hot >= 0 {
		s.hot[hot] = wasHot
	}
	s.touch(slot, newAll)
	s.reeliminate()
	return true
}

// leftIn returns what is left in a slot, curves and stores included, without one conductance and its emf (raising the slot's own column).
// A branch that is just that is left out of the sum, so that nothing is subtracted; else the difference is taken, if it
// is not negative.
func (s *Solver) leftIn(slot int32, siemens, emf float64) (norton, bool) {
	sym := s.sym
	var t norton
	if sym.grounded(slot) {
		t.c = LeakSiemens
	}
	found := false
	add := func(g, j float64) {
		// An emf given for a branch is compared loosely, for it may have been worked out from a current.
		if !found && g == siemens && math.Abs(j-g*emf) <= 1e-9*math.Abs(j) {
			found = true
			return
		}
		t.c += g
		t.j += j
	}
	for _, i := range sym.slotBranch[sym.slotPtr[slot]:sym.slotPtr[slot+1]] {
		add(s.lin[i].g, sym.place[i].sign*s.lin[i].j)
	}
	if h, ok := sym.hotAt(slot); ok {
		for _, i := range sym.hotCurve.at(h) {
			add(s.crv[i].stampG, s.crv[i].sign*s.crv[i].stampJ)
		}
		for _, i := range sym.hotStore.at(h) {
			add(s.str[i].g, s.str[i].sign*s.str[i].j)
		}
	}
	if found {
		return t, true
	}
	t.c -= siemens
	t.j -= siemens * emf
	return t, t.c >= 0
}

// asStamped returns the conductance of a branch and the current it drives into a, as they stand in the last elimination.
func (s *Solver) asStamped(b ID) (g, j float64) {
	switch s.lin[b].kind {
	case curved:
		c := &s.crv[s.sym.curveOf[b]]
		return c.stampG, c.stampJ
	case capacitor, inductor:
		c := &s.str[s.sym.storeOf[b]]
		return c.g, c.j
	}
	return s.lin[b].g, s.lin[b].j
}

// rebuilt writes to out the voltages of the linearised circuit compiled anew with one more branch, so that the branch's current
// has a place of its own in the elimination. It reports false if that fails.
func (s *Solver) rebuilt(a, b Node, siemens, emf float64, out []float64) bool {
	n := Netlist{nodes: s.sym.net.nodes}
	for i, el := range s.sym.net.branches {
		g, j := s.asStamped(ID(i))
		n.Add(el.name, el.a, el.b, Resistor{max(1/g, MinOhms)})
		n.Add(el.name, el.a, el.b, Injection{-j})
	}
	n.Add("what if", a, b, Source{EMF: emf, Ohms: max(1/siemens, MinOhms)})
	t, err := Compile(&n)
	if err != nil || t.Solve() != nil {
		return false
	}
	copy(out, t.Voltages())
	return true
}
