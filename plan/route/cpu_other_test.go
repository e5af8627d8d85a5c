//go:build !unix

package route_test

// cpuSeconds is not known here.
func cpuSeconds() float64 { return 0 }
