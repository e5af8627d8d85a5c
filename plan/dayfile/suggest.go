package dayfile

import (
	"fmt"
	"strings"
)

// nearest is the known word that the word is most likely a slip for, "" when none is near.
func nearest(word string, known []string) string {
	best, most := "", 1+len([]rune(word))/3
	for _, k := range known {
		if d := edits(strings.ToLower(clip(word)), strings.ToLower(clip(k))); d <= most {
			best, most = k, d-1
		}
	}
	return best
}

// suggest is the fix for a word that is not known: the nearest known one, else the list.
func suggest(word string, known []string) string {
	best := nearest(word, known)
	switch n := len(known); {
	case best != "":
		return fmt.Sprintf("Write %q.", clip(best))
	case n == 0:
		return "Add it to the file first."
	case n > 20:
		return fmt.Sprintf("Write one of the %d known ones, such as %s.", n, clip(known[0]))
	}
	short := make([]string, len(known))
	for i, k := range known {
		short[i] = clip(k)
	}
	return "Write one of: " + strings.Join(short, ", ") + "."
}

// edits is the least number of letters to add, drop or change that turns a into b.
func edits(a, b string) int {
	s, t := []rune(a), []rune(b)
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i := range s {
		diagonal := row[0]
		row[0] = i + 1
		for j := range t {
			change := diagonal
			if s[i] != t[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, diagonal+1)
		}
	}
	return row[len(t)]
}

// clip keeps a text from the file short enough to stand inside a message.
func clip(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > 60 {
		return string(r[:57]) + "..."
	}
	return s
}
