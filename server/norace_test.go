//go:build !race

package server_test

const slow = false
