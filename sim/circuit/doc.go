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
// For a circuit of linear branches the error of every node's voltage is below
//
//	8 · (levels + 2) · 2⁻⁵³ · ΣE
//
// where levels is the depth of the elimination tree (Solver.Levels) and ΣE is the sum over branches of the voltage that each
// source would have when open: the EMF of a Source, and for an Injection its current times the resistance that it meets. It
// does not depend on how far conductances lie apart or on how well a part is tied to ground. A Curve adds what the
// tolerance of Newton's method leaves.
//
// Products are rounded before they are added, so results are the same on processors with and without fused operations.
package circuit
