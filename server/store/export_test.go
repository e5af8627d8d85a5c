package store

// Common makes words that n items have common, so that few will do for a test; the function that it gives takes that back.
func Common(n int) func() {
	was := rare
	rare = n
	return func() { rare = was }
}
