package main

import (
	"fmt"
	"io"
)

// progress is one line on a terminal that counts long work; on anything else it is silent.
type progress struct {
	w     io.Writer // nil when silent
	what  string
	total int
	done  int
}

func (e *env) progress(what string, total int) *progress {
	p := &progress{what: what, total: total}
	if e.terminal && total > 1 {
		p.w = e.err
	}
	return p
}

// step counts one more.
func (p *progress) step() {
	if p.done++; p.w != nil {
		fmt.Fprintf(p.w, "\r\x1b[K%s %d of %d", p.what, p.done, p.total)
	}
}

// end wipes the line.
func (p *progress) end() {
	if p.w != nil {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}
