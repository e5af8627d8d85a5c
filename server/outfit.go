package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"

	"tankful/calc/problem"
	"tankful/geo/intake"
)

// headKeys are the keys of a day file that are the outfit's own.
var headKeys = strings.Fields("invented outfit units start end yard travel outlines set_up lunch rinses accept_leftover weights contact")

// entryJSON reads an entry that somebody wrote as YAML or JSON.
func entryJSON(where string, text []byte) (map[string]json.RawMessage, problem.List) {
	var ps problem.List
	data, err := yaml.YAMLToJSON(text)
	var entry map[string]json.RawMessage
	if err == nil {
		err = json.Unmarshal(data, &entry)
	}
	if err != nil || entry == nil {
		ps.Errorf("entry-invalid", where, "Write keys and values as in a day file, for example \"name: Gun A\".", "this cannot be read: %s", firstLine(err))
		return nil, ps
	}
	return entry, ps
}

func firstLine(err error) string {
	if err == nil {
		return "it has no keys"
	}
	text, _, _ := strings.Cut(err.Error(), "\n")
	return text
}

// saveEntry keeps an entry of the outfit. What is wrong within it is refused; what it makes wrong elsewhere, such as a mix whose product has gone, too.
func (s *Server) saveEntry(ctx context.Context, kind Kind, id string, text []byte, was int64, gone bool, key, by string) (Item, problem.List, error) {
	if kind != Outfit && entryKeys[kind] == "" {
		return Item{}, nil, ErrNone
	}
	if !idForm.MatchString(id) || kind == Outfit && id != theOutfit {
		var ps problem.List
		ps.Errorf("id-invalid", "id", "Write 1 to 64 letters a to z, digits, dots and dashes.", "%q is no ID of a %s", short(id), kind)
		return Item{}, nil, ps.Err()
	}
	p, err := s.parts(ctx)
	if err != nil {
		return Item{}, nil, err
	}
	before := p.check()
	it := Item{Kind: kind, ID: id, Name: id, By: by, At: s.Now(), Gone: gone}
	if gone {
		old, err := s.Store.Item(ctx, kind, id)
		if err != nil {
			return Item{}, nil, err
		}
		it.Name, it.Body = old.Name, old.Body
	} else {
		entry, ps := entryJSON(string(kind), text)
		if ps.HasErrors() {
			return Item{}, nil, ps.Err()
		}
		it.Body = mustJSON(entry)
		it.Name = nameOf(kind, id, entry)
	}
	p.put(it)
	found := p.check()
	if fresh := newErrors(before, found); fresh.HasErrors() {
		return Item{}, nil, fresh.Err()
	}
	out, err := s.Store.Save(ctx, key, Change{Item: it, Was: was})
	if err != nil {
		return Item{}, nil, err
	}
	return out[0], found, nil
}

// nameOf is what an entry is called.
func nameOf(kind Kind, id string, entry map[string]json.RawMessage) string {
	key := "name"
	switch kind {
	case Outfit:
		key = "outfit"
	case Limits:
		key = "of"
	}
	var name string
	if json.Unmarshal(entry[key], &name) == nil && strings.TrimSpace(name) != "" {
		return strings.TrimSpace(name)
	}
	return id
}

// put puts an item in place of the one of its ID.
func (p *parts) put(it Item) {
	if it.Kind == Outfit {
		p.head = map[string]json.RawMessage{}
		if !it.Gone {
			_ = json.Unmarshal(it.Body, &p.head) // it was just made
		}
		return
	}
	list := slices.DeleteFunc(slices.Clone(p.items[it.Kind]), func(x Item) bool { return x.ID == it.ID })
	if !it.Gone {
		list = append(list, it)
	}
	slices.SortFunc(list, func(a, b Item) int { return strings.Compare(a.Name+"\x00"+a.ID, b.Name+"\x00"+b.ID) })
	p.items[it.Kind] = list
}

// check is what is wrong with the outfit: that of a day without stops.
func (p *parts) check() problem.List {
	data, err := p.dayFile(map[string]any{"date": "2000-01-01", "stops": []any{}})
	if err != nil {
		return nil
	}
	_, ps := parse(data, nil)
	ps = slices.DeleteFunc(ps, func(x problem.Problem) bool {
		return strings.HasSuffix(x.Where, " stops") || x.Severity == problem.Note
	})
	return p.named(ps)
}

// newErrors are the errors that were not there before. What the outfit as a whole still lacks is no reason to refuse a part of it.
func newErrors(before, after problem.List) (fresh problem.List) {
	for _, x := range after {
		if x.Severity == problem.Error && !slices.Contains(before, x) && !(x.Code == "missing-key" && strings.HasPrefix(x.Where, "the outfit")) {
			fresh = append(fresh, x)
		}
	}
	return fresh
}

// TakeOver puts the outfit of a day file, and the properties of its stops, into a store that has none of them yet. files holds what the day file names.
func (s *Server) TakeOver(ctx context.Context, name string, files fs.FS, by string) error {
	data, err := fs.ReadFile(files, name)
	if err != nil {
		return err
	}
	entry, ps := entryJSON(name, data)
	if ps.HasErrors() {
		return ps.Err()
	}
	var changes []Change
	add := func(it Item) {
		it.By, it.At = by, s.Now()
		changes = append(changes, Change{Item: it})
	}
	head := map[string]json.RawMessage{}
	for _, k := range headKeys {
		if v, ok := entry[k]; ok {
			head[k] = v
		}
	}
	add(Item{Kind: Outfit, ID: theOutfit, Name: nameOf(Outfit, theOutfit, head), Body: mustJSON(head)})
	for _, kind := range OutfitKinds[1:] {
		var list []map[string]json.RawMessage
		if raw := entry[entryKeys[kind]]; raw != nil {
			if err := json.Unmarshal(raw, &list); err != nil {
				return fmt.Errorf("%s: %s: %w", name, entryKeys[kind], err)
			}
		}
		for i, x := range list {
			id := fmt.Sprintf("%s-%d", kind, i+1)
			title := nameOf(kind, id, x)
			if kind != Limits {
				id = slug(title)
			}
			add(Item{Kind: kind, ID: id, Name: title, Body: mustJSON(x)})
		}
	}
	p := &parts{head: head, items: map[Kind][]Item{}}
	lots, err := s.stopsOf(entry["stops"], files, p, by)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	for _, it := range lots {
		changes = append(changes, Change{Item: it})
	}
	_, err = s.Store.Save(ctx, "", changes...)
	return err
}

// dayStop is what a day file says of a stop that becomes the property's account.
type dayStop struct {
	Outline  string          `json:"outline"`
	Property string          `json:"property"`
	Name     string          `json:"name"`
	Mix      string          `json:"mix"`
	Mixes    []string        `json:"mixes"`
	Notes    string          `json:"notes"`
	SetUp    string          `json:"set_up"`
	Window   json.RawMessage `json:"window"`
}

// stopsOf are the properties that a day file's stops are at.
func (s *Server) stopsOf(raw json.RawMessage, files fs.FS, p *parts, by string) (out []Item, err error) {
	var stops []dayStop
	if raw != nil {
		if err := json.Unmarshal(raw, &stops); err != nil {
			return nil, fmt.Errorf("stops: %w", err)
		}
	}
	seen := map[string]bool{}
	for _, x := range stops {
		data, err := fs.ReadFile(files, x.Outline)
		if err != nil {
			return nil, err
		}
		list, found := intake.Read(x.Outline, data, intake.Options{GroupKey: "property"})
		if len(list) == 0 {
			return nil, errors.Join(found.Err(), fmt.Errorf("%s holds no property", x.Outline))
		}
		for _, lot := range list {
			id := slug(lot.ID)
			if x.Property != "" && x.Property != lot.ID || seen[id] {
				continue
			}
			seen[id] = true
			var whole map[string]json.RawMessage
			if err := json.Unmarshal(geoJSONOf(lot), &whole); err != nil {
				return nil, err
			}
			mixes := x.Mixes
			if x.Mix != "" {
				mixes = []string{x.Mix}
			}
			whole["account"] = mustJSON(account{Name: orWord(x.Name, lot.Name), Notes: x.Notes, SetUp: x.SetUp, Window: x.Window, Mixes: mixes})
			it, found := s.propertyItem(id, mustJSON(whole), p, by)
			if it.ID == "" {
				return nil, found.Err()
			}
			out = append(out, it)
		}
	}
	return out, nil
}
