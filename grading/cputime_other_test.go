//go:build !unix

package grading_test

import "time"

var began = time.Now()

// cpuTime is the time that has passed, where a program cannot be told what it has used of the processor.
func cpuTime() time.Duration { return time.Since(began) }
