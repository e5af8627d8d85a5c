package sheet

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Text is the whole document as plain text, every figure in it, a form feed between pages.
func (d *Document) Text() string {
	var b strings.Builder
	for i, p := range d.Pages {
		if i > 0 {
			b.WriteString("\f\n")
		}
		if d.Invented {
			fmt.Fprintln(&b, InventedMark)
		}
		fmt.Fprintf(&b, "%s\n%s\n", p.Title, p.Subtitle)
		writeBlocks(&b, p.Blocks)
		fmt.Fprintf(&b, "\n%s   %s\n", d.Title, d.Number())
	}
	return b.String()
}

func writeBlocks(b *strings.Builder, blocks []Block) {
	for _, bl := range blocks {
		switch bl := bl.(type) {
		case Heading:
			fmt.Fprintf(b, "\n== %s\n", bl.Text)
		case Text:
			fmt.Fprintln(b, bl.Text)
		case Figures:
			for _, f := range bl.Items {
				fmt.Fprintf(b, "[%s: %s] ", f.Label, f.Value)
			}
			fmt.Fprintln(b)
		case Steps:
			for i, s := range bl.Items {
				fmt.Fprintf(b, "[ ] %d. %s: %s\n", i+1, s.Text, s.Amount)
				if s.Note != "" {
					fmt.Fprintf(b, "       %s\n", s.Note)
				}
			}
		case Facts:
			for _, f := range bl.Items {
				fmt.Fprintf(b, "%s: %s\n", f.Label, f.Value)
			}
		case Fields:
			for _, f := range bl.Items {
				fmt.Fprintf(b, "%s: ______\n", f.Label)
			}
		case Table:
			writeTable(b, bl)
		case Beside:
			writeBlocks(b, bl.Left)
			writeBlocks(b, bl.Right)
		case Break:
			fmt.Fprintln(b)
		case Map:
			writeMap(b, bl)
		case Overview:
			writeOverview(b, bl)
		}
	}
}

func writeTable(b *strings.Builder, t Table) {
	cell := func(r Row, i int) string {
		switch {
		case i < len(r.Cells) && r.Cells[i] != "":
			return r.Cells[i]
		case t.Columns[i].Blank:
			return "______"
		}
		return ""
	}
	widths := make([]int, len(t.Columns))
	for i, c := range t.Columns {
		widths[i] = utf8.RuneCountInString(c.Head)
		for _, r := range t.Rows {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell(r, i)))
		}
	}
	line := func(cell func(i int) string) {
		var s strings.Builder
		for i, c := range t.Columns {
			x := cell(i)
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(x))
			if c.Align == Right {
				x = pad + x
			} else {
				x += pad
			}
			s.WriteString("  " + x)
		}
		fmt.Fprintln(b, strings.TrimRight(s.String(), " "))
	}
	line(func(i int) string { return t.Columns[i].Head })
	for _, r := range t.Rows {
		line(func(i int) string { return cell(r, i) })
	}
}

func writeMap(b *strings.Builder, m Map) {
	fmt.Fprintf(b, "(map: %s", count(len(m.Passes), "pass"))
	for _, g := range m.LeftOut {
		fmt.Fprintf(b, ", %s", strings.ToLower(g.Label))
	}
	for _, k := range m.Marks {
		fmt.Fprintf(b, ", %s at %.1f %.1f m", k.Text, k.At[0], k.At[1])
	}
	fmt.Fprintln(b, ")")
}

func writeOverview(b *strings.Builder, o Overview) {
	fmt.Fprintf(b, "(overview: %s", count(len(o.Drives), "drive"))
	for _, s := range o.Places {
		fmt.Fprintf(b, ", %s at %.0f %.0f m", s.Text, s.At[0], s.At[1])
	}
	fmt.Fprintln(b, ")")
}
