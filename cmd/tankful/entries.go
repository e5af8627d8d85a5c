package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/plan/dayfile"
)

// An entry is one thing that a bench command wants to know. A flag, a key of the command's file and
// a question at the terminal are all made of it, so that the three ask the same.
type entry struct {
	name    string // of the flag, "caught-in"; the key is caught_in
	usage   string // what it is, in lower case: "time of the catch"
	example string // an answer: "39 s"
	note    string // for the question: "Enter for the mean of the walks"
	// need is for what must be given; several for what may be given more than once.
	need, several bool
	// quiet is for what is not asked for at a terminal: it is there by flag and by file.
	quiet bool
	set   func(text string) error // called once a value
}

// answer is a value as text, with where it was given.
type answer struct{ text, where string }

// form is the entries of one command and what was given for them.
type form struct {
	entries []entry
	file    string
	flags   map[string]*[]string
	set     map[string]bool // entries that were given a value
}

func (en entry) key() string { return strings.ReplaceAll(en.name, "-", "_") }

// add makes a flag of every entry, and --file.
func (f *form) add(cmd *cobra.Command) {
	f.flags = map[string]*[]string{}
	for _, en := range f.entries {
		usage := en.usage
		if en.example != "" {
			usage += fmt.Sprintf(", such as %q", en.example)
		}
		if en.several {
			usage += "; repeat for more"
		}
		f.flags[en.name] = cmd.Flags().StringArray(en.name, nil, usage)
	}
	cmd.Flags().StringVar(&f.file, "file", "", "read the entries from a YAML `file`, whose keys are these flags with _ for -; a flag overrides its key")
}

// given reports whether the command line holds any entry or names a file.
func (f *form) given(cmd *cobra.Command) bool {
	for _, en := range f.entries {
		if cmd.Flags().Changed(en.name) {
			return true
		}
	}
	return f.file != ""
}

// read fills the entries in from the file and the flags, or from questions at a terminal when
// there are none of either. Every value that cannot be read and every entry that is missing
// is a problem. before is said ahead of the questions. asked is the command line that says the same.
func (f *form) read(e *env, cmd *cobra.Command, before []string) (asked string, err error) {
	if !f.given(cmd) && e.asks {
		return f.ask(e, cmd, before)
	}
	answers, list, err := f.answers(cmd)
	if err != nil {
		return "", err
	}
	missing := f.take(answers, &list)
	if len(missing) > 0 && f.file == "" && len(list) == 0 {
		verb := "is"
		if len(missing) > 1 {
			verb = "are"
		}
		return "", &usageError{strings.Join(missing, ", ") + " " + verb + " missing", exampleLine(cmd)}
	}
	for _, name := range missing {
		list.Errorf("entry-missing", f.place(), "Add "+strings.ReplaceAll(strings.TrimPrefix(name, "--"), "-", "_")+" to the file, or give "+name+".", "%s is missing", name)
	}
	return "", list.Err()
}

// take sets every value and gives the entries that are missing.
func (f *form) take(answers map[string][]answer, list *problem.List) (missing []string) {
	f.set = map[string]bool{}
	for _, en := range f.entries {
		f.set[en.name] = len(answers[en.name]) > 0
		for _, a := range answers[en.name] {
			if err := en.set(a.text); err != nil {
				list.Errorf("quantity", a.where, en.fix(), "%v", err)
			}
		}
		if en.need && len(answers[en.name]) == 0 {
			missing = append(missing, "--"+en.name)
		}
		if n := len(answers[en.name]); n > 1 && !en.several {
			list.Errorf("given-twice", answers[en.name][1].where, "Keep one of them.", "%s is given %d times", en.usage, n)
		}
	}
	return missing
}

func (en entry) fix() string {
	if en.example == "" {
		return "Write it as the help of --" + en.name + " says."
	}
	return fmt.Sprintf("Write it as in %q.", en.example)
}

func (f *form) place() string {
	if f.file == "" {
		return "command line"
	}
	return filepath.Base(f.file)
}

// answers collects the texts: those of the file, each entry's replaced by its flags where there are any.
func (f *form) answers(cmd *cobra.Command) (map[string][]answer, problem.List, error) {
	answers, list, err := f.fromFile()
	if err != nil {
		return nil, nil, err
	}
	for _, en := range f.entries {
		if !cmd.Flags().Changed(en.name) {
			continue
		}
		answers[en.name] = nil
		for _, text := range *f.flags[en.name] {
			answers[en.name] = append(answers[en.name], en.split(text, "--"+en.name)...)
		}
	}
	return answers, list, nil
}

// fromFile is what the file says, nothing without one.
func (f *form) fromFile() (map[string][]answer, problem.List, error) {
	answers := map[string][]answer{}
	if f.file == "" {
		return answers, nil, nil
	}
	data, err := os.ReadFile(f.file)
	if err != nil {
		return nil, nil, err
	}
	var keys []string
	for _, en := range f.entries {
		keys = append(keys, en.key())
	}
	read, list := dayfile.Flat(filepath.Base(f.file), data, strings.Join(keys, " "))
	for _, en := range f.entries {
		for _, x := range read[en.key()] {
			if x.Text != "" { // else a problem of the file's
				answers[en.name] = append(answers[en.name], en.split(x.Text, x.Where)...)
			}
		}
	}
	return answers, list, nil
}

// commaRE is a comma between values: no thousands mark, which stands between digits.
var commaRE = regexp.MustCompile(`\s*,\s+|,`)

var thousandsMark = regexp.MustCompile(`^\d,\d{3}(\D|$)`)

var onlyNumberRE = regexp.MustCompile(`^[0-9./ ]+$`)

var unitRE = regexp.MustCompile(`^[0-9./, ]+(.*)$`)

// split cuts "77 s, 79 s, 78 s" and "77, 79, 78 s" for an entry that takes several values; the
// last one's unit is that of those without.
func (en entry) split(text, where string) []answer {
	if !en.several || strings.Contains(text, "=") {
		return []answer{{text, where}}
	}
	var parts []string
	from := 0
	for _, m := range commaRE.FindAllStringIndex(text, -1) {
		if m[1]-m[0] == 1 && m[0] > 0 && thousandsMark.MatchString(text[m[0]-1:]) {
			continue
		}
		parts, from = append(parts, text[from:m[0]]), m[1]
	}
	parts = append(parts, text[from:])
	u := ""
	if m := unitRE.FindStringSubmatch(parts[len(parts)-1]); m != nil {
		u = m[1]
	}
	var out []answer
	for _, p := range parts {
		if p = strings.TrimSpace(p); len(parts) > 1 && onlyNumberRE.MatchString(p) {
			p += " " + u
		}
		out = append(out, answer{p, where})
	}
	return out
}

// errStopped ends a dialogue whose input ended before it was through.
var errStopped = errors.New("the answers end before all is known; nothing was worked out")

// ask puts a question for every entry, until the answer can be read.
func (f *form) ask(e *env, cmd *cobra.Command, before []string) (string, error) {
	for _, line := range before {
		fmt.Fprintln(e.err, line)
	}
	fmt.Fprintf(e.err, "\nAnswer with units. An empty answer leaves an entry out where it may be; ctrl-D stops.\n\n")
	line := cmd.CommandPath()
	for _, en := range f.entries {
		if en.quiet {
			continue
		}
		answers, err := en.ask(e)
		if err != nil {
			return "", err
		}
		for _, a := range answers {
			line += fmt.Sprintf(" --%s %s", en.name, quoted(a.text))
		}
	}
	if u := cmd.Flags().Lookup("units"); u != nil && u.Changed {
		line += " --units " + u.Value.String()
	}
	fmt.Fprintln(e.err)
	return line, nil
}

// quoted is a word for a shell.
func quoted(s string) string {
	if strings.ContainsAny(s, "\"$`\\!") {
		return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
	}
	return `"` + s + `"`
}

// question is what stands before the cursor.
func (en entry) question() string {
	q := en.usage
	if en.example != "" {
		q += " (" + en.example + ")"
	}
	switch {
	case en.note != "":
		q += "; " + en.note
	case !en.need:
		q += "; Enter if none"
	}
	return upperFirst(q) + ": "
}

func upperFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(string(r)) + s[n:]
}

// ask puts one question; an entry that takes several is asked until the answer is empty.
func (en entry) ask(e *env) (all []answer, err error) {
	prompt := en.question()
	for {
		fmt.Fprint(e.err, prompt)
		text, err := e.line()
		switch {
		case err != nil:
			return nil, err
		case text == "" && en.need && len(all) == 0:
			fmt.Fprintf(e.err, "  This one is needed. %s\n", en.fix())
			continue
		case text == "":
			return all, nil
		}
		good, ok := en.take(e, text)
		all = append(all, good...)
		switch {
		case !ok:
		case !en.several:
			return all, nil
		default:
			prompt = "  and another; Enter when done: "
		}
	}
}

// take reads one line of answers, and says what cannot be read of it.
func (en entry) take(e *env, text string) (good []answer, ok bool) {
	ok = true
	for _, a := range en.split(text, "") {
		if err := en.set(a.text); err != nil {
			fmt.Fprintf(e.err, "  %v\n", err)
			ok = false
			continue
		}
		good = append(good, a)
	}
	return good, ok
}

// into makes set of a parser and of where its values go.
func into[Q any](to *Q, parse func(string) (Q, error)) func(string) error {
	return func(text string) (err error) {
		x, err := parse(text)
		if err == nil {
			*to = x
		}
		return err
	}
}

// onto is into for an entry that takes several values.
func onto[Q any](to *[]Q, parse func(string) (Q, error)) func(string) error {
	return func(text string) error {
		x, err := parse(text)
		if err == nil {
			*to = append(*to, x)
		}
		return err
	}
}

// word is the parser of an entry that is free text.
func word(text string) (string, error) { return strings.TrimSpace(text), nil }
