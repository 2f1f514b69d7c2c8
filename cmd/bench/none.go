//go:build linux && !desktop

package main

import (
	"fmt"
	"os"
)

// On Linux the window needs headers that a plain "go build ./..." must not ask for.
func main() {
	fmt.Fprintln(os.Stderr, `bench: built without its window; use
	go run -tags desktop ./cmd/bench
which needs the packages libgl1-mesa-dev xorg-dev libasound2-dev (names of Debian and Ubuntu),
or run the bench in a browser with
	go run ./cmd/faultloom`)
	os.Exit(2)
}
