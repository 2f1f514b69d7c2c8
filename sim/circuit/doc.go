// Package circuit finds the voltages and currents of networks of two-terminal branches. It knows nothing of vehicles.
//
// # Method
//
// Nodal analysis: a branch from a to b with conductance g and a current source j beside it carries
//
//	i = g·(Va - Vb) - j
//
// so that a resistor, a source with its series resistance, an injected current and a linearised curve all are of one form, and
// Kirchhoff's current law at the nodes gives G·V = J with G symmetric: positive on the diagonal, never positive beside it. The
// nodes are eliminated one by one in an order of minimum degree that is found once, by the star-mesh transformation. Each node's
// conductance to ground is kept by itself, not as what a diagonal leaves over, so eliminating adds, multiplies and divides
// positive numbers only and every conductance on the way is right to a few roundings, however far apart they are: this is
// the elimination of Grassmann, Taksar and Heyman (1985) for Markov chains; for its accuracy on diagonally
// dominant M-matrices see Alfa, Xue and Ye (2002), "Accurate computation of the smallest eigenvalue of a diagonally dominant
// M-matrix".
//
// The right-hand side is not kept per node either, where 12.6 V behind 5 mΩ would put 2,520 A into one node and take them
// out of another, to cancel later. Each current source stays with the pair of nodes it lies between, and eliminating a node
// turns a star of sources into a mesh of them. In volts, what is done to sources is taking weighted means and differences.
//
// # Accuracy
//
// For linear branches, each node's voltage is right to
//
//	2⁻⁵³ · (16 + levels) · ΣE
//
// where levels is the depth of the elimination (Solver.Levels; 7 to 20 for harnesses, half of n for a chain of n) and ΣE the sum of the
// electromotive forces: fourteen digits of the supply. The bound does not depend on how far conductances lie apart, on how
// large Norton currents are that cancel, or on how well a part is tied to ground; a node behind 1 TΩ is as exact as a battery
// post. Resistances from Thevenin and entries of Transfer against Ground are right to 2⁻⁵³ · (16 + levels) of themselves. The
// tests hold both against arithmetic of 96 digits on networks of 1e-12 to 1e3 S, where the largest error is a quarter of the
// bound. An Injection counts as the voltage that it raises. WhatIf keeps to 1e-8 V where a part hangs on leakage alone.
// Currents are conductance times a difference of voltages, so rounded to conductance times the above; the
// currents at a node add up to nothing within the sum of that. A Curve adds what Newton's method leaves
// (currentTolerance).
//
// Products are rounded before they are added, so results are the same on processors with and without fused operations.
package circuit
