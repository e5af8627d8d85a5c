package main

import (
	"fmt"
	"io"
	"time"
)

// progress is one line on a terminal that counts long work; on anything else it is silent,
// but for what it is told to say.
type progress struct {
	w     io.Writer
	shown bool // w is a terminal and the work is worth a line
	what  string
	total int // 0: not counted
	done  int

	now  func() time.Time
	last time.Time // when the line was drawn
}

// progressEvery is the least time between two drawings of the line.
const progressEvery = 100 * time.Millisecond

func (e *env) progress(what string, total int) *progress {
	return &progress{w: e.err, shown: e.terminal && total != 1, what: what, total: total, now: time.Now}
}

// step counts one more.
func (p *progress) step() {
	p.done++
	if p.now().Sub(p.last) >= progressEvery {
		p.show()
	}
}

// show draws the line over the last one.
func (p *progress) show() {
	if !p.shown {
		return
	}
	p.last = p.now()
	if p.total == 0 {
		fmt.Fprintf(p.w, "\r\x1b[K%s ...", p.what)
		return
	}
	fmt.Fprintf(p.w, "\r\x1b[K%s %d of %d", p.what, p.done, p.total)
}

// say prints a line that stays, above the count.
func (p *progress) say(line string) {
	p.end()
	fmt.Fprintln(p.w, line)
}

// end wipes the line.
func (p *progress) end() {
	if p.shown && !p.last.IsZero() {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}
