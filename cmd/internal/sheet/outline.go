package sheet

import "faultloom/cmd/internal/draw"

// outline is the line drawing of a vehicle from its left side, front to the left: lengths are percent of its length (X, from
// the front) and percent of its height (Y, from the top). The drawings are our own and show no make.
type outline struct {
	aspect float64 // length over height
	draw   func(k *outlinePen)
}

// outlineOf returns the drawing for a Vehicle.Outline; an unknown name gives the plain one.
func outlineOf(name string) outline {
	switch name {
	case "tractor":
		return outline{1.9, tractorOutline}
	case "truck":
		return outline{2.3, truckOutline}
	case "van":
		return outline{2.35, vanOutline}
	case "loader":
		return outline{2.1, loaderOutline}
	case "fork-truck":
		return outline{1.55, forkTruckOutline}
	case "boat":
		return outline{2.6, boatOutline}
	}
	return outline{2.2, plainOutline}
}

// outlinePen draws in percent of a vehicle.
type outlinePen struct {
	l     *draw.List
	box   draw.Rect
	ink   draw.Colour
	body  draw.Colour
	glass draw.Colour
	dark  draw.Colour
	width float64
}

func (k *outlinePen) at(x, y float64) draw.Point {
	return draw.Point{X: k.box.X + k.box.W*x/100, Y: k.box.Y + k.box.H*y/100}
}

// shape draws a closed shape with rounded corners through x, y pairs.
func (k *outlinePen) shape(fill draw.Colour, radius float64, xy ...float64) {
	var pts []draw.Point
	for i := 0; i+1 < len(xy); i += 2 {
		pts = append(pts, k.at(xy[i], xy[i+1]))
	}
	// Start in the middle of the first edge, so that every corner is rounded.
	start := pts[0].Lerp(pts[1], 0.5)
	way := append([]draw.Point{start}, pts[1:]...)
	way = append(way, pts[0], start)
	var p draw.Path
	p.Rounded(way, radius*k.box.W/100)
	p.Close()
	k.l.Path(p, fill, draw.RoundPen(k.ink, k.width))
}

// line draws an open line with rounded corners.
func (k *outlinePen) line(width, radius float64, xy ...float64) {
	var pts []draw.Point
	for i := 0; i+1 < len(xy); i += 2 {
		pts = append(pts, k.at(xy[i], xy[i+1]))
	}
	var p draw.Path
	p.Rounded(pts, radius*k.box.W/100)
	k.l.Path(p, draw.Colour{}, draw.RoundPen(k.ink, k.width*width))
}

// wheel draws a wheel about x, y; r is in percent of the length.
func (k *outlinePen) wheel(x, y, r float64) {
	c, s := k.at(x, y), k.box.W/100
	k.l.Circle(c, r*s, k.dark, draw.RoundPen(k.ink, k.width))
	k.l.Circle(c, r*s*0.56, k.body, draw.RoundPen(k.ink, k.width*0.7))
	k.l.Circle(c, r*s*0.18, k.dark, draw.Stroke{})
}

func (k *outlinePen) ground(y float64) {
	a, b := k.at(-3, y), k.at(103, y)
	k.l.Line(a, b, draw.Pen(k.ink.WithAlpha(110), k.width*0.8))
}

// tractorOutline is a dock tractor: a cab over the front axle, a headboard behind it, and a low frame with a coupling plate.
func tractorOutline(k *outlinePen) {
	k.ground(98)
	k.shape(k.body, 0.6, 4, 60, 96, 60, 98, 72, 95, 76, 4, 76, 2, 66) // frame
	k.shape(k.body, 2, 5, 66, 6, 40, 10, 14, 33, 12, 35, 66)          // cab
	k.shape(k.glass, 1.4, 8.6, 40, 11.5, 18.5, 21, 18, 21, 42)        // windscreen side
	k.shape(k.glass, 1.4, 23, 42, 23, 18, 31.4, 17.6, 32.2, 42)       // rear window
	k.line(0.8, 0, 22, 44, 22, 66)
	k.line(0.8, 0, 24, 50, 27, 50)
	k.shape(k.body, 0.8, 34, 64, 44, 64, 44, 84, 34, 84)  // battery box on the step
	k.line(0.8, 0, 34, 74, 44, 74)                        //
	k.shape(k.body, 0.6, 46, 60, 46, 13, 49, 13, 49, 60)  // headboard
	k.line(0.8, 0, 49, 20, 54, 60)                        // its stay
	k.shape(k.body, 0.5, 70, 60, 72, 53, 86, 53, 90, 60)  // coupling plate
	k.line(0.8, 0, 74, 56.5, 84, 56.5)                    //
	k.shape(k.glass, 0.5, 2.6, 60, 5, 60, 5, 66, 2.6, 66) // headlamp
	k.wheel(19, 84, 7.2)
	k.wheel(74, 83, 7.8)
	k.line(1, 4, 64, 72, 66, 64, 82, 64, 84, 72) // mudguard
}

// truckOutline is a two-axle truck with a loading crane behind the cab.
func truckOutline(k *outlinePen) {
	k.ground(98)
	k.shape(k.body, 0.5, 4, 66, 97, 66, 97, 75, 4, 75)            // frame
	k.shape(k.body, 1.6, 2, 78, 2.5, 46, 6, 18, 23, 16, 25, 78)   // cab
	k.shape(k.glass, 1.2, 5, 45, 7.6, 23, 16, 22.5, 16, 46)       //
	k.line(0.8, 0, 17, 46, 17, 78)                                // door
	k.line(0.8, 0, 18.5, 54, 21, 54)                              //
	k.shape(k.body, 0.5, 28, 66, 28, 34, 31, 34, 31, 66)          // crane column
	k.line(2.2, 1, 29.5, 34, 33, 10, 66, 18, 60, 34)              // crane arm, folded
	k.shape(k.body, 0.8, 35, 66, 35, 46, 97, 46, 97, 66)          // platform sides
	k.line(0.7, 0, 50.5, 46, 50.5, 66)                            //
	k.line(0.7, 0, 66, 46, 66, 66)                                //
	k.line(0.7, 0, 81.5, 46, 81.5, 66)                            //
	k.shape(k.body, 0.6, 38, 75, 52, 75, 52, 88, 38, 88)          // battery box
	k.shape(k.glass, 0.4, 1.6, 66, 4, 66, 4, 71, 1.6, 71)         // headlamp
	k.shape(k.glass, 0.3, 95.6, 68, 97.4, 68, 97.4, 73, 95.6, 73) // tail lamp
	k.wheel(13, 85, 5.6)
	k.wheel(77, 85, 5.6)
}

// vanOutline is a panel van.
func vanOutline(k *outlinePen) {
	k.ground(98)
	k.shape(k.body, 2.4, 1.5, 84, 2, 58, 9, 48, 23, 14, 95, 10, 98.5, 20, 98.5, 84)
	k.shape(k.glass, 1.2, 12, 47, 23.6, 19.5, 28, 19, 28, 47)     // windscreen, from the side
	k.shape(k.glass, 1.2, 30, 47, 30, 19, 42, 18.6, 42, 47)       // door window
	k.line(0.8, 1, 29, 48, 28, 84)                                //
	k.line(0.8, 1, 43.5, 16, 43.5, 84)                            //
	k.line(0.8, 1, 70, 13, 70, 84)                                // sliding door
	k.line(0.8, 0, 44, 52, 97.5, 50)                              // its rail
	k.line(0.9, 0, 39, 54, 42, 54)                                //
	k.shape(k.glass, 0.6, 1.8, 58, 6, 54, 8, 60, 2, 64)           // headlamp
	k.shape(k.glass, 0.4, 96.6, 52, 98.4, 52, 98.4, 70, 96.6, 70) // tail lamp
	k.line(1.2, 0.6, 1.4, 76, 8, 76)                              // bumper
	k.line(1.2, 0.6, 92, 78, 98.6, 78)                            //
	k.wheel(17, 85, 5.6)
	k.wheel(80, 85, 5.6)
}

// loaderOutline is a wheel loader.
func loaderOutline(k *outlinePen) {
	k.ground(98)
	k.shape(k.body, 0.6, 1, 62, 9, 60, 13, 78, 18, 88, 2, 90)  // bucket
	k.line(2.4, 1, 15, 82, 27, 58, 46, 50)                     // arm
	k.line(1.4, 1, 12, 66, 26, 48, 40, 44)                     // tilt link
	k.shape(k.body, 1.2, 38, 78, 40, 46, 46, 42, 50, 78)       // front frame
	k.shape(k.body, 1.4, 46, 50, 48, 10, 66, 9, 68, 50)        // cab
	k.shape(k.glass, 1, 49.4, 44, 50.6, 15, 57, 14.6, 57, 44)  //
	k.shape(k.glass, 1, 59, 44, 59, 14.4, 64.4, 14, 65.6, 44)  //
	k.shape(k.body, 2, 50, 76, 50, 50, 92, 46, 97, 52, 97, 76) // engine
	for x := 76.0; x <= 90; x += 3.5 {
		k.line(0.7, 0, x, 54, x, 66)
	}
	k.shape(k.glass, 0.3, 95.4, 55, 97.2, 55, 97.2, 61, 95.4, 61)
	k.wheel(37, 80, 8.4)
	k.wheel(78, 80, 8.4)
}

// forkTruckOutline is a fork truck with a counterweight, its mast to the left.
func forkTruckOutline(k *outlinePen) {
	k.ground(98)
	k.shape(k.body, 0.3, 18, 4, 24, 4, 24, 90, 18, 90)                   // mast
	k.line(0.8, 0, 21, 4, 21, 90)                                        //
	k.line(0.8, 0, 18, 12, 24, 12)                                       // its cross-members
	k.line(0.8, 0, 18, 48, 24, 48)                                       //
	k.shape(k.body, 0.3, 14.5, 62, 18, 62, 18, 92, 14.5, 92)             // fork carriage
	k.line(2.2, 0.6, 15.5, 90, 15.5, 93, 1, 94)                          // fork
	k.line(1.4, 0, 24, 58, 34, 66)                                       // tilt cylinder
	k.line(1.4, 2, 31, 60, 36, 10, 72, 8, 75, 48)                        // overhead guard
	k.line(0.8, 0, 37, 14, 71, 12)                                       //
	k.shape(k.body, 1.6, 28, 86, 30, 58, 44, 56, 46, 72, 58, 72, 60, 86) // front and step
	k.shape(k.body, 3, 56, 86, 57, 50, 92, 48, 98, 58, 97, 86)           // counterweight
	k.shape(k.body, 1, 52, 52, 53, 46, 66, 46, 68, 28, 71, 28, 70, 52)   // seat
	k.line(1.2, 0, 36, 56, 43, 40)                                       // steering column
	k.line(1.6, 0, 39.5, 38, 46, 41)                                     // wheel
	for x := 80.0; x <= 92; x += 3.5 {
		k.line(0.7, 0, x, 56, x, 66)
	}
	k.wheel(36, 86, 8)
	k.wheel(84, 88, 6.6)
}

// boatOutline is a launch, bow to the left.
func boatOutline(k *outlinePen) {
	k.shape(k.body, 1.2, 1, 46, 98, 52, 96, 84, 90, 92, 26, 92, 12, 78) // hull
	k.line(0.8, 1, 3, 52, 97.6, 57.5)                                   // rubbing strake
	k.shape(k.body, 1.2, 27, 48.5, 32, 18, 58, 16, 60, 50)              // wheelhouse
	k.shape(k.glass, 1, 31.5, 36, 34.4, 22, 44, 21.4, 44, 36)           //
	k.shape(k.glass, 1, 46.5, 36, 46.5, 21.2, 55.6, 20.6, 56.6, 36)     //
	k.line(1, 0, 42, 17, 42, 2)                                         // mast
	k.line(0.8, 0, 39, 7, 45, 7)                                        //
	k.line(0.8, 1, 8, 47, 9, 34, 25, 36, 26, 48)                        // pulpit
	k.line(0.8, 1, 64, 50, 64, 38, 94, 40, 95, 52)                      // rail
	k.line(1, 1, 84, 92, 88, 98, 95, 98)                                // skeg and screw
	k.line(1.6, 0, 94, 93, 94, 98)                                      //
	k.line(0.7, 3, -3, 74, 2, 71, 7, 75)                                // water
	k.line(0.7, 3, 97, 74, 100, 71, 104, 75)                            //
	for _, x := range []float64{16, 22, 68, 76} {
		c := k.at(x, 63)
		k.l.Circle(c, k.box.W*0.011, k.glass, draw.RoundPen(k.ink, k.width*0.8))
	}
}

// plainOutline is any vehicle, from above: a body with its front marked.
func plainOutline(k *outlinePen) {
	k.shape(k.body, 5, 1, 50, 6, 8, 99, 6, 99, 94, 6, 92)
	k.shape(k.glass, 2, 17, 50, 19, 18, 27, 22, 27, 78, 19, 82)
	k.line(0.8, 0, 40, 12, 94, 12)
	k.line(0.8, 0, 40, 88, 94, 88)
	k.line(1.4, 0, 12, 42, 6, 50, 12, 58)
}
