package harness

// Point names a place a lead could touch, or a wire could end, in the text form used by files, logs and screens:
//
//	X1.3.a     terminal in cavity 3 of connector X1, half a (the loom's half; in-line connectors: the half listed first)
//	X1.3.b     the same cavity, half b; on a component's connector this is the component's own terminal
//	S1         a splice
//	G1         the stud of a ground point
//	G1.31b     the ring terminal of wire 31b on that stud
//	BAT.30     a stud of a component (battery post)
//	BAT.30.w1  the ring terminal of wire w1 on that stud
//	body       bare metal of the body: the circuit's reference
type Point string

// Body is the vehicle's bare metal, the reference of all voltages.
const Body Point = "body"
