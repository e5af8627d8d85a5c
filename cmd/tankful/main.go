// Command tankful takes property outlines to a crew's sheets: it measures the turf,
// calibrates, lays passes, splits the mix into tankfuls and draws what the crew works from.
//
// It reads and writes files and talks to the terminal; every figure comes from the packages
// below it. It leaves out all arithmetic.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"

	"golang.org/x/term"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	context.AfterFunc(ctx, stop) // a second ctrl-C ends the program where it stands
	code := run(ctx, env{in: os.Stdin, out: os.Stdout, err: os.Stderr, terminal: term.IsTerminal(int(os.Stderr.Fd())),
		asks: term.IsTerminal(int(os.Stdin.Fd())) && term.IsTerminal(int(os.Stderr.Fd()))}, os.Args[1:])
	stop()
	os.Exit(code)
}

// env is what a command may touch besides files.
type env struct {
	in       io.Reader
	out, err io.Writer
	terminal bool // err is a terminal: progress is shown
	asks     bool // in and err are a terminal: a command without entries asks for them
}
