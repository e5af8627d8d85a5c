package pass

// join makes one pass of two where a strip goes on in the next section.
func (w *work) join() {}
