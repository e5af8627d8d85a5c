package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"tankful/calc/unit"
)

// progress is one line on a terminal that counts long work; on anything else it is silent,
// but for what it is told to say.
type progress struct {
	w     io.Writer
	shown bool // w is a terminal and the work is worth a line
	what  string
	total int // 0: not counted
	done  int
	share float64 // of the work that is done, 0 when it is not known

	now   func() time.Time
	begun time.Time
	last  time.Time // when the line was drawn
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
	if p.begun.IsZero() {
		p.begun = p.last
	}
	if p.total == 0 {
		fmt.Fprintf(p.w, "\r\x1b[K%s", p.bar())
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

// bar is the line for work whose count is not known but whose share may be.
func (p *progress) bar() string {
	if p.share <= 0 {
		return p.what + " ..."
	}
	const width = 20
	full := min(width, int(p.share*width))
	line := fmt.Sprintf("%s [%s%s] %2.0f %%, %s done", p.what, strings.Repeat("#", full), strings.Repeat(".", width-full), 100*p.share, propertiesDone(p.done))
	// The first seconds tell little.
	const soonest = 2 * time.Second
	if spent := p.last.Sub(p.begun); spent >= soonest && p.share < 1 {
		left := time.Duration(float64(spent) * (1 - p.share) / p.share).Round(time.Second)
		line += fmt.Sprintf(", about %s left", left)
	}
	return line
}

func propertiesDone(n int) string {
	if n == 1 {
		return "1 property"
	}
	return unit.Number(float64(n), 0) + " properties"
}
