package dayfile

import (
	"bytes"
	"errors"
	"fmt"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Bounds on a file, far above any real day: a day of 500 stops is some 60 kB in 4,000 lines and
// nests 6 deep. The YAML parser calls itself at every level, so that the depth must be known
// before it runs; and it takes time by the square of the lines (40 s for 65,000 blank lines
// of a block text, measured on a busy machine).
const (
	mostBytes   = 512 << 10
	mostLines   = 10_000
	mostDepth   = 40
	mostEntries = 1000 // of one list
)

// syntax parses the text and gives its one document; false when there is none to read.
func (r *reader) syntax(data []byte) (cursor, bool) {
	top, lines := cursor{r: r, line: 1}, 1+bytes.Count(data, []byte("\n"))
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		top.fail("empty-file", "Write the day into the file, or name another file.", "the file is empty")
		return top, false
	case len(data) > mostBytes:
		top.fail("file-too-large", "Check that this is the day file.", "the file has %d bytes; up to %d are read", len(data), mostBytes)
		return top, false
	case lines > mostLines:
		top.fail("file-too-large", "Check that this is the day file.", "the file has %d lines; up to %d are read", lines, mostLines)
		return top, false
	case !utf8.Valid(data):
		top.fail("not-utf-8", "Save the file as UTF-8 text.", "the file is not UTF-8 text")
		return top, false
	}
	f, line, err := parseYAML(string(bytes.TrimPrefix(data, []byte("\uFEFF"))))
	if err != nil {
		top.line = max(line, 1)
		top.fail("yaml-invalid", yamlFix(err.Error()), "this is not valid YAML: %v", err)
		return top, false
	}
	return r.document(f, top)
}

func yamlFix(message string) string {
	if message == tabMessage {
		return "Indent with spaces; YAML takes no tabs."
	}
	return "Check the indents, colons, quotes and brackets on this line and the one before."
}

const tabMessage = "a tab is used as indent"

// parseYAML runs the YAML parser with its source kept out of the message. line is where the
// error is, 0 when not known.
func parseYAML(text string) (f *ast.File, line int, err error) {
	// The parser is not ours and has been seen to panic on broken input; for a user that is
	// one more way for a file to be invalid.
	defer func() {
		if p := recover(); p != nil {
			f, err = nil, errors.New("the parser cannot make sense of it")
		}
	}()
	tokens := lexer.Tokenize(text)
	if line, deep := depth(tokens); deep > mostDepth {
		return nil, line, fmt.Errorf("it is nested more than %d deep", mostDepth)
	}
	f, err = parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	var at yaml.Error
	if errors.As(err, &at) {
		if t := at.GetToken(); t != nil && t.Position != nil {
			line = t.Position.Line
		}
		err = errors.New(at.GetMessage())
		if at.GetMessage() == "found character '\t' that cannot start any token" {
			err = errors.New(tabMessage)
		}
	}
	return f, line, err
}

// depth is an upper bound of how deep the tokens nest and the line where that is: open
// brackets, plus the indents that are open, plus entries and keys opened on one line.
func depth(tokens token.Tokens) (line, most int) {
	flow, inLine, prevLine := 0, 0, 0
	var indents []int
	for _, t := range tokens {
		if t.Position == nil {
			continue
		}
		if l := t.Position.Line; l != prevLine {
			inLine, prevLine = 0, l
			for len(indents) > 0 && indents[len(indents)-1] >= t.Position.Column {
				indents = indents[:len(indents)-1]
			}
			indents = append(indents, t.Position.Column)
		}
		switch t.Type {
		case token.MappingStartType, token.SequenceStartType:
			flow++
		case token.MappingEndType, token.SequenceEndType:
			flow = max(flow-1, 0)
		case token.SequenceEntryType, token.MappingKeyType, token.AnchorType, token.TagType:
			inLine++
		}
		if n := flow + inLine + len(indents); n > most {
			line, most = prevLine, n
		}
	}
	return line, most
}

// document finds the one document and refuses what a day file does not use.
func (r *reader) document(f *ast.File, top cursor) (cursor, bool) {
	var body ast.Node
	for _, d := range f.Docs {
		if d.Body == nil {
			continue
		}
		c := cursor{r: r, node: d.Body, line: lineOf(d.Body, 1)}
		switch {
		case d.Body.Type() == ast.DirectiveType:
			c.fail("yaml-feature", "Remove the line.", "a YAML directive (a line that begins with %%) is not read")
		case body != nil:
			c.fail("several-documents", "Keep one day to a file and remove the line ---.", "a second document begins here")
		default:
			body = d.Body
		}
	}
	if body == nil {
		top.fail("empty-file", "Write the day into the file, or name another file.", "the file holds no entries")
		return top, false
	}
	return r.cursor(body, "", lineOf(body, 1)), true
}

func lineOf(n ast.Node, otherwise int) int {
	if n != nil {
		if t := n.GetToken(); t != nil && t.Position != nil && t.Position.Line > 0 {
			return t.Position.Line
		}
	}
	return otherwise
}
