package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
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
	skip  func() bool             // not nil: true when the answers so far make the question needless
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
		f.flags[en.name] = new([]string)
		cmd.Flags().Var((*valuesFlag)(f.flags[en.name]), en.name, usage)
	}
	cmd.Flags().StringVar(&f.file, "file", "", "read the entries from a YAML `file`, whose keys are these flags with _ for -; a flag overrides its key")
	cmd.Flags().SortFlags = false // help has them in the order of the work
}

// valuesFlag is a flag that may be given more than once, each time with one text.
type valuesFlag []string

func (v *valuesFlag) Set(text string) error {
	*v = append(*v, text)
	return nil
}

func (v *valuesFlag) String() string { return "" }

// Type is the word for the value in help.
func (v *valuesFlag) Type() string { return "value" }

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
				list.Errorf("quantity", a.where, en.fixOf(a.text), "%v", err)
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

// fixOf is fix, with a word on commas where one may be meant for something else.
func (en entry) fixOf(text string) string {
	if en.several && bareComma.MatchString(text) {
		return en.fix() + " Between values put a comma and a space; for a decimal write a point."
	}
	return en.fix()
}

// inFile is how an entry is written in the command's file.
func (en entry) inFile() string {
	if en.example == "" {
		return en.key() + ": ..."
	}
	return en.key() + ": " + en.example
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
		return nil, nil, fmt.Errorf("read the file of entries: %w", err)
	}
	var keys []string
	for _, en := range f.entries {
		keys = append(keys, en.key())
	}
	read, list := dayfile.Flat(filepath.Base(f.file), data, strings.Join(keys, " "))
	f.mend(list)
	for _, en := range f.entries {
		for _, x := range read[en.key()] {
			if x.Text != "" { // else a problem of the file's
				answers[en.name] = append(answers[en.name], en.split(x.Text, x.Where)...)
			}
		}
	}
	return answers, list, nil
}

// mend says what to write in the words of this form, where the reader of the file knows day files only.
func (f *form) mend(list problem.List) {
	for i := range list {
		switch p := &list[i]; p.Code {
		case "empty-file":
			p.Fix = fmt.Sprintf("Write the entries into the file, a line each, such as %q, or name another file.", f.entries[0].inFile())
		case "wrong-type":
			for _, en := range f.entries {
				if strings.HasSuffix(p.Where, " "+en.key()) {
					p.Fix = fmt.Sprintf("Write it as in %q.", en.inFile())
				}
			}
		}
	}
}

// commaRE is a comma between values.
var commaRE = regexp.MustCompile(`\s*,\s*`)

// bareComma stands between two digits, where it could be a decimal or a thousands mark: it parts nothing.
var bareComma = regexp.MustCompile(`\d,\d`)

// nextPair is where the next "name=value" of several begins.
var nextPair = regexp.MustCompile(`,\s+[^,=]+=`)

var onlyNumberRE = regexp.MustCompile(`^[0-9./ ]+$`)

var unitRE = regexp.MustCompile(`^[0-9./, ]+(.*)$`)

// split cuts "77 s, 79 s, 78 s" and "77, 79, 78 s" for an entry that takes several values; the
// last one's unit is that of those without. "33,5 s" stays whole, and is refused by who reads it.
func (en entry) split(text, where string) (out []answer) {
	if !en.several {
		return []answer{{text, where}}
	}
	if strings.Contains(text, "=") {
		for _, p := range pairs(text) {
			out = append(out, answer{p, where})
		}
		return out
	}
	var parts []string
	from := 0
	for _, m := range commaRE.FindAllStringIndex(text, -1) {
		if m[1]-m[0] == 1 && m[0] > 0 && m[1] < len(text) && bareComma.MatchString(text[m[0]-1:m[1]+1]) {
			continue
		}
		parts, from = append(parts, text[from:m[0]]), m[1]
	}
	parts = append(parts, text[from:])
	u := ""
	if m := unitRE.FindStringSubmatch(parts[len(parts)-1]); m != nil {
		u = m[1]
	}
	for _, p := range parts {
		if p = strings.TrimSpace(p); len(parts) > 1 && onlyNumberRE.MatchString(p) {
			p += " " + u
		}
		out = append(out, answer{p, where})
	}
	return out
}

// pairs cuts "feed=6 fl oz/M, wetter=3 fl oz/M". A name may have a comma in it, as in "12 Elm, rear=5,200 sq ft".
func pairs(text string) (list []string) {
	for from := 0; ; {
		m := nextPair.FindStringIndex(text[from:])
		if m == nil {
			return append(list, text)
		}
		if at := from + m[0]; strings.Contains(text[:at], "=") {
			list, text, from = append(list, text[:at]), strings.TrimSpace(text[at+1:]), 0
			continue
		}
		from += m[0] + 1
	}
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

// style is how a bench command is asked to answer.
type style struct {
	json, working bool
	units         *unit.System
}

func (s *style) add(cmd *cobra.Command) {
	workingFlag(cmd, &s.working)
	s.units = unitsFlag(cmd)
	cmd.Flags().BoolVar(&s.json, "json", false, "print JSON, in SI units")
}

// answer reads the entries, works, and prints: problems ahead of JSON, and behind a text, where the eye is. With an error among
// the problems nothing is printed, and what was answered at a terminal is given back.
func (f *form) answer(e *env, cmd *cobra.Command, before []string, s *style, work func() (problem.List, error), print func(problem.List) error) error {
	asked, err := f.read(e, cmd, before)
	if err != nil {
		return refuse(e, err, s.json)
	}
	found, err := work()
	if err == nil {
		err = found.Err()
	}
	if err != nil {
		return refuse(e, afterAsking(err, asked), s.json)
	}
	if s.json {
		printProblems(e.err, found)
		return print(found)
	}
	err = print(found)
	printProblems(e.err, found)
	sayAgain(e, asked)
	return err
}

// sayAgain prints the command line that says what was answered; nothing when nobody was asked.
func sayAgain(e *env, asked string) {
	if asked != "" {
		fmt.Fprintf(e.err, "\nThe same again:\n  %s\n", asked)
	}
}
