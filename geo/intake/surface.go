package intake

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tankful/geo"
)

// ParseSurfaceMap reads "path=hardscape,exclusion=keep-off": words and what they mean. A
// tag is written with its own equals sign: "landuse=orchard=bed". "" gives an empty map.
func ParseSurfaceMap(s string) (map[string]geo.Surface, error) {
	out := map[string]geo.Surface{}
	for _, part := range strings.Split(s, ",") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		i := strings.LastIndex(part, "=")
		if i < 1 {
			return nil, fmt.Errorf("%q is not word=surface; write for example %q", part, "path=hardscape,exclusion=keep-off")
		}
		surface := geo.Surface(plain(part[i+1:]))
		if !known(surface) {
			return nil, fmt.Errorf("%q is not a surface: write %s", strings.TrimSpace(part[i+1:]), surfaceList())
		}
		word := plain(part[:i])
		if old, ok := out[word]; ok && old != surface {
			return nil, fmt.Errorf("%q is said to be both %s and %s", word, old, surface)
		}
		out[word] = surface
	}
	return out, nil
}

func known(s geo.Surface) bool { return s == geo.Turf || slices.Contains(geo.LeftOut, s) }

func surfaceList() string {
	names := []string{string(geo.Turf)}
	for _, s := range geo.LeftOut {
		names = append(names, string(s))
	}
	return strings.Join(names, ", ")
}

// plain makes words comparable: lower case, words joined by hyphens.
func plain(s string) string {
	return strings.NewReplacer("_", "-", " ", "-").Replace(strings.ToLower(strings.TrimSpace(s)))
}

// verdict is what the members of a feature say about its surface.
type verdict struct {
	surface geo.Surface
	truck   bool
	// word is the first thing said that is not understood, such as "orchard", vague that the
	// member it stands in may be about something else; said is true when anything was said.
	word  string
	vague bool
	said  bool
}

// judgeSurfaces decides what each feature is and reports what is not understood.
func (r *reader) judgeSurfaces() {
	verdicts := make([]verdict, len(r.features))
	said := false
	for i, f := range r.features {
		verdicts[i] = r.words.judge(f.members, r.opt.SurfaceKey)
		said = said || verdicts[i].said
	}
	if r.aboutSomethingElse(verdicts) {
		for i := range verdicts {
			verdicts[i] = verdict{}
		}
		said = false
	}
	silent := 0
	for i, f := range r.features {
		v := verdicts[i]
		f.surface, f.truck = v.surface, v.truck
		r.reportNoArea(f)
		switch {
		case !f.isArea() || v.surface != "":
		case v.truck:
			r.problems.Errorf("truck-not-a-point", f.where, "Draw the truck as a point.", "the truck is drawn as an area")
		case v.word != "":
			r.problems.Errorf("unknown-surface-word", f.where, fmt.Sprintf("Say what it means, for example --surface-map %s=bed.", v.word),
				"the surface %q is not understood", v.word)
		case said || r.opt.SurfaceKey != "":
			r.problems.Errorf("no-surface", f.where, "Say what this outline is: "+surfaceList()+".",
				"nothing says what this outline is%s", r.keyHint(said))
		default:
			f.surface = geo.Turf
			silent++
		}
	}
	if silent > 0 && !r.guessed {
		r.problems.Warnf("all-taken-as-turf", r.name, "Add a member \"surface\" to tell turf from beds, buildings and paving.",
			"nothing in the file says what its outlines are; all %d are taken as turf", silent)
	}
}

// aboutSomethingElse reports, with a warning, that the members which could say a surface do not: no
// feature has a word that is understood, none is in a member that is surely about surfaces,
// and every outline is a property by itself, so that taking it as turf can count no bed in.
func (r *reader) aboutSomethingElse(verdicts []verdict) bool {
	if r.opt.SurfaceKey != "" {
		return false
	}
	var list []string
	seen := map[string]bool{}
	for i, f := range r.features {
		v := verdicts[i]
		if v.surface != "" || v.truck || v.word != "" && !v.vague {
			return false
		}
		if !f.isArea() {
			continue
		}
		id, _ := r.propertyID(f)
		if seen[id] {
			return false
		}
		seen[id] = true
		if v.word != "" && !slices.Contains(list, strconv.Quote(v.word)) {
			list = append(list, strconv.Quote(v.word))
		}
	}
	if len(list) == 0 {
		return false
	}
	if len(list) > 5 {
		list = append(list[:5], "...")
	}
	r.guessed = true
	r.problems.Warnf("words-not-surfaces", r.name, "Say what such words mean with --surface-map if one of the outlines is not turf.",
		"no feature says a surface that is understood (%s); each outline is a property by itself and is taken as turf", strings.Join(list, ", "))
	return true
}

func (r *reader) keyHint(said bool) string {
	if r.opt.SurfaceKey == "" {
		return ", though other features say it"
	}
	if said {
		return fmt.Sprintf(": it has no member %q", r.opt.SurfaceKey)
	}
	return fmt.Sprintf(": no feature has a member %q; they have: %s", r.opt.SurfaceKey, r.memberNames())
}

// reportNoArea warns of lines and points: they have no area to treat or to leave out.
func (r *reader) reportNoArea(f *feature) {
	const fix = "Draw it as an area if it covers turf."
	if f.lines > 0 {
		r.problems.Warnf("not-an-area", f.where, fix, "it is drawn as a line; a path drawn as a line takes no turf away")
	}
	if len(f.points) > 0 && !f.truck {
		r.problems.Warnf("not-an-area", f.where, fix, "it is drawn as a point and counts for nothing")
	}
}

// words are the meanings of words, built-in and the user's.
type words struct{ user map[string]geo.Surface }

func newWords(user map[string]geo.Surface) words {
	w := words{user: make(map[string]geo.Surface, len(user))}
	for k, s := range user {
		w.user[plain(k)] = s
	}
	return w
}

var surfaceKeys = []string{"surface", "kind", "role", "class", "use", "type"}

// judge reads the members: the one named, or else our own words in any of the usual
// members, then OpenStreetMap tags, then the words that tags use for paving as well.
func (w words) judge(m members, key string) verdict {
	keys := surfaceKeys
	if key != "" {
		keys = []string{key}
	}
	tags := tagsOf(m)
	var v verdict
	paving := geo.Surface("")
	for _, k := range keys {
		word := plain(m.text(k))
		if word == "" {
			continue
		}
		v.said = true
		if s, ok := w.user[word]; ok {
			return verdict{surface: s, said: true}
		}
		if word == "truck" {
			return verdict{truck: true, said: true}
		}
		s, ok := builtIn[word]
		if ok && k == "surface" && key == "" && pavingTag[word] {
			// The tag surface=grass says what a pitch or a car park is made of, not what it is.
			if paving == "" {
				paving = s
			}
			continue
		}
		if ok {
			return verdict{surface: s, said: true}
		}
		if v.word == "" {
			v.word, v.vague = word, key == "" && k != "surface" && k != "role"
		}
	}
	if key == "" {
		w.judgeTags(tags, &v)
	} else if !v.said && slices.ContainsFunc(surfaceKeys, func(k string) bool { return plain(m.text(k)) == "truck" }) {
		return verdict{truck: true, said: true} // a truck is no surface: it need not stand under the key for one
	}
	if v.surface == "" && paving != "" {
		return verdict{surface: paving, said: true}
	}
	return v
}

// judgeTags looks the feature's tags up in order.
func (w words) judgeTags(tags map[string]string, v *verdict) {
	for _, k := range tagKeys {
		value, ok := tags[k]
		if !ok || value == "no" {
			continue
		}
		v.said = true
		for _, word := range []string{k + "=" + value, value} {
			if s, ok := w.user[word]; ok {
				v.surface = s
				return
			}
		}
		s, ok := tagMeaning[k][value]
		if !ok {
			s, ok = tagMeaning[k]["*"]
		}
		if ok {
			v.surface = s
			if s == geo.Turf && hardSurface[tags["surface"]] {
				v.surface = geo.Hardscape
			}
			if s == geo.Hardscape && k == "leisure" && tags["surface"] == "grass" {
				v.surface = geo.Turf
			}
			return
		}
		if v.word == "" || v.vague {
			v.word, v.vague = k+"="+value, false
		}
	}
}

// tagsOf are the members that may be tags, with those of a member "tags" that is an object.
func tagsOf(m members) map[string]string {
	out := map[string]string{}
	take := func(m members) {
		for _, k := range append([]string{"surface"}, tagKeys...) {
			if s := m.text(k); s != "" {
				out[k] = plain(s)
			}
		}
	}
	take(m)
	var inner members
	if raw, ok := m["tags"]; ok && json.Unmarshal(raw, &inner) == nil {
		take(inner)
	}
	return out
}
