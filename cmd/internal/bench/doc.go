// Package bench is the whole screen as plain Go: what is on it, where it is, and what a click, a touch or a key means.
// It knows nothing of windows, graphics cards or browsers. A thin layer feeds it events, asks it for a Frame and paints
// that; tests do the same without painting.
//
// The Model holds what the attempt last said (attempt.State, through a Port) and what is only on the screen: which card is
// open, how the sheet is panned, which lead is in the hand. Nothing that the attempt has not answered is shown as done.
package bench
