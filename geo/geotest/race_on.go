//go:build race

package geotest

const raceFactor = 10
