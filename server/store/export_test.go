package store

// Common makes words that n items have common, so that few will do for a test; the function that it gives takes that back.
func Common(n int) func() {
	was := rare
	rare = n
	return func() { rare = was }
}

// Look makes n the most that is looked at, of numbers and of items.
func Look(n int) func() {
	a, b, c, d := rare, long, lookedAt, tried
	rare, long, lookedAt, tried = n, n, n, n
	return func() { rare, long, lookedAt, tried = a, b, c, d }
}
