//go:build !race

package geotest

const raceFactor = 1
