package draw

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf16"
)

// A bookmark is a line in the list of contents of a PDF: a page of the document, or a part of one.
type bookmark struct {
	title string
	sheet int     // of paper, from 0
	top   float64 // millimetres from the upper edge
	part  bool    // of the page before it
}

// withContents adds bookmarks to a finished PDF, as an incremental update (ISO 32000-1, 7.5.6 and 12.3.3): the drawing library writes
// none. The file must be one that the library has just written.
func withContents(file []byte, height float64, marks []bookmark) ([]byte, error) {
	kids := pageRefs.FindSubmatch(file)
	size := sizeEntry.FindSubmatch(file)
	start := startEntry.FindSubmatch(file)
	if kids == nil || size == nil || start == nil {
		return nil, fmt.Errorf("draw: the PDF is not built as expected")
	}
	var pages []string
	for _, m := range pageRef.FindAllSubmatch(kids[1], -1) {
		pages = append(pages, string(m[0]))
	}
	first, err := strconv.Atoi(string(size[1]))
	if err != nil {
		return nil, fmt.Errorf("draw: size of the PDF: %w", err)
	}
	u := pdfUpdate{out: bytes.NewBuffer(bytes.Clone(file))}
	u.object(1, fmt.Sprintf("<</Type/Catalog/Pages 3 0 R/Outlines %d 0 R/PageMode/UseOutlines/Lang(en)/ViewerPreferences<</DisplayDocTitle true>>>>", first))
	tree := nest(marks)
	u.object(first, fmt.Sprintf("<</Type/Outlines/First %d 0 R/Last %d 0 R/Count %d>>", first+1+tree[0].at, first+1+tree[len(tree)-1].at, len(tree)))
	for i := range tree {
		u.entry(tree, i, first, first+1, pages, height)
		for k := range tree[i].parts {
			u.entry(tree[i].parts, k, first+1+tree[i].at, first+1, pages, height)
		}
	}
	u.close(first, string(start[1]))
	return u.out.Bytes(), nil
}

var (
	pageRefs   = regexp.MustCompile(`(?s)\n3 0 obj\n<</Type/Pages/Count \d+/Kids\[([^\]]*)\]`)
	pageRef    = regexp.MustCompile(`\d+ 0 R`)
	sizeEntry  = regexp.MustCompile(`/Root 1 0 R/Size (\d+)>>\nstartxref`)
	startEntry = regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`)
)

// branch is a bookmark with its number among all, and its parts.
type branch struct {
	bookmark
	at    int
	parts []branch
}

// nest puts parts below their pages; marks must not be empty.
func nest(marks []bookmark) (tree []branch) {
	for i, m := range marks {
		b := branch{bookmark: m, at: i}
		if m.part && len(tree) > 0 {
			last := &tree[len(tree)-1]
			last.parts = append(last.parts, b)
			continue
		}
		tree = append(tree, b)
	}
	return tree
}

// pdfUpdate is an incremental update that is being written.
type pdfUpdate struct {
	out     *bytes.Buffer
	offsets []int // of objects, the catalogue first
}

func (u *pdfUpdate) object(n int, body string) {
	u.offsets = append(u.offsets, u.out.Len())
	fmt.Fprintf(u.out, "%d 0 obj\n%s\nendobj\n", n, body)
}

// entry is one line of the contents; from is the object of the first bookmark.
func (u *pdfUpdate) entry(list []branch, i, parent, from int, pages []string, height float64) {
	b := list[i]
	const perMM = 72 / 25.4
	var s strings.Builder
	fmt.Fprintf(&s, "<</Title<%s>/Parent %d 0 R/Dest[%s/XYZ null %.0f null]", utf16Hex(b.title), parent, pages[b.sheet], (height-b.top)*perMM)
	if i > 0 {
		fmt.Fprintf(&s, "/Prev %d 0 R", from+list[i-1].at)
	}
	if i+1 < len(list) {
		fmt.Fprintf(&s, "/Next %d 0 R", from+list[i+1].at)
	}
	if n := len(b.parts); n > 0 { // negative: folded up
		fmt.Fprintf(&s, "/First %d 0 R/Last %d 0 R/Count %d", from+b.parts[0].at, from+b.parts[n-1].at, -n)
	}
	u.object(from+b.at, s.String()+">>")
}

// close writes the table of what is new: the catalogue, and the objects from first on.
func (u *pdfUpdate) close(first int, before string) {
	at := u.out.Len()
	fmt.Fprintf(u.out, "xref\n1 1\n%010d 00000 n \n%d %d\n", u.offsets[0], first, len(u.offsets)-1)
	for _, o := range u.offsets[1:] {
		fmt.Fprintf(u.out, "%010d 00000 n \n", o)
	}
	fmt.Fprintf(u.out, "trailer\n<</Info 2 0 R/Root 1 0 R/Size %d/Prev %s>>\nstartxref\n%d\n%%%%EOF\n", first+len(u.offsets)-1, before, at)
}

// utf16Hex is a text string of a PDF: UTF-16, big end first, with its mark.
func utf16Hex(s string) string {
	var b strings.Builder
	b.WriteString("FEFF")
	for _, c := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", c)
	}
	return b.String()
}
