package intake

import (
	"cmp"
	"fmt"
	"hash/maphash"
	"path"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/geo"
	"tankful/geo/intake/raw"
)

// File is a file that was read once through: it knows which features make up which property,
// and reads a property's outlines when they are asked for. It keeps 24 bytes a feature and 8 a
// property, so that files of any size go through in little memory.
type File struct {
	*reader
	source  raw.Source
	entries []entry
	starts  []int // of each property in entries, in the order of the file
}

// entry is a feature: a hash of its property's id (0 for none) over a bit that says that it is an area, and how the source finds it.
type entry struct {
	tag    uint64
	handle int64
}

func (e entry) group() uint64 { return e.tag >> 1 }
func (e entry) isArea() bool  { return e.tag&1 == 1 }

// reader is what is known of a file as a whole.
type reader struct {
	name  string
	opt   Options
	words words
	key   string // the member that groups this file, "" for none
	facts facts
}

// Limits on what is kept of a file.
const (
	// mostOfOne bounds a property in features, so that a huge file whose features say no property is refused in time.
	mostOfOne = 200_000
	// mostProblems bounds the list of problems of a file as a whole.
	mostProblems = 1_000
	mostNames    = 1_000
)

// Open reads a file once through and says what is wrong with it as a whole: nil, with an error in the
// list, when it is not to be used. The caller closes it.
func Open(in raw.Input, opt Options) (*File, problem.List) {
	in.CRS = opt.CRS
	source, list := open(in)
	if source == nil {
		return nil, list
	}
	f := &File{reader: &reader{name: in.Name, opt: opt, words: newWords(opt.SurfaceMap)}, source: source}
	for rank := f.firstRank(); ; {
		var again bool
		found := f.scan(&rank, &again)
		if again {
			continue
		}
		if list = append(list, found...); list.HasErrors() && f.failed(found) {
			_ = f.Close()
			return nil, list
		}
		break
	}
	f.order()
	list = append(list, f.aboutTheFile()...)
	list = append(list, f.orphans()...)
	if f.Len() == 0 && !list.HasErrors() {
		list = append(list, f.NoOutlines())
	}
	list.Sort()
	return f, list
}

// failed reports whether an error is about the file rather than about one of its features.
func (f *File) failed(found problem.List) bool {
	return slices.ContainsFunc(found, func(p problem.Problem) bool {
		return p.Severity == problem.Error && !slices.Contains(ofOneFeature, p.Code)
	})
}

// ofOneFeature are the codes of errors after which the rest of the file is good.
var ofOneFeature = []string{"not-a-feature"}

// Close ends the use of the file.
func (f *File) Close() error { return closer(f.source) }

// Len is the number of properties, counting those whose features turn out to hold no ground.
func (f *File) Len() int { return len(f.starts) }

// groupKeys are the members that say to which property a feature belongs, the first that occurs counts.
var groupKeys = []string{"property", "site", "account", "parcel", "lot"}

func (f *File) firstRank() int { return len(groupKeys) }

var seed = maphash.MakeSeed()

func hashOf(id string) uint64 {
	return maphash.String(seed, id) | 2 // 0 is for features of no property
}

// scan reads the file, grouping by the member of that rank. When a member of a better rank turns up after
// features were grouped, the reading begins again.
func (f *File) scan(rank *int, again *bool) problem.List {
	f.entries, f.facts = f.entries[:0], newFacts()
	f.key = ""
	if *rank < len(groupKeys) {
		f.key = groupKeys[*rank]
	}
	if f.opt.GroupKey != "" {
		f.key = f.opt.GroupKey
	}
	return f.source.Scan(func(handle int64, raw *raw.Feature) bool {
		if f.opt.GroupKey == "" {
			for k := range min(*rank, len(groupKeys)) {
				if raw.Members.Text(groupKeys[k]) != "" {
					*rank, *again = k, len(f.entries) > 0
					f.key = groupKeys[k]
					break
				}
			}
			if *again {
				return false
			}
		}
		e := entry{handle: handle}
		id, ok := f.propertyID(raw)
		if ok {
			e.tag = hashOf(id) &^ 1
		}
		if raw.Ground || raw.Broken || len(raw.Areas) > 0 {
			e.tag |= 1
		}
		f.entries = append(f.entries, e)
		f.facts.see(f.reader, raw, e.isArea(), ok && f.key != "")
		return true
	})
}

// order puts the features of a property together and the properties in the order of the file.
func (f *File) order() {
	slices.SortFunc(f.entries, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.group(), b.group()), cmp.Compare(a.handle, b.handle))
	})
	f.starts = f.starts[:0]
	areas := 0
	for i, e := range f.entries {
		if i == 0 || f.entries[i-1].group() != e.group() {
			if areas = 0; e.group() != 0 {
				f.starts = append(f.starts, i)
			}
		}
		if e.isArea() {
			areas++
		}
		f.facts.strange.second = f.facts.strange.second || areas > 1
	}
	slices.SortFunc(f.starts, func(a, b int) int { return cmp.Compare(f.entries[a].handle, f.entries[b].handle) })
}

// features are those of property i, unread.
func (f *File) features(i int) []entry {
	from := f.starts[i]
	to := from + 1
	for to < len(f.entries) && f.entries[to].group() == f.entries[from].group() {
		to++
	}
	return f.entries[from:to]
}

// orphans are the features that say no property in a file where others do.
func (f *File) orphans() (list problem.List) {
	more := 0
	for _, e := range f.entries {
		if e.group() != 0 {
			break
		}
		if len(list) >= mostProblems {
			more++
			continue
		}
		o := f.load(e.handle)
		list = append(list, o.Problems...)
		if o.isArea() || o.truck && len(o.Points) > 0 {
			list.Errorf("no-group", o.Where, fmt.Sprintf("Give this feature a member %q.", f.key),
				"the feature has no %q, which says to which property it belongs", f.key)
		}
	}
	if more > 0 {
		list.Errorf("no-group", f.name, "Name another member with --group-key.", "%d more features say no property", more)
	}
	return list
}

// Property reads the i-th property, nil when its features hold no ground, and what is wrong
// with them. Several goroutines may call it at once.
func (f *File) Property(i int) (*geo.Property, problem.List) {
	entries := f.features(i)
	if len(entries) > mostOfOne {
		var list problem.List
		list.Errorf("too-much-for-one-property", f.name, "Name the member that tells the properties apart with --group-key.",
			"%d features belong to one property; at most %d are read", len(entries), mostOfOne)
		return nil, list
	}
	g := &grouping{reader: f.reader}
	for _, e := range entries {
		g.add(f.load(e.handle))
	}
	return g.done()
}

// load reads a feature and judges it.
func (f *File) load(handle int64) *feature {
	o := &feature{Feature: f.source.Load(handle)}
	f.checkRings(o)
	f.judge(o)
	return o
}

// NoOutlines is the problem of a file none of whose properties holds any ground.
func (f *File) NoOutlines() problem.Problem {
	var list problem.List
	list.Errorf("no-outlines", f.name, "Add the outlines as Polygon features.", "none of the features of the file (%d) is an area", len(f.entries))
	return list[0]
}

// propertyID is the property that the feature belongs to, if it says so.
func (r *reader) propertyID(f *raw.Feature) (string, bool) {
	if r.key == "" {
		return r.baseName(), true
	}
	if r.key == "id" && f.ID != "" {
		return f.ID, true
	}
	s := f.Members.Text(r.key)
	return s, s != ""
}

// baseName is the file's name without folders and extension.
func (r *reader) baseName() string {
	base := path.Base(strings.ReplaceAll(r.name, `\`, "/"))
	if cut := strings.TrimSuffix(base, path.Ext(base)); cut != "" {
		return cut
	}
	return base
}
