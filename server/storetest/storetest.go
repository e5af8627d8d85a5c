// Package storetest is what every server.Store must do.
//
// It knows the promises in server.Store and tries to break them, from many goroutines too. It leaves out speed, and how a database is killed under load.
package storetest

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/paulmach/orb"

	"tankful/server"
)

// at is a time that every database can keep.
var at = time.Date(2026, 4, 14, 6, 30, 0, 123_000, time.UTC)

// Test runs the suite. open gives an empty store each time, and closes it with the test.
func Test(t *testing.T, open func(t *testing.T) server.Store) {
	for _, c := range []struct {
		name string
		f    func(t *testing.T, s server.Store)
	}{
		{"Versions", versions}, {"Conflict", conflict}, {"AllOrNothing", allOrNothing}, {"Keys", keys}, {"Gone", gone}, {"List", list}, {"Search", search}, {"Apart", apart}, {"Window", window}, {"Edges", edges}, {"Bodies", bodies},
		{"Entries", entries}, {"Secrets", secrets}, {"Audit", audit}, {"OddText", oddText}, {"ManyWriters", manyWriters}, {"SameKeyAtOnce", sameKeyAtOnce}, {"EntriesInOrder", entriesInOrder},
	} {
		t.Run(c.name, func(t *testing.T) { c.f(t, open(t)) })
	}
	t.Run("Dump", func(t *testing.T) { dump(t, open(t), open) })
}

func lawn(id, name string) server.Item {
	return server.Item{Kind: server.Properties, ID: id, Name: name, Body: json.RawMessage(`{"of":"` + id + `"}`), Facts: json.RawMessage(`{"net":1}`), By: "kim", At: at}
}

func placed(it server.Item, west, south, east, north float64) server.Item {
	it.Bounds = &orb.Bound{Min: orb.Point{west, south}, Max: orb.Point{east, north}}
	return it
}

func save(t *testing.T, s server.Store, was int64, it server.Item) server.Item {
	t.Helper()
	out, err := s.Save(context.Background(), "", server.Change{Item: it, Was: was})
	if err != nil {
		t.Fatal(err)
	}
	return out[0]
}

func same(t *testing.T, what string, got, want any) {
	t.Helper()
	if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" {
		t.Errorf("%s (want -, got +):\n%s", what, d)
	}
}

func ids(p server.Page) (out []string) {
	for _, it := range p.Items {
		out = append(out, it.ID)
	}
	return out
}

func must[T any](t *testing.T) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func versions(t *testing.T, s server.Store) {
	ctx := context.Background()
	first := save(t, s, 0, placed(lawn("a", "A"), -41.2, 38.5, -41.1, 38.6))
	b := lawn("a", "A, front")
	b.State, b.Due, b.Words, b.At, b.By = "open", "2026-05-01", "gate code", at.Add(time.Hour), "lee"
	second := save(t, s, 1, b)
	if first.Version != 1 || second.Version != 2 {
		t.Fatalf("versions %d and %d", first.Version, second.Version)
	}
	same(t, "the newest", must[server.Item](t)(s.Item(ctx, server.Properties, "a")), second)
	same(t, "the first", must[server.Item](t)(s.Version(ctx, server.Properties, "a", 1)), first)
	heads := must[[]server.Item](t)(s.Versions(ctx, server.Properties, "a"))
	first.Body, second.Body = nil, nil
	same(t, "all", heads, []server.Item{second, first})
	if _, err := s.Item(ctx, server.Properties, "b"); !errors.Is(err, server.ErrNone) {
		t.Errorf("an item that is not there: %v", err)
	}
	if _, err := s.Item(ctx, server.Mixes, "a"); !errors.Is(err, server.ErrNone) {
		t.Errorf("an item of another kind: %v", err)
	}
	if _, err := s.Version(ctx, server.Properties, "a", 3); !errors.Is(err, server.ErrNone) {
		t.Errorf("a version that is not there: %v", err)
	}
}

func conflict(t *testing.T, s server.Store) {
	ctx := context.Background()
	save(t, s, 0, lawn("a", "A"))
	second := save(t, s, 1, lawn("a", "B"))
	for _, was := range []int64{0, 1, 3} {
		_, err := s.Save(ctx, "", server.Change{Item: lawn("a", "C"), Was: was})
		var c *server.ConflictError
		if !errors.As(err, &c) {
			t.Fatalf("from version %d: %v", was, err)
		}
		same(t, "what is there", *c, server.ConflictError{Was: was, Newest: second})
	}
	_, err := s.Save(ctx, "", server.Change{Item: lawn("new", "C"), Was: 4})
	var c *server.ConflictError
	if !errors.As(err, &c) || c.Newest.Version != 0 || c.Newest.ID != "new" {
		t.Errorf("a change of nothing: %v", err)
	}
	same(t, "after it all", must[server.Item](t)(s.Item(ctx, server.Properties, "a")), second)
}

func allOrNothing(t *testing.T, s server.Store) {
	ctx := context.Background()
	save(t, s, 0, lawn("b", "B"))
	_, err := s.Save(ctx, "k", server.Change{Item: lawn("a", "A")}, server.Change{Item: lawn("b", "B")}, server.Change{Item: lawn("c", "C")})
	var c *server.ConflictError
	if !errors.As(err, &c) || c.Newest.ID != "b" {
		t.Fatalf("got %v", err)
	}
	same(t, "what is there", ids(must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Limit: 9}))), []string{"b"})
	out, err := s.Save(ctx, "k", server.Change{Item: lawn("a", "A")}) // the key was not used
	if err != nil || len(out) != 1 {
		t.Errorf("the key after a failure: %v", err)
	}
}

func keys(t *testing.T, s server.Store) {
	ctx := context.Background()
	first, err := s.Save(ctx, "key", server.Change{Item: lawn("a", "A")})
	if err != nil {
		t.Fatal(err)
	}
	save(t, s, 1, lawn("a", "B"))
	again, err := s.Save(ctx, "key", server.Change{Item: lawn("a", "A")})
	if err != nil {
		t.Fatal(err)
	}
	same(t, "the second answer", again, first)
	if it := must[server.Item](t)(s.Item(ctx, server.Properties, "a")); it.Version != 2 {
		t.Errorf("version %d", it.Version)
	}
	e := server.Entry{Log: server.Worked, About: "plan", Body: json.RawMessage(`{"x":1}`), By: "kim", At: at}
	one := must[server.Entry](t)(s.Append(ctx, "entry", e))
	e.Body = json.RawMessage(`{"x":2}`)
	same(t, "the same entry", must[server.Entry](t)(s.Append(ctx, "entry", e)), one)
	if err := s.Sweep(ctx, at, at.Add(time.Second)); err != nil {
		t.Fatal(err)
	}
	if two := must[server.Entry](t)(s.Append(ctx, "entry", e)); two.Seq == one.Seq {
		t.Error("a key that was swept is still known")
	}
}

func gone(t *testing.T, s server.Store) {
	ctx := context.Background()
	save(t, s, 0, placed(lawn("a", "Gull Row"), 1, 1, 2, 2))
	x := placed(lawn("a", "Gull Row"), 1, 1, 2, 2)
	x.Gone = true
	save(t, s, 1, x)
	for _, q := range []server.Query{{}, {Search: "gull"}, {Within: &orb.Bound{Min: orb.Point{0, 0}, Max: orb.Point{3, 3}}}} {
		q.Kind, q.Limit = server.Properties, 10
		if p := must[server.Page](t)(s.Items(ctx, q)); len(p.Items) != 0 {
			t.Errorf("%+v finds %v", q, ids(p))
		}
	}
	if it := must[server.Item](t)(s.Item(ctx, server.Properties, "a")); !it.Gone || it.Version != 2 {
		t.Errorf("got %+v", it)
	}
	save(t, s, 2, placed(lawn("a", "Gull Row"), 1, 1, 2, 2))
	if p := must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Search: "gull", Limit: 10})); len(p.Items) != 1 {
		t.Error("it does not come back")
	}
}

func list(t *testing.T, s server.Store) {
	ctx := context.Background()
	var changes []server.Change
	for i := range 25 {
		it := lawn(fmt.Sprintf("p%02d", i), fmt.Sprintf("Lawn %d", i%3))
		it.State = []string{"open", "shut"}[i%2]
		it.Due = []string{"", "2026-04-10", "2026-04-20"}[i%3]
		changes = append(changes, server.Change{Item: it})
	}
	if _, err := s.Save(ctx, "", changes...); err != nil {
		t.Fatal(err)
	}
	var all []string
	q := server.Query{Kind: server.Properties, Limit: 7}
	for pages := 0; ; pages++ {
		p := must[server.Page](t)(s.Items(ctx, q))
		all = append(all, ids(p)...)
		if q.After = p.Next; p.Next == "" || pages > 9 {
			break
		}
	}
	if len(all) != 25 || all[0] != "p00" || all[1] != "p03" || all[24] != "p23" {
		t.Errorf("in pages: %v", all)
	}
	var back []string
	for q := (server.Query{Kind: server.Properties, Limit: 7, Backwards: true}); ; {
		p := must[server.Page](t)(s.Items(ctx, q))
		back = append(back, ids(p)...)
		if q.After = p.Next; p.Next == "" || len(back) > 30 {
			break
		}
	}
	slices.Reverse(back)
	same(t, "backwards", back, all)
	if p := must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, State: "shut", Limit: 100})); len(p.Items) != 12 {
		t.Errorf("%d are shut", len(p.Items))
	}
	if p := must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, DueUntil: "2026-04-15", Limit: 100})); len(p.Items) != 8 {
		t.Errorf("%d are due: %v", len(p.Items), ids(p))
	}
	if _, err := s.Items(ctx, server.Query{Kind: server.Properties, After: "nonsense", Limit: 1}); err == nil {
		t.Error("a page that is none is given")
	}
}

func search(t *testing.T, s server.Store) {
	ctx := context.Background()
	for id, name := range map[string]string{"a": "4 Gull Row, front", "b": "6 Gull Row", "c": "14 Gullible Way", "d": "Žluťoučký Dvůr 4", "e": "row", "f": `100% "odd" _row'`} {
		it := lawn(id, name)
		if id == "e" {
			it.Words = "gulls nest behind the shed"
		}
		save(t, s, 0, it)
	}
	for _, c := range []struct {
		words string
		want  []string
	}{
		{"gull", []string{"c", "a", "b", "e"}}, {"GULL row", []string{"a", "b", "e"}}, {"row 4", []string{"a"}}, {"zlut", []string{"d"}}, {"dvur 4", []string{"d"}}, {"4", []string{"a", "d"}},
		{"nothing", nil}, {"gull nothing", nil}, {"100%", []string{"f"}}, {"_row'", []string{"f", "a", "b", "e"}}, {"  ", []string{"f", "c", "a", "b", "e", "d"}},
	} {
		got := ids(must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Search: c.words, Limit: 50})))
		same(t, c.words, got, c.want)
	}
	if p := must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Search: "gull", Limit: 2})); len(p.Items) != 2 || !p.More {
		t.Errorf("two of four: %v, more %v", ids(p), p.More)
	}
	save(t, s, 1, lawn("a", "5 Tern Row"))
	same(t, "after a new name", ids(must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Search: "gull row", Limit: 9}))), []string{"b", "e"})
}

func window(t *testing.T, s server.Store) {
	ctx := context.Background()
	save(t, s, 0, placed(lawn("a", "A gull"), -41.20, 38.50, -41.19, 38.51))
	save(t, s, 0, placed(lawn("b", "B"), -41.10, 38.50, -41.09, 38.51))
	save(t, s, 0, placed(lawn("c", "C gull"), 10, 50, 11, 51))
	save(t, s, 0, lawn("d", "D gull, nowhere"))
	box := func(w, s, e, n float64) *orb.Bound {
		return &orb.Bound{Min: orb.Point{w, s}, Max: orb.Point{e, n}}
	}
	for _, c := range []struct {
		within *orb.Bound
		words  string
		want   []string
	}{
		{box(-41.195, 38.505, -41.15, 38.6), "", []string{"a"}}, {box(-180, -90, 180, 90), "", []string{"a", "b", "c"}}, {box(-41.15, 38.4, -41.12, 38.6), "", nil}, {box(-180, -90, 180, 90), "gull", []string{"a", "c"}},
	} {
		same(t, fmt.Sprint(c.within, c.words), ids(must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Within: c.within, Search: c.words, Limit: 50}))), c.want)
	}
	save(t, s, 1, placed(lawn("b", "B"), -41.20, 38.50, -41.19, 38.51))
	same(t, "moved", ids(must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Within: box(-41.25, 38.4, -41.15, 38.6), Limit: 50}))), []string{"a", "b"})
}

func bodies(t *testing.T, s server.Store) {
	b := save(t, s, 0, lawn("b", "B"))
	save(t, s, 0, lawn("a", "A"))
	a := save(t, s, 1, lawn("a", "A"))
	x := lawn("c", "C")
	x.Gone = true
	save(t, s, 0, x)
	same(t, "all with bodies", must[[]server.Item](t)(s.Bodies(context.Background(), server.Properties)), []server.Item{a, b})
}

func entries(t *testing.T, s server.Store) {
	ctx := context.Background()
	var made []server.Entry
	for i := range 6 {
		e := server.Entry{Log: server.Applied, About: []string{"a", "b"}[i%2], Body: json.RawMessage(fmt.Sprintf(`{"n":%d}`, i)), By: "kim", At: at}
		if i == 4 {
			e.Refers = made[0].Seq
		}
		made = append(made, must[server.Entry](t)(s.Append(ctx, "", e)))
	}
	same(t, "all", must[[]server.Entry](t)(s.Entries(ctx, server.EntryQuery{Log: server.Applied, Limit: 100})), made)
	same(t, "of one", must[[]server.Entry](t)(s.Entries(ctx, server.EntryQuery{Log: server.Applied, About: "b", Limit: 100})), []server.Entry{made[1], made[3], made[5]})
	same(t, "from one on", must[[]server.Entry](t)(s.Entries(ctx, server.EntryQuery{Log: server.Applied, After: made[2].Seq, Limit: 2})), made[3:5])
	for _, e := range []server.Entry{{Log: server.Applied, About: "a", Refers: 999}, {Log: server.Applied, About: "a", Refers: made[1].Seq}, {Log: server.Worked, About: "a", Refers: made[0].Seq}} {
		if _, err := s.Append(ctx, "", e); !errors.Is(err, server.ErrNone) {
			t.Errorf("a correction of nothing: %v", err)
		}
	}
}

func secrets(t *testing.T, s server.Store) {
	ctx := context.Background()
	one := server.Secret{Kind: "token", ID: "tablet", Owner: "kim", Body: []byte{0, 1, 255}, Until: at.Add(time.Hour)}
	two := server.Secret{Kind: "token", ID: "desk", Owner: "kim", Body: []byte{}}
	other := server.Secret{Kind: "token", ID: "desk", Owner: "lee", Body: []byte{2}}
	for i, x := range []server.Secret{one, two, other} {
		if err := s.SetSecret(ctx, []byte{byte(i)}, x); err != nil {
			t.Fatal(err)
		}
	}
	same(t, "by its hash", must[server.Secret](t)(s.Secret(ctx, "token", []byte{0}, at)), one)
	for _, c := range []struct {
		kind string
		hash byte
		now  time.Time
	}{{"token", 9, at}, {"session", 0, at}, {"token", 0, one.Until}} {
		if _, err := s.Secret(ctx, c.kind, []byte{c.hash}, c.now); !errors.Is(err, server.ErrNone) {
			t.Errorf("%+v: %v", c, err)
		}
	}
	same(t, "of kim", must[[]server.Secret](t)(s.Secrets(ctx, "token", "kim", at)), []server.Secret{two, one})
	same(t, "later", must[[]server.Secret](t)(s.Secrets(ctx, "token", "", one.Until)), []server.Secret{two, other})
	one.Body = []byte("new")
	if err := s.SetSecret(ctx, []byte{0}, one); err != nil {
		t.Fatal(err)
	}
	same(t, "put again", must[server.Secret](t)(s.Secret(ctx, "token", []byte{0}, at)), one)
	for i, want := range []bool{true, false} {
		if was := must[bool](t)(s.DropSecret(ctx, "token", []byte{2})); was != want {
			t.Errorf("dropped the %d. time: %v", i+1, was)
		}
	}
	if err := s.DropSecrets(ctx, "token", "kim", "desk"); err != nil {
		t.Fatal(err)
	}
	same(t, "what is left", must[[]server.Secret](t)(s.Secrets(ctx, "token", "", at)), []server.Secret{one})
	if err := s.Sweep(ctx, one.Until, at); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Secret(ctx, "token", []byte{0}, at); !errors.Is(err, server.ErrNone) {
		t.Errorf("swept: %v", err)
	}
}

func audit(t *testing.T, s server.Store) {
	save(t, s, 0, lawn("a", "A"))
	save(t, s, 1, lawn("a", "A"))
	x := lawn("a", "A")
	x.Gone = true
	save(t, s, 2, x)
	var got []string
	for _, e := range must[[]server.Entry](t)(s.Entries(context.Background(), server.EntryQuery{Log: server.Audit, About: "property/a", Limit: 10})) {
		got = append(got, e.By+" "+string(e.Body))
	}
	same(t, "the audit log", got, []string{`kim {"did":"made","version":1}`, `kim {"did":"changed","version":2}`, `kim {"did":"taken away","version":3}`})
}

// What people type is kept to the letter and never read as SQL.
func oddText(t *testing.T, s server.Store) {
	ctx := context.Background()
	for i, text := range []string{`'; DROP TABLE items; --`, `" OR 1=1`, `\`, `%_$1 ?`, "line\nbreak\ttab", "שלום žluťoučký 草", `<script>alert(1)</script>`, "\U0001F331"} {
		it := lawn(fmt.Sprintf("%d/%s", i, text), text)
		it.Words, it.State, it.By = text, text, text
		body, err := json.Marshal(map[string]string{"x": text})
		if err != nil {
			t.Fatal(err)
		}
		it.Body = body
		made := save(t, s, 0, it)
		same(t, text, must[server.Item](t)(s.Item(ctx, server.Properties, it.ID)), made)
		if p := must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, State: text, Limit: 3})); len(p.Items) != 1 {
			t.Errorf("%q: %d items in that state", text, len(p.Items))
		}
		must[server.Page](t)(s.Items(ctx, server.Query{Kind: server.Properties, Search: text, After: text, Limit: 3, Within: &orb.Bound{}}))
	}
}

// A dump of one store makes the same store elsewhere; a file that is not whole changes nothing.
func dump(t *testing.T, s server.Store, open func(t *testing.T) server.Store) {
	ctx := context.Background()
	save(t, s, 0, placed(lawn("a", "4 Gull Row"), -41, 38, -40.9, 38.1))
	save(t, s, 1, placed(lawn("a", "4 Gull Row"), -41.2, 38.5, -41.1, 38.6))
	x := lawn("b", "B")
	x.Gone = true
	save(t, s, 0, x)
	e := must[server.Entry](t)(s.Append(ctx, "key", server.Entry{Log: server.Worked, About: "plan", Body: json.RawMessage(`{"n":1}`), By: "kim", At: at}))
	if err := s.SetSecret(ctx, []byte{1}, server.Secret{Kind: "token", ID: "x", Owner: "kim", Body: []byte{0, 200}}); err != nil {
		t.Fatal(err)
	}
	var street []server.Change // more than are read at once
	for i := range 450 {
		it := placed(lawn(fmt.Sprintf("s%d", i), fmt.Sprintf("%d Spray Street", i)), float64(i)/10, 1, float64(i)/10, 1)
		it.Gone = i%9 == 8
		street = append(street, server.Change{Item: it})
	}
	must[[]server.Item](t)(s.Save(ctx, "", street...))
	var file bytes.Buffer
	if err := s.Dump(ctx, &file); err != nil {
		t.Fatal(err)
	}
	if err := s.Load(ctx, bytes.NewReader(file.Bytes())); !errors.Is(err, server.ErrFull) {
		t.Errorf("into a store that is not empty: %v", err)
	}
	other := open(t)
	for _, cut := range []int{0, 10, file.Len() / 2, file.Len() - 1} {
		if err := other.Load(ctx, bytes.NewReader(file.Bytes()[:cut])); err == nil {
			t.Errorf("%d of %d bytes are taken", cut, file.Len())
		}
	}
	if err := other.Load(ctx, &file); err != nil {
		t.Fatal(err)
	}
	for v := int64(1); v <= 2; v++ {
		same(t, "a version", must[server.Item](t)(other.Version(ctx, server.Properties, "a", v)), must[server.Item](t)(s.Version(ctx, server.Properties, "a", v)))
	}
	same(t, "found by a word", ids(must[server.Page](t)(other.Items(ctx, server.Query{Kind: server.Properties, Search: "gull", Limit: 5}))), []string{"a"})
	same(t, "found on the map", ids(must[server.Page](t)(other.Items(ctx, server.Query{Kind: server.Properties, Within: &orb.Bound{Min: orb.Point{-41.15, 38.55}, Max: orb.Point{-41, 39}}, Limit: 5}))), []string{"a"})
	for _, q := range []server.Query{{}, {Search: "spray"}, {Search: "44"}, {Within: &orb.Bound{Min: orb.Point{3, 0}, Max: orb.Point{30, 2}}}} {
		q.Kind, q.Limit = server.Properties, 1000
		same(t, "all of "+q.Search, must[server.Page](t)(other.Items(ctx, q)), must[server.Page](t)(s.Items(ctx, q)))
	}
	same(t, "the logs", must[[]server.Entry](t)(other.Entries(ctx, server.EntryQuery{Log: server.Audit, Limit: 1000})), must[[]server.Entry](t)(s.Entries(ctx, server.EntryQuery{Log: server.Audit, Limit: 1000})))
	same(t, "the key", must[server.Entry](t)(other.Append(ctx, "key", server.Entry{Log: server.Worked})), e)
	if next := must[server.Entry](t)(other.Append(ctx, "", server.Entry{Log: server.Worked, Body: json.RawMessage(`{}`), At: at})); next.Seq <= e.Seq {
		t.Errorf("entry %d after %d", next.Seq, e.Seq)
	}
	save(t, other, 0, lawn("new", "New"))
	same(t, "a secret", must[server.Secret](t)(other.Secret(ctx, "token", []byte{1}, at)).Body, []byte{0, 200})
}
