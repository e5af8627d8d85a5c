package main

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"tankful/calc/unit"
)

// errStopped ends a dialogue whose input ended before it was through.
var errStopped = errors.New("the answers end before all is known; nothing was worked out")

// ask puts a question for every entry, until the answer can be read.
func (f *form) ask(e *env, cmd *cobra.Command, before []string) (string, error) {
	for _, line := range before {
		fmt.Fprintln(e.err, line)
	}
	fmt.Fprintf(e.err, "\nAnswer with units. Enter alone leaves a question out where it may be; ctrl-D stops.\n\n")
	line := cmd.CommandPath()
	cmd.Flags().Visit(func(g *pflag.Flag) { // of the entries none is given
		if line += " --" + g.Name; g.Value.Type() != "bool" {
			line += " " + g.Value.String()
		}
	})
	metric := false
	if u := cmd.Flags().Lookup("units"); u != nil {
		metric = u.Value.String() == string(unit.Metric)
	}
	answered := false
	for _, en := range f.entries {
		if en.quiet || en.skip != nil && en.skip() {
			continue
		}
		if metric {
			en.example = inMetric(en.example)
		}
		answers, err := en.ask(e)
		for _, a := range answers {
			line, answered = line+fmt.Sprintf(" --%s %s", en.name, quoted(a.text)), true
		}
		if err != nil && answered {
			return "", &askedError{err, line}
		} else if err != nil {
			return "", err
		}
	}
	fmt.Fprintln(e.err)
	return line, nil
}

// askedError is an error after questions were answered, with the command line that has the answers.
type askedError struct {
	error
	line string
}

func (e *askedError) Unwrap() error { return e.error }

// afterAsking keeps the answers that an error would lose; asked is "" when nothing was asked.
func afterAsking(err error, asked string) error {
	if err == nil || asked == "" {
		return err
	}
	return &askedError{err, asked}
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
	q := strings.ReplaceAll(en.usage, "`", "") // which are for help
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
			return all, err
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
			prompt = "  Another one; Enter when done: "
		}
	}
}

// take reads one line of answers, and says what cannot be read of it.
func (en entry) take(e *env, text string) (good []answer, ok bool) {
	ok = true
	for _, a := range en.split(text, "") {
		if err := en.set(a.text); err != nil {
			fmt.Fprintf(e.err, "  %v\n", err)
			if en.several && bareComma.MatchString(a.text) {
				fmt.Fprintln(e.err, "  Between values put a comma and a space; for a decimal write a point.")
			}
			ok = false
			continue
		}
		good = append(good, a)
	}
	return good, ok
}

// inMetric is an entry's example for one who works in metric units: another figure of about that size.
func inMetric(example string) string {
	if m, ok := metricExamples[example]; ok {
		return m
	}
	return example
}

var metricExamples = map[string]string{
	"143 ft": "43.6 m", "200 ft": "60 m", "125 ft": "38 m", "102 ft": "31 m", "12 ft": "3.6 m", "10 ft": "3 m", "9 ft": "2.7 m",
	"8 ft": "2.4 m", "7 ft": "2 m", "6 ft": "1.8 m", "30 ft": "9 m", "20 in": "50 cm", "40 in": "1 m", "222 in": "5.6 m",
	"342 sq ft": "32 m2", "1000 sq ft": "100 m2", "500 sq ft": "50 m2", "100 sq ft": "9 m2", "1 sq ft": "0.1 m2", "150,000 sq ft": "1.4 ha",
	"2.1 gal": "8 L", "2.4 gal": "9 L", "200 gal": "800 L", "5 gal": "20 L", "20 fl oz": "600 mL", "60 fl oz": "1.8 L", "14 fl oz": "400 mL", "8 fl oz": "240 mL",
	"20 gal/acre": "190 L/ha", "16 gal/acre": "150 L/ha", "3 mph": "5 km/h", "55 gal": "200 L",
	"2 gal/1000 sq ft": "800 L/ha", "2.4 gal/1000 sq ft": "980 L/ha", "2.05 gal/1000 sq ft": "835 L/ha", "16 fl oz/1000 sq ft": "50 L/ha",
	"5 lb/1000 sq ft": "250 kg/ha", "4 lb/1000 sq ft": "200 kg/ha", "5.6 lb/1000 sq ft": "280 kg/ha", "5=3.1 lb/1000 sq ft": "5=150 kg/ha",
	"-3 ft=12 g": "-1 m=12 g", "feed=6 fl oz/1000 sq ft": "feed=20 L/ha", "feed=9 fl oz/1000 sq ft": "feed=30 L/ha", "feed=10.2 lb/gal": "feed=1.22 kg/L",
	"40 psi": "2.8 bar", "50 psi": "3.4 bar", "4 mph": "6 km/h", "5 mph": "8 km/h", "3.75 gal/min": "14 L/min", "6.41 gal/min": "24 L/min", "7 gal/min": "26 L/min",
	"5 lb": "2.3 kg", "25 lb": "12 kg", "20 lb": "10 kg", "0.5 lb": "250 g",
}
