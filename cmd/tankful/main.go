// Command tankful takes property outlines to a crew's sheets: it measures the turf,
// calibrates, lays passes, splits the mix into tankfuls and draws what the crew works from.
//
// It reads and writes files and talks to the terminal; every figure comes from the packages
// below it. It leaves out all arithmetic.
package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	context.AfterFunc(ctx, stop)       // a second ctrl-C ends the program where it stands
	cobra.EnableCommandSorting = false // help lists the commands in the order of the work
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
	lines    *bufio.Reader
}

// line is the next line that is typed, without its end; errStopped at the end of the input.
func (e *env) line() (string, error) {
	if e.lines == nil {
		e.lines = bufio.NewReader(io.LimitReader(e.in, 1<<20))
	}
	text, err := e.lines.ReadString('\n')
	text = strings.TrimSpace(text)
	if err != nil && text == "" {
		fmt.Fprintln(e.err)
		return "", errStopped
	}
	return text, nil
}
