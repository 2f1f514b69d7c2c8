// Command bench shows the bench: in a browser page that the faultloom command serves (GOOS=js GOARCH=wasm), or in a desktop
// window over attempts on this machine:
//
//	go run ./cmd/bench                  on Windows and macOS
//	go run -tags desktop ./cmd/bench    on Linux, with the headers of X11, OpenGL and ALSA installed
//
// It is thin: what is on the screen and what a click means is package bench; this command feeds that with events, paints
// its display lists as triangles through Ebitengine, and plays its sounds.
package main
