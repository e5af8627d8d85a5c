package geotest

// Fewer is how often a test repeats arithmetic of one goroutine: n times, or a tenth of it under the race detector, which finds
// nothing there and takes ten times as long.
func Fewer(n int) int { return max(1, n/raceFactor) }
