package store

import (
	"context"
	"fmt"
	"slices"
	"strconv"
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

// Limits of what is looked at for one query.
var (
	rare     = 20_000 // items that have a word, beyond which the word is looked up in the items found otherwise
	lookedAt = 20_000 // numbers of items that are looked at
)

const mostItems = 1000 // on a page

// Items are the heads that a query asks for.
func (s *Store) Items(ctx context.Context, q server.Query) (server.Page, error) {
	limit := min(max(q.Limit, 1), mostItems)
	asked := words(q.Search)
	if len(asked) == 0 && q.Within == nil {
		return s.inOrder(ctx, q, limit)
	}
	nums, common, all, err := s.candidates(ctx, q, asked)
	if err == nil && len(nums) > 0 {
		nums, all, err = s.those(ctx, q, nums, common, limit, all)
	}
	if err != nil || len(nums) == 0 {
		return server.Page{Items: []server.Item{}, More: !all}, err
	}
	page := server.Page{Items: []server.Item{}, More: !all}
	for chunk := range slices.Chunk(nums, 500) {
		// By their numbers alone: with more to go by, SQLite would rather walk the list of all names.
		rows, err := s.read.QueryContext(ctx, `SELECT `+headColumns+` FROM items WHERE num IN (`+list(chunk)+`)`)
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

// suits reports whether a query asks for an item, its words and its place left out: what filter says in SQL.
func suits(it *server.Item, q *server.Query) bool {
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
	return where, args
}

// candidates are numbers of items that may be those asked for: in the window, and with the words that not too many have. common are the other words, to be looked up
// in them; all says that none is missing.
func (s *Store) candidates(ctx context.Context, q server.Query, asked []string) (nums []int64, common []string, all bool, err error) {
	var parts []string
	var args []any
	kind := func() int { args = append(args, q.Kind); return len(args) }
	word := func(w string) string {
		k := kind()
		args = append(args, w, w+"\U0010FFFF")
		return fmt.Sprintf(`SELECT num FROM words WHERE kind = $%d AND word >= $%d AND word < $%d`, k, k+1, k+2)
	}
	for _, w := range asked {
		var n int
		if err := s.read.QueryRowContext(ctx, fmt.Sprintf(`SELECT count(*) FROM (SELECT 1 AS one FROM words WHERE kind = $1 AND word >= $2 AND word < $3 LIMIT %d) AS few`, rare), q.Kind, w, w+"\U0010FFFF").Scan(&n); err != nil {
			return nil, nil, false, fmt.Errorf("look up a word: %w", err)
		}
		switch {
		case n == 0:
			return nil, nil, true, nil
		case n < rare:
			parts = append(parts, word(w))
		default:
			common = append(common, w)
		}
	}
	if q.Within != nil {
		b := q.Within
		first := len(args) + 1
		args = append(args, b.Min[0], b.Min[1], b.Max[0], b.Max[1])
		parts = append(parts, s.places.within(first))
	}
	if len(parts) == 0 {
		parts, common = append(parts, word(common[0])), common[1:]
	}
	found, err := s.numbers(ctx, strings.Join(parts, ` INTERSECT `)+fmt.Sprintf(` LIMIT %d`, lookedAt), args...)
	seen := map[int64]bool{}
	for _, num := range found { // one item may have several words that begin alike
		if !seen[num] {
			seen[num] = true
			nums = append(nums, num)
		}
	}
	return nums, common, len(found) < lookedAt, err
}

// those are the items among some that have all words, and are what the query asks for besides; one more than limit at the most, which all then denies. They are
// looked up by their numbers alone (a LIMIT keeps the rest out of the planner's sight): with more to go by, SQLite would rather walk the list of all.
func (s *Store) those(ctx context.Context, q server.Query, nums []int64, common []string, limit int, all bool) ([]int64, bool, error) {
	var out []int64
	for n := 4 * limit; len(nums) > 0; n = 2000 { // few will do for most
		some := nums[:min(n, len(nums))]
		nums = nums[len(some):]
		var err error
		for _, w := range common {
			if len(some) > 0 {
				if some, err = s.numbers(ctx, `SELECT DISTINCT num FROM (SELECT num, kind, word FROM words WHERE num IN (`+list(some)+`) LIMIT 1000000) AS theirs WHERE kind = $1 AND word >= $2 AND word < $3`, q.Kind, w, w+"\U0010FFFF"); err != nil {
					return nil, false, err
				}
			}
		}
		if len(some) > 0 {
			where, args := filter(q)
			if some, err = s.numbers(ctx, `SELECT num FROM (SELECT num, kind, gone, state, due FROM items WHERE num IN (`+list(some)+`) LIMIT 1000000) AS theirs WHERE `+where, args...); err != nil {
				return nil, false, err
			}
		}
		if out = append(out, some...); len(out) > limit {
			return out[:limit+1], false, nil
		}
	}
	return out, all, nil
}

// numbers are the numbers that a query gives.
func (s *Store) numbers(ctx context.Context, query string, args ...any) (nums []int64, err error) {
	rows, err := s.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, fmt.Errorf("look up items: %w", err)
	}
	defer rows.Close()
	for rows.Next() {
		var num int64
		if err := rows.Scan(&num); err != nil {
			return nil, fmt.Errorf("look up items: %w", err)
		}
		nums = append(nums, num)
	}
	return nums, rows.Err()
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

// list is numbers for an IN.
func list(nums []int64) string {
	var b strings.Builder
	for i, n := range nums {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(strconv.FormatInt(n, 10))
	}
	return b.String()
}
