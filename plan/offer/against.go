package offer

import (
	"bytes"
	"encoding/json"

	"tankful/calc/problem"
	"tankful/calc/quote"
)

// Read takes quotes from their JSON. A file that is none, and one whose figures are not those that its fingerprint was made from, are refused.
func Read(name string, data []byte) (*Quotes, problem.List) {
	var ps problem.List
	var q Quotes
	const again = "Quote again with tankful quote, and take the JSON that it writes."
	if err := json.Unmarshal(bytes.TrimPrefix(data, []byte("\uFEFF")), &q); err != nil {
		ps.Errorf("not-quotes", name, again, "the file holds no quotes: %v", err)
		return nil, ps
	}
	switch {
	case q.Layout != Layout || q.Fingerprint == "":
		ps.Errorf("not-quotes", name, again, "the file holds no quotes of layout %d", Layout)
	case q.fingerprint() != q.Fingerprint:
		ps.Errorf("quotes-changed", name, again, "the quotes were changed after they were made, or another version of the program made them")
	}
	if ps.HasErrors() {
		return nil, ps
	}
	return &q, nil
}

// Against notes in each quote what is otherwise than in older ones: the area, and each option's price, with why.
func (q *Quotes) Against(old *Quotes) {
	book := quote.Book{Places: q.Places}
	for i := range q.Quotes {
		n := &q.Quotes[i]
		for k := range old.Quotes {
			if o := &old.Quotes[k]; o.Property == n.Property {
				n.Changes = changes(q, &book, o, n)
			}
		}
	}
	q.Fingerprint = q.fingerprint()
}

func changes(q *Quotes, b *quote.Book, o, n *Quote) []Change {
	out := []Change{}
	say := func(what, was, is string) {
		if was != is {
			out = append(out, Change{what, was, is})
		}
	}
	say("net turf", q.Units.Area(o.Net), q.Units.Area(n.Net))
	say("billable area", q.Units.Area(o.Billable), q.Units.Area(n.Billable))
	for _, x := range n.Options {
		was := (*Option)(nil)
		for i := range o.Options {
			if o.Options[i].Name == x.Name {
				was = &o.Options[i]
			}
		}
		if was == nil {
			say("option "+x.Name, "not offered", b.Print(x.Total.Pay))
			continue
		}
		for _, v := range x.Visits {
			old := "not in it"
			for _, w := range was.Visits {
				if w.Name == v.Name {
					old = b.Print(w.Charge.Sum)
				}
			}
			say(x.Name+": "+v.Name, old, b.Print(v.Charge.Sum))
		}
		for _, w := range was.Visits {
			gone := true
			for _, v := range x.Visits {
				gone = gone && v.Name != w.Name
			}
			if gone {
				say(x.Name+": "+w.Name, b.Print(w.Charge.Sum), "not in it")
			}
		}
		say(x.Name+": total", b.Print(was.Total.Pay), b.Print(x.Total.Pay))
	}
	for _, w := range o.Options {
		gone := true
		for _, x := range n.Options {
			gone = gone && x.Name != w.Name
		}
		if gone {
			say("option "+w.Name, b.Print(w.Total.Pay), "not offered")
		}
	}
	return out
}
