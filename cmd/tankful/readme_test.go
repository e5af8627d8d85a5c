package main

import (
	"bytes"
	"io"
	"os"
	"slices"
	"strings"
	"testing"
)

// TestReadme holds every command that README.md shows against the commands there are.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	lines := shownCommands(string(text))
	if len(lines) < 5 {
		t.Fatalf("README.md shows %d commands, want at least 5", len(lines))
	}
	for _, line := range lines {
		if err := understands(line); err != nil {
			t.Errorf("%s: %v", line, err)
		}
	}
	for _, cmd := range rootCommand(&env{}).Commands() {
		if name := "`tankful " + cmd.Name() + "`"; !cmd.Hidden && cmd.Name() != "help" && !strings.Contains(string(text), name) {
			t.Errorf("README.md does not list %s", name)
		}
	}
}

// TestExamples holds the examples in each command's help against the commands there are.
func TestExamples(t *testing.T) {
	for _, cmd := range rootCommand(&env{}).Commands() {
		for line := range strings.Lines(cmd.Example) {
			if err := understands(strings.TrimSpace(line)); err != nil {
				t.Errorf("%s: %v", line, err)
			}
		}
	}
}

// TestExamplesRun carries out the lines that README.md and the help of calibrate, mix and convert show, as far as
// they need no file: each must give an answer.
func TestExamplesRun(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	lines := shownCommands(string(text))
	for _, cmd := range rootCommand(&env{}).Commands() {
		lines = append(lines, strings.Split(cmd.Example, "\n")...)
		for _, kind := range cmd.Commands() {
			lines = append(lines, strings.Split(kind.Example, "\n")...)
		}
	}
	ran := 0
	for _, line := range lines {
		words, err := shellWords(strings.TrimSpace(line))
		if err != nil || len(words) < 3 || !slices.Contains([]string{"calibrate", "mix", "convert"}, words[1]) || slices.Contains(words, "--file") {
			continue
		}
		var out, talk bytes.Buffer
		if code := run(t.Context(), env{out: &out, err: &talk}, words[1:]); code != exitDone || out.Len() == 0 {
			t.Errorf("%s: exit code %d\n%s", line, code, &talk)
		}
		ran++
	}
	if ran < 20 {
		t.Errorf("%d lines were carried out, want at least 20", ran)
	}
}

// A test of the tests: what is not understood is found.
func TestUnderstands(t *testing.T) {
	for _, line := range []string{"tankful mesure a.geojson", "tankful measure --jsn a.geojson", "tankful measure", "tankful passes --swath 7 a.geojson",
		"tankful mix 5 gal", "tankful completion tcsh x", `tankful passes --swath "7 ft a.geojson`} {
		if understands(line) == nil {
			t.Errorf("%s: understood", line)
		}
	}
}

// shownCommands are the lines of fenced blocks that call the program.
func shownCommands(markdown string) (out []string) {
	inside := false
	for line := range strings.Lines(markdown) {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "```") {
			inside = !inside
			continue
		}
		line = strings.Replace(line, "go run ./cmd/tankful ", "tankful ", 1)
		if inside && strings.HasPrefix(line, "tankful ") {
			out = append(out, line)
		}
	}
	return out
}

// understands parses a shown line without carrying it out.
func understands(line string) error {
	words, err := shellWords(line)
	if err != nil {
		return err
	}
	root := rootCommand(&env{out: io.Discard, err: io.Discard})
	cmd, rest, err := root.Find(words[1:])
	if err != nil {
		return err
	}
	cmd.InitDefaultHelpFlag()
	cmd.InitDefaultVersionFlag()
	if err := cmd.ParseFlags(rest); err != nil {
		return err
	}
	if cmd == root && cmd.Flags().NArg() > 0 {
		return &usageError{"no such command", "tankful --help"}
	}
	return cmd.ValidateArgs(cmd.Flags().Args())
}

// shellWords splits a line at spaces outside quotes, up to where its output is sent elsewhere.
func shellWords(line string) (words []string, err error) {
	var word strings.Builder
	var quote rune
	begun := false
	for _, r := range line + " " {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(r)
		case r == '"' || r == '\'':
			quote, begun = r, true
		case r == '>' || r == '|' || r == '#':
			return words, nil
		case r == ' ':
			if begun {
				words = append(words, word.String())
			}
			word.Reset()
			begun = false
		default:
			word.WriteRune(r)
			begun = true
		}
	}
	if quote != 0 {
		return nil, &usageError{"a quote is not closed", line}
	}
	return words, nil
}
