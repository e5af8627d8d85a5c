package intake

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"tankful/geo"
	"tankful/geo/intake/raw"
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

var hyphens = strings.NewReplacer("_", "-", " ", "-")

// plain makes words comparable: lower case, words joined by hyphens.
func plain(s string) string {
	for i := range len(s) {
		if c := s[i]; !(c >= 'a' && c <= 'z' || c == '-' || c >= '0' && c <= '9') {
			return hyphens.Replace(strings.ToLower(strings.TrimSpace(s)))
		}
	}
	return s
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
	// background: a tag that tells who uses the ground or whose it is, not what lies on it; tag: a tag decided.
	background, tag bool
}

// judge decides what a feature is and reports what is not understood.
func (r *reader) judge(f *feature) {
	v := r.words.judge(f.Members, r.opt.SurfaceKey)
	if r.aboutSomethingElse() {
		v = verdict{}
	}
	if v.surface == "" && !v.truck && r.byName() {
		v.surface = r.words.named(f.Members)
	}
	f.surface, f.truck, f.tagged = v.surface, v.truck, v.tag
	if f.surface != "" && v.tag && belowGround(f.Members) {
		f.passedOver, f.surface = "underground", ""
		return
	}
	list := &f.Problems
	switch {
	case !f.isArea() || v.surface != "":
	case v.truck:
		list.Errorf("truck-not-a-point", f.Where, "Draw the truck as a point.", "the truck is drawn as an area")
	case v.background && v.word == "":
		f.passedOver = "background"
	case v.word != "" && r.facts.osm && r.opt.SurfaceKey == "":
		f.passedOver = v.word
	case v.word != "":
		list.Errorf("unknown-surface-word", f.Where, fmt.Sprintf("Say what it means, for example --surface-map %s=bed.", v.word),
			"the surface %q is not understood", v.word)
	case r.allTurf():
		f.surface = geo.Turf
	case r.facts.osm && r.opt.SurfaceKey == "":
		f.passedOver = "without a tag"
	case r.byName():
		list.Errorf("no-surface", f.Where, "Name it after what it is ("+surfaceList()+"), or add a member \"surface\".",
			"its name does not say what this outline is, though others do")
	default:
		list.Errorf("no-surface", f.Where, "Say what this outline is: "+surfaceList()+".",
			"nothing says what this outline is%s", r.keyHint())
	}
}

// belowGround reports whether the tags say that the thing lies under the turf or inside a building.
func belowGround(m raw.Members) bool {
	tunnel := plain(m.Text("tunnel"))
	return tunnel != "" && tunnel != "no" && tunnel != "building-passage" ||
		strings.HasPrefix(m.Text("layer"), "-") || plain(m.Text("location")) == "underground" || plain(m.Text("indoor")) == "yes"
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
func (w words) judge(m raw.Members, key string) verdict {
	if len(m) == 0 {
		return verdict{}
	}
	keys := surfaceKeys
	if key != "" {
		keys = []string{key}
	}
	var v verdict
	paving := geo.Surface("")
	for _, k := range keys {
		word := plain(m.Text(k))
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
		if v.word == "" && !(k == "type" && relationTypes[word]) {
			v.word, v.vague = word, key == "" && k != "surface" && k != "role"
		}
	}
	if key == "" {
		w.judgeTags(m, &v)
	} else if !v.said && slices.ContainsFunc(surfaceKeys, func(k string) bool { return plain(m.Text(k)) == "truck" }) {
		return verdict{truck: true, said: true} // a truck is no surface: it need not stand under the key for one
	}
	if v.surface == "" && paving != "" {
		return verdict{surface: paving, said: true}
	}
	return v
}

// judgeTags looks the feature's tags up in order.
func (w words) judgeTags(m raw.Members, v *verdict) {
	for _, k := range tagKeys {
		value := m.Text(k)
		if value == "" || value == "no" {
			continue
		}
		value = plain(value)
		v.said = true
		if len(w.user) > 0 {
			for _, word := range []string{k + "=" + value, value} {
				if s, ok := w.user[word]; ok {
					v.surface, v.tag = s, true
					return
				}
			}
		}
		s, ok := tagMeaning[k][value]
		if !ok {
			s, ok = tagMeaning[k]["*"]
		}
		if ok {
			v.surface, v.tag = s, true
			made := plain(m.Text("surface"))
			if s == geo.Turf && hardSurface[made] {
				v.surface = geo.Hardscape
			}
			if s == geo.Hardscape && k == "leisure" && made == "grass" {
				v.surface = geo.Turf
			}
			return
		}
		if background[k][value] || background[k]["*"] {
			v.background = true
			continue
		}
		if v.word == "" || v.vague {
			v.word, v.vague = k+"="+value, false
		}
	}
}

// named is the surface that a feature's name speaks of, or else the name of its folder: "Front lawn",
// "rose beds"; "" when neither does. The last word that is understood decides.
func (w words) named(m raw.Members) geo.Surface {
	folder := m.Text("folder")
	for _, name := range []string{m.Text("name"), folder[strings.LastIndexByte(folder, '/')+1:]} {
		tokens := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && r != '-' })
		// "Grass strip by pond" is grass.
		if k := slices.IndexFunc(tokens, func(w string) bool { return between[w] }); k > 0 {
			tokens = tokens[:k]
		}
		for i := len(tokens) - 1; i >= 0; i-- {
			try := []string{tokens[i]}
			if i > 0 {
				try = []string{tokens[i-1] + "-" + tokens[i], tokens[i]}
			}
			for _, word := range try {
				for _, one := range []string{word, strings.TrimSuffix(word, "s"), strings.TrimSuffix(word, "es")} {
					if s, ok := w.user[one]; ok {
						return s
					}
					if s, ok := builtIn[one]; ok {
						return s
					}
				}
			}
		}
	}
	return ""
}
