//go:build unix

package grading_test

import (
	"syscall"
	"time"
)

// cpuTime is the processor time that the program has used so far: on a machine that does other things too it says more than the clock.
func cpuTime() time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		return 0
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
