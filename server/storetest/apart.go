package storetest

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"

	"github.com/paulmach/orb"

	"tankful/server"
)

// Two words that many items have, and one item alone has both: it is found wherever it lies among the others, and what is found is all. Words that never meet find nothing, and nothing more.
func apart(t *testing.T, s server.Store) {
	ctx := context.Background()
	const n = 3000
	var changes []server.Change
	for i := range n {
		it := placed(lawn(fmt.Sprintf("p%04d", i), fmt.Sprintf("%d %s", i/3, []string{"Gull Row", "Kelp Circle", "Gullible Way"}[i%3])), float64(i)/100, 1, float64(i)/100+.005, 1.005)
		if i%3 == 1 {
			it.State = "measured"
		}
		if i == n-8 { // a Kelp Circle, and late among the gulls
			it.Words = "by the gulls"
		}
		changes = append(changes, server.Change{Item: it})
	}
	if _, err := s.Save(ctx, "", changes...); err != nil {
		t.Fatal(err)
	}
	one := fmt.Sprintf("p%04d", n-8)
	all := &orb.Bound{Min: orb.Point{-180, -90}, Max: orb.Point{180, 90}}
	for _, c := range []struct {
		q    server.Query
		want []string
	}{
		{server.Query{Search: "kelp gull"}, []string{one}}, {server.Query{Search: "gull kelp"}, []string{one}}, {server.Query{Search: "gull kel ke k kelp circle g"}, []string{one}},
		{server.Query{Search: "row circle"}, nil}, {server.Query{Search: "way row circle"}, nil}, {server.Query{Search: "kelp gull row"}, nil},
		{server.Query{Search: "kelp gull", State: "measured"}, []string{one}}, {server.Query{Search: "kelp gull", State: "mend"}, nil},
		{server.Query{Search: "kelp gull", Within: all}, []string{one}}, {server.Query{Search: "kelp gull", Within: &orb.Bound{Min: orb.Point{0, 0}, Max: orb.Point{20, 2}}}, nil},
	} {
		c.q.Kind, c.q.Limit = server.Properties, 50
		p := must[server.Page](t)(s.Items(ctx, c.q))
		same(t, fmt.Sprintf("%q %q %v", c.q.Search, c.q.State, c.q.Within), ids(p), c.want)
		if p.More {
			t.Errorf("%q: there is said to be more", c.q.Search)
		}
	}
	p := must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Search: "7 kelp circle", Within: all, Limit: 50}))
	for _, it := range p.Items {
		if it.Name[0] != '7' {
			t.Errorf("%s is found for 7", it.Name)
		}
	}
	if len(p.Items) != 50 || !p.More {
		t.Errorf("%d of 111 are found for 7, more %v", len(p.Items), p.More)
	}
}

// A window holds what touches it and nothing beside it, however near: indexes of boxes round.
func edges(t *testing.T, s server.Store) {
	ctx := context.Background()
	save(t, s, 0, placed(server.Item{Kind: server.Properties, ID: "a", Name: "A gull", Body: json.RawMessage(`{}`), By: "kim", At: at}, -41.2, 38.5, -41.19, 38.51))
	for _, c := range []struct {
		west, south, east, north float64
		want                     []string
	}{
		{-41.19, 38.4, -41, 38.6, []string{"a"}}, {-41.3, 38.51, -41, 38.6, []string{"a"}}, {-41.3, 38.4, -41.2, 38.6, []string{"a"}}, {-41.3, 38.4, -41, 38.5, []string{"a"}},
		{-41.1899999, 38.4, -41, 38.6, nil}, {-41.3, 38.5100001, -41, 38.6, nil}, {-41.3, 38.4, -41.2000001, 38.6, nil}, {-41.3, 38.4, -41, 38.4999999, nil},
	} {
		for _, words := range []string{"", "gull"} {
			w := &orb.Bound{Min: orb.Point{c.west, c.south}, Max: orb.Point{c.east, c.north}}
			same(t, fmt.Sprint(w, words), ids(must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Search: words, Within: w, Limit: 5}))), c.want)
		}
	}
}
