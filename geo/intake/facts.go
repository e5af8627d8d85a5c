package intake

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
)

// facts are what a file says as a whole, on which the reading of each of its features hangs.
type facts struct {
	names   map[string]bool // of members, up to mostNames
	keyed   bool            // some feature has the member that groups
	said    bool            // some feature says what it is
	osm     bool            // the file is an OpenStreetMap extract
	areas   int
	naming  nameFacts
	strange strangeWords
}

func newFacts() facts {
	return facts{names: map[string]bool{}, strange: strangeWords{possible: true}}
}

// see takes one more feature in.
func (k *facts) see(r *reader, f *raw.Feature, area, keyed bool) {
	k.keyed = k.keyed || keyed
	if len(k.names) < mostNames {
		for _, m := range f.Members {
			k.names[m.Key] = true
		}
	}
	k.osm = k.osm || isOSM(f)
	v := r.words.judge(f.Members, r.opt.SurfaceKey)
	k.said = k.said || v.said
	k.strange.see(v, area)
	if area {
		k.areas++
		k.naming.see(r.words, f.Members)
	}
}

// isOSM reports whether a feature has an id as OpenStreetMap extracts have them: "way/123".
func isOSM(f *raw.Feature) bool {
	for _, id := range []string{f.ID, f.Members.Text("@id"), f.Members.Text("id")} {
		kind, number, ok := strings.Cut(id, "/")
		if ok && (kind == "way" || kind == "relation" || kind == "node") && number != "" {
			return true
		}
	}
	return false
}

// strangeWords finds out that the members which could say a surface do not: no feature has a word that is
// understood, none is in a member that is surely about surfaces, and every outline is a
// property by itself, so that taking it as turf can count no bed in.
type strangeWords struct {
	possible bool
	second   bool     // a property has a second outline
	list     []string // quoted, the first few
}

func (s *strangeWords) see(v verdict, area bool) {
	s.possible = s.possible && v.surface == "" && !v.truck && !v.background && (v.word == "" || v.vague)
	if !s.possible || !area {
		return
	}
	if w := strconv.Quote(v.word); v.word != "" && !slices.Contains(s.list, w) && len(s.list) <= 5 {
		s.list = append(s.list, w)
	}
}

// nameFacts are what the names of outlines say: in files whose format has nothing but names, such as KML and
// GPX, they are all there is.
type nameFacts struct {
	any  bool     // some outline is named after a surface
	list []string // the first few, with what they are taken for
}

func (n *nameFacts) see(w words, m raw.Members) {
	s := w.named(m)
	if s == "" {
		return
	}
	const most = 12
	if n.any = true; len(n.list) < most {
		n.list = append(n.list, fmt.Sprintf("%s = %s", raw.Clip(m.Text("name")), s))
	} else if len(n.list) == most {
		n.list = append(n.list, "...")
	}
}

// aboutSomethingElse reports whether words that are not understood are to be passed over.
func (r *reader) aboutSomethingElse() bool {
	return r.opt.SurfaceKey == "" && r.facts.strange.possible && !r.facts.strange.second && len(r.facts.strange.list) > 0
}

// byName reports whether the names of outlines say what they are.
func (r *reader) byName() bool {
	return r.opt.SurfaceKey == "" && !r.facts.said && r.facts.naming.any
}

// allTurf reports whether outlines are taken as turf for want of anything that says otherwise.
func (r *reader) allTurf() bool {
	return r.opt.SurfaceKey == "" && (!r.facts.said && !r.facts.naming.any || r.aboutSomethingElse())
}

// aboutTheFile are the problems of the file as a whole.
func (r *reader) aboutTheFile() (list problem.List) {
	k := &r.facts
	if r.opt.GroupKey != "" && !k.keyed && k.areas > 0 {
		list.Errorf("no-group-key", r.name, "Name a member that the features have with --group-key.",
			"no feature has a member %q; they have: %s", r.opt.GroupKey, r.memberNames())
	}
	switch {
	case k.areas == 0:
	case r.aboutSomethingElse():
		words := k.strange.list
		if len(words) > 5 {
			words = append(words[:5:5], "...")
		}
		list.Warnf("words-not-surfaces", r.name, "Say what such words mean with --surface-map if one of the outlines is not turf.",
			"no feature says a surface that is understood (%s); each outline is a property by itself and is taken as turf", strings.Join(words, ", "))
	case r.byName():
		list.Warnf("surfaces-from-names", r.name, "Check them, or add a member \"surface\".",
			"no member says what the outlines are; their names do, and are believed: %s", strings.Join(k.naming.list, ", "))
	case r.allTurf():
		list.Warnf("all-taken-as-turf", r.name, "Add a member \"surface\" to tell turf from beds, buildings and paving.",
			"nothing in the file says what its outlines are; all %d are taken as turf", k.areas)
	}
	return list
}

// memberNames lists the members of all features, for the message that one is missing.
func (r *reader) memberNames() string {
	names := make([]string, 0, len(r.facts.names))
	for k := range r.facts.names {
		names = append(names, k)
	}
	slices.Sort(names)
	if len(names) == 0 {
		return "none"
	}
	if len(names) > 12 {
		names = append(names[:12], "...")
	}
	return strings.Join(names, ", ")
}

func (r *reader) keyHint() string {
	switch {
	case r.opt.SurfaceKey == "":
		return ", though other features say it"
	case r.facts.said:
		return fmt.Sprintf(": it has no member %q", r.opt.SurfaceKey)
	}
	return fmt.Sprintf(": no feature has a member %q; they have: %s", r.opt.SurfaceKey, r.memberNames())
}
