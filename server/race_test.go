//go:build race

package server_test

// slow says that the race detector makes everything ten times slower: browsers, which it does not watch, are left to the run without it.
const slow = true
