package dayfile

import (
	"strings"
	"testing"

	"tankful/calc/label"
)

// FuzzRecord: whatever the bytes, problems are whole and nothing panics.
func FuzzRecord(f *testing.F) {
	for _, s := range []string{"", "date,property,product,rate\n2026-04-14,a,Feed,2 fl oz/1000 sq ft\n", "date,property,product,rate\n\"", "date;property\n",
		"date,property,product,amount,area\n2026-04-14,a,Feed,2 gal,1 acre\n"} {
		f.Add([]byte(s))
	}
	products := []label.Product{{Name: "Feed", Form: label.Liquid}}
	f.Fuzz(func(t *testing.T, data []byte) {
		_, found := Record("past.csv", data, products)
		for _, q := range found {
			if q.Code == "" || q.What == "" || q.Fix == "" || !strings.HasPrefix(q.Where, "past.csv") {
				t.Errorf("an entry is not whole: %+v", q)
			}
		}
	})
}
