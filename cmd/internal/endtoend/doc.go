// Package endtoend plays whole drills from outside, as a person would: in a real browser by mouse, by keys and by touch,
// and in a real window. It finds what to click in the bench's own account of itself in words, and compares the readings
// shown with the solver's. Its tests need Chromium, Xvfb and xdotool, and are built with the tag e2e only:
//
//	go test -tags e2e ./cmd/internal/endtoend
//
// FAULTLOOM_SHOTS names a folder for pictures of each step.
package endtoend
