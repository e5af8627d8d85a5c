package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tankful/server"
)

// How much is looked at for one query. A database reads 100,000 numbers of a word in 13 to 25 ms, as one text; looking up 20,000 items by their numbers takes 40 to 80.
var (
	rare     = 10_000  // numbers that a word, or a window, has at the most for all of them to be read at once
	long     = 300_000 // numbers of common words that are read, all words together
	lookedAt = 20_000  // items that are looked at
	tried    = 2_000   // items in which all common words are looked up before their numbers are read
)

// ask is one thing that every item found has: a word that begins so, or a place in the window ("" as its word).
type ask struct {
	word, query string
	args        []any
}

func isWord(a ask) bool { return a.word != "" }

// asks are what a query asks for. A word that begins another one asks for nothing more.
func (s *Store) asks(q *server.Query, words []string) []ask {
	slices.Sort(words)
	var out []ask
	for i, w := range words {
		if i+1 < len(words) && strings.HasPrefix(words[i+1], w) {
			continue
		}
		out = append(out, ask{w, `SELECT num FROM words WHERE kind = $1 AND word >= $2 AND word < $3`, []any{q.Kind, w, w + "\U0010FFFF"}})
	}
	if b := q.Within; b != nil {
		out = append(out, ask{"", s.places.within(1), []any{b.Min[0], b.Min[1], b.Max[0], b.Max[1]}})
	}
	return out
}

// list is the numbers that an ask has, in their order and each once. It is whole when they are all, up to most.
func (s *Store) list(ctx context.Context, a ask, most int) (nums []int64, whole bool, err error) {
	var text sql.NullString // one text: a row for each number costs as much again as finding it
	if err := s.row(ctx, `SELECT string_agg(CAST(num AS TEXT), ',') FROM (`+a.query+fmt.Sprintf(` LIMIT $%d) AS few`, len(a.args)+1), append(slices.Clip(a.args), most)...).Scan(&text); err != nil {
		return nil, false, fmt.Errorf("look up a word: %w", err)
	}
	if !text.Valid {
		return nil, true, nil
	}
	for t := range strings.SplitSeq(text.String, ",") {
		n, err := strconv.ParseInt(t, 10, 64)
		if err != nil {
			return nil, false, fmt.Errorf("look up a word: %w", err)
		}
		nums = append(nums, n)
	}
	whole = len(nums) < most
	slices.Sort(nums)
	return slices.Compact(nums), whole, nil // one item may have several words that begin alike
}

// meet is what two lists share.
func meet(a, b []int64) []int64 {
	out := a[:0]
	for _, n := range a {
		for len(b) > 0 && b[0] < n {
			b = b[1:]
		}
		if len(b) > 0 && b[0] == n {
			out = append(out, n)
		}
	}
	return out
}

// find is the numbers of what a query asks for, one more than limit at the most. all says that they are all: with a rare word, a small window, or common words that are
// not too common they are; else they are found among the first that have one of the words.
func (s *Store) find(ctx context.Context, q *server.Query, words []string, limit int) (nums []int64, all bool, err error) {
	var common []ask
	met := false
	for _, a := range s.asks(q, words) {
		if met && !isWord(a) && len(nums) <= tried {
			break // the window comes last, and few are quickly held against it
		}
		some, whole, err := s.list(ctx, a, rare)
		switch {
		case err != nil:
			return nil, false, err
		case !whole:
			common = append(common, a)
			continue
		case met:
			some = meet(nums, some)
		}
		if nums, met = some, true; len(nums) == 0 {
			return nil, true, nil
		}
	}
	if met {
		return s.those(ctx, q, nums, common, limit)
	}
	first, others := common[0], common[1:]
	nums, all, err = s.list(ctx, first, lookedAt)
	if err != nil {
		return nil, false, err
	}
	if !slices.ContainsFunc(others, isWord) {
		out, rest, err := s.those(ctx, q, nums, others, limit)
		return out, all && rest, err
	}
	if out, _, err := s.those(ctx, q, nums[:min(tried, len(nums))], others, limit); err != nil || len(out) > limit {
		return out, false, err // most words meet often enough
	}
	return s.findCommon(ctx, q, nums, common, limit)
}

// findCommon finds what has several words, none of them rare, by the numbers of as many of them as may be read. Of begin, numbers that have the first, some are looked up where that
// is none.
func (s *Store) findCommon(ctx context.Context, q *server.Query, begin []int64, common []ask, limit int) ([]int64, bool, error) {
	left := long
	var nums []int64
	var others []ask
	met := false
	for _, a := range common {
		if !isWord(a) || left <= 0 || met && len(nums) <= tried {
			others = append(others, a)
			continue
		}
		some, whole, err := s.list(ctx, a, left)
		if err != nil {
			return nil, false, err
		}
		left -= len(some)
		switch {
		case !whole:
			others = append(others, a)
		case met:
			nums = meet(nums, some)
		default:
			nums, met = some, true
		}
	}
	most := lookedAt
	if !met || slices.ContainsFunc(others, isWord) {
		most = 2 * tried // enough was read
	}
	if !met {
		nums, others = begin, common[1:]
	}
	all := met && len(nums) <= most
	out, rest, err := s.those(ctx, q, nums[:min(most, len(nums))], others, limit)
	return out, all && rest, err
}

// those are the items among some that have all words, and are what the query asks for besides; one more than limit at the most, which all then denies. They are
// looked up by their numbers alone (a LIMIT keeps the rest out of the planner's sight): with more to go by, SQLite would rather walk the list of all.
func (s *Store) those(ctx context.Context, q *server.Query, nums []int64, common []ask, limit int) (out []int64, all bool, err error) {
	where, args := filter(*q)
	for n := 4 * limit; len(nums) > 0; n = 2000 { // few will do for most
		some := nums[:min(n, len(nums))]
		nums = nums[len(some):]
		for _, a := range common {
			if len(some) > 0 && isWord(a) { // the window is in the filter
				if some, err = s.numbers(ctx, `SELECT DISTINCT num FROM (SELECT num, kind, word FROM words WHERE num IN (`+commas(some)+`) LIMIT 1000000) AS theirs WHERE kind = $1 AND word >= $2 AND word < $3`, a.args...); err != nil {
					return nil, false, err
				}
			}
		}
		if len(some) > 0 {
			if some, err = s.numbers(ctx, `SELECT num FROM (SELECT num, kind, gone, state, due, west, south, east, north FROM items WHERE num IN (`+commas(some)+`) LIMIT 1000000) AS theirs WHERE `+where, args...); err != nil {
				return nil, false, err
			}
		}
		if out = append(out, some...); len(out) > limit {
			return out[:limit+1], false, nil
		}
	}
	return out, true, nil
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

// commas are numbers for an IN.
func commas(nums []int64) string {
	var b strings.Builder
	for i, n := range nums {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(strconv.FormatInt(n, 10))
	}
	return b.String()
}
