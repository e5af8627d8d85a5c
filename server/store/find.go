package store

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"tankful/server"
)

// wordsOf are the words that an item is found by, each once.
func wordsOf(it *server.Item) []string {
	w := words(it.Name + " " + it.ID + " " + it.Words)
	slices.Sort(w)
	return slices.Compact(w)
}

// words splits a text at what is neither letter nor digit; accents and cases do not count.
func words(text string) []string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(text) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case unicode.IsLetter(r) || unicode.IsNumber(r):
			b.WriteRune(unicode.ToLower(r))
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Fields(b.String())
}

const mostItems = 1000 // on a page

// Items are the heads that a query asks for.
func (s *Store) Items(ctx context.Context, q server.Query) (server.Page, error) {
	limit := min(max(q.Limit, 1), mostItems)
	asked := words(q.Search)
	if len(asked) == 0 && q.Within == nil {
		return s.inOrder(ctx, q, limit)
	}
	nums, all, err := s.find(ctx, &q, asked, limit)
	if err != nil || len(nums) == 0 {
		return server.Page{Items: []server.Item{}, More: !all}, err
	}
	page := server.Page{Items: []server.Item{}, More: !all}
	for chunk := range slices.Chunk(nums, 500) {
		// By their numbers alone: with more to go by, SQLite would rather walk the list of all names.
		rows, err := s.read.QueryContext(ctx, `SELECT `+headColumns+` FROM items WHERE num IN (`+commas(chunk)+`)`)
		if err != nil {
			return server.Page{}, fmt.Errorf("read items: %w", err)
		}
		found, err := readItems(rows, scanHead)
		if err != nil {
			return server.Page{}, err
		}
		for i := range found {
			if !suits(&found[i], &q) || !hasWords(&found[i], asked) {
				continue
			}
			if len(page.Items) == limit {
				page.More = true
				break
			}
			page.Items = append(page.Items, found[i])
		}
		if len(page.Items) == limit && page.More {
			break
		}
	}
	slices.SortFunc(page.Items, func(a, b server.Item) int {
		return cmpOr(strings.Compare(a.Name, b.Name), strings.Compare(a.ID, b.ID))
	})
	return page, nil
}

func cmpOr(a, b int) int {
	if a != 0 {
		return a
	}
	return b
}

// inOrder is a page of a list in its order.
func (s *Store) inOrder(ctx context.Context, q server.Query, limit int) (server.Page, error) {
	where, args := filter(q)
	if q.After != "" {
		name, id, ok := strings.Cut(q.After, "\x1f")
		if !ok {
			return server.Page{}, server.ErrPage
		}
		args = append(args, name, id)
		than := ">"
		if q.Backwards {
			than = "<"
		}
		where += fmt.Sprintf(` AND (name, id) %s ($%d, $%d)`, than, len(args)-1, len(args))
	}
	order := "name, id"
	if q.Backwards {
		order = "name DESC, id DESC"
	}
	args = append(args, limit+1)
	items, err := s.items(ctx, scanHead, fmt.Sprintf(`SELECT `+headColumns+` FROM items WHERE `+where+` ORDER BY %s LIMIT $%d`, order, len(args)), args...)
	if err != nil {
		return server.Page{}, err
	}
	p := server.Page{Items: items}
	if len(items) > limit {
		p.Items, p.More = items[:limit], true
		last := p.Items[limit-1]
		p.Next = last.Name + "\x1f" + last.ID
	}
	return p, nil
}

// suits reports whether a query asks for an item, its words left out: what filter says in SQL.
func suits(it *server.Item, q *server.Query) bool {
	if b := q.Within; b != nil && (it.Bounds == nil || !it.Bounds.Intersects(*b)) {
		return false
	}
	return it.Kind == q.Kind && !it.Gone && (q.State == "" || it.State == q.State) && (q.DueUntil == "" || it.Due != "" && it.Due <= q.DueUntil)
}

// filter is what holds for every item of a query.
func filter(q server.Query) (where string, args []any) {
	where, args = `kind = $1 AND gone = 0`, []any{q.Kind}
	if q.State != "" {
		args = append(args, q.State)
		where += fmt.Sprintf(` AND state = $%d`, len(args))
	}
	if q.DueUntil != "" {
		args = append(args, q.DueUntil)
		where += fmt.Sprintf(` AND due <> '' AND due <= $%d`, len(args))
	}
	if b := q.Within; b != nil { // to the last digit: the databases' indexes of boxes round
		args = append(args, b.Min[0], b.Min[1], b.Max[0], b.Max[1])
		n := len(args)
		where += fmt.Sprintf(` AND east >= $%d AND north >= $%d AND west <= $%d AND south <= $%d`, n-3, n-2, n-1, n)
	}
	return where, args
}

// hasWords reports whether each word asked for begins one of the item's.
func hasWords(it *server.Item, asked []string) bool {
	has := wordsOf(it)
	for _, w := range asked {
		if !slices.ContainsFunc(has, func(h string) bool { return strings.HasPrefix(h, w) }) {
			return false
		}
	}
	return true
}
