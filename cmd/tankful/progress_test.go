package main

import (
	"strings"
	"testing"
	"time"
)

const wipe = "\r\x1b[K"

// On a terminal the line is drawn at most ten times a second and is gone at the end.
func TestProgress(t *testing.T) {
	var b strings.Builder
	e := &env{err: &b, terminal: true}
	p := e.progress("measuring", 1000)
	clock := time.Unix(1e9, 0)
	p.now = func() time.Time { return clock }
	for range 1000 { // a millisecond each
		p.step()
		clock = clock.Add(time.Millisecond)
	}
	p.end()
	text := b.String()
	if !strings.HasPrefix(text, wipe+"measuring 1 of 1000"+wipe+"measuring 101 of 1000") || !strings.HasSuffix(text, wipe) {
		t.Errorf("drew %q", text)
	}
	if n := strings.Count(text, "measuring"); n != 10 {
		t.Errorf("drawn %d times in a second, want 10", n)
	}
	if strings.Contains(text, "\n") {
		t.Errorf("lines are left behind: %q", text)
	}
}

// What is said stays, on a line of its own.
func TestProgressSays(t *testing.T) {
	var b strings.Builder
	e := &env{err: &b, terminal: true}
	p := e.progress("drawing", 2)
	p.step()
	p.say("wrote a.pdf")
	p.end()
	if got, want := b.String(), wipe+"drawing 1 of 2"+wipe+"wrote a.pdf\n"+wipe; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// Away from a terminal nothing is drawn, but what is said is.
func TestProgressElsewhere(t *testing.T) {
	var b strings.Builder
	e := &env{err: &b}
	p := e.progress("drawing", 2)
	p.show()
	p.step()
	p.say("wrote a.pdf")
	p.end()
	if got := b.String(); got != "wrote a.pdf\n" {
		t.Errorf("got %q", got)
	}
}

// A single thing is not counted.
func TestProgressOfOne(t *testing.T) {
	var b strings.Builder
	p := (&env{err: &b, terminal: true}).progress("measuring", 1)
	p.step()
	p.end()
	if b.Len() > 0 {
		t.Errorf("drew %q", b.String())
	}
}

// Work whose share is known gets a bar, and a guess of what is left once it has run for two seconds.
func TestProgressBar(t *testing.T) {
	var b strings.Builder
	p := (&env{err: &b, terminal: true}).progress("measuring", 0)
	clock := time.Unix(1e9, 0)
	p.now = func() time.Time { return clock }
	p.show()
	for i := range 4 {
		clock = clock.Add(time.Second)
		p.share = float64(i+1) / 10
		p.step()
	}
	for _, want := range []string{"measuring ...", "measuring [##..................] 10 %, 1 property done" + wipe,
		"measuring [########............] 40 %, 4 properties done, about 6s left"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("drew %q, want %q in it", b.String(), want)
		}
	}
}
