//go:build unix

package route_test

import "syscall"

// cpuSeconds is the processor time that this process has used.
func cpuSeconds() float64 {
	var r syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &r) != nil {
		return 0
	}
	return float64(r.Utime.Sec) + float64(r.Utime.Usec)/1e6
}
