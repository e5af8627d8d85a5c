package crs

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode"
)

// accepted says what would do, for errors.
const accepted = "accepted are UTM, US state plane and other transverse Mercator or Lambert conformal conic systems, EPSG:3857 and degrees, on WGS 84, NAD83, ETRS89 or a datum close to them"

// The ways of writing a code. The second and third are those of OGC 07-092r3 and 11-135r2 (from memory); further parts
// of a compound system follow "+" or ",". People drop the colons, and the version with its own.
var (
	codeForms = regexp.MustCompile(`^(?:epsg(?:::?)? ?|esri(?:::?)? ?|urn:(?:x-)?ogc:def:crs(?:,crs)?:(?:epsg|esri):(?:[^:,]*:)?|https?://www\.opengis\.net/def/crs/(?:epsg|esri)/[^/]*/|https?://www\.opengis\.net/gml/srs/epsg\.xml#)?(\d{1,9})((?:\+|,).*)?$`)
	crsForms  = regexp.MustCompile(`^(?:ogc:{1,2}|crs:|ogc:crs:|urn:(?:x-)?ogc:def:crs:ogc:[^:]*:|https?://www\.opengis\.net/def/crs/ogc/[^/]*/)(?:crs)?(84|83|27)h?$`)
	utmForms  = regexp.MustCompile(`^(?:(wgs84|etrs89|nad83(?:\([a-z0-9]+\)(?:v\d)?)?)[ /,_-]*)?utm[ ,_-]*(?:zone)?[ ,_-]*(\d{1,2})[ ,_-]*(n|s|north|south|northern|southern|[a-z])?$`)
	tailForm  = regexp.MustCompile(`\((epsg:\d{1,9})\)$`)
)

// fromName reads everything that is not well-known text.
func fromName(s string) (*CRS, error) {
	if len(s) > 200 {
		return nil, refuse("%q is not the name, code or well-known text of a system; %s", clip(s), accepted)
	}
	low := strings.ToLower(strings.Join(strings.Fields(s), " "))
	if m := tailForm.FindStringSubmatch(low); m != nil { // as Name writes it
		low = m[1]
	}
	if m := codeForms.FindStringSubmatch(low); m != nil {
		return fromCode(s, m[1], m[2], strings.Contains(low, "esri"))
	}
	if m := crsForms.FindStringSubmatch(low); m != nil {
		return fromOGC(m[1])
	}
	short := strings.NewReplacer("_", " ").Replace(low) // .prj files name systems so: NAD_1983_UTM_Zone_15N
	short = strings.NewReplacer("wgs 84", "wgs84", "wgs 1984", "wgs84", "nad 83", "nad83", "nad 1983", "nad83", "etrs 89", "etrs89").Replace(short)
	switch short {
	case "wgs84", "crs84":
		return fromOGC("84")
	case "nad83", "crs83":
		return fromOGC("83")
	case "nad27", "crs27":
		return fromOGC("27")
	case "web mercator", "pseudo-mercator", "wgs84 / pseudo-mercator":
		return byCode(3857)
	}
	if m := utmForms.FindStringSubmatch(short); m != nil {
		return fromUTM(s, m[1], m[2], m[3])
	}
	if code, ok := byName()[low]; ok {
		return byCode(code)
	}
	switch {
	case strings.HasPrefix(low, "{"):
		return nil, refuse("it is JSON, which is not read; give an EPSG code or the text of a .prj file")
	case strings.Contains(low, "+proj="):
		return nil, refuse("%q is a PROJ string, which is not read; give an EPSG code or the text of a .prj file", clip(s))
	}
	return nil, refuse("%q; write it as EPSG:26915 or UTM 15N, or give the text of a .prj file; %s", clip(s), accepted)
}

// byName is the code of every listed system by its name in lower case, with and without the code.
var byName = sync.OnceValue(func() map[string]int {
	m := map[string]int{}
	for _, s := range Codes() {
		i := strings.LastIndex(s, " (EPSG:")
		code, _ := strconv.Atoi(s[i+7 : len(s)-1])
		name := strings.ToLower(s[:i])
		if _, ok := m[name]; !ok || code == datumFacts[worldDatum].codes[0] {
			m[name] = code
		}
	}
	return m
})

// fromCode reads a code; rest is what follows in a compound system.
func fromCode(s, digits, rest string, esri bool) (*CRS, error) {
	code, err := strconv.Atoi(digits)
	if err != nil {
		return nil, refuse("%q has no usable code", clip(s))
	}
	if esri && code != 102100 && code != 102113 && code >= 100000 {
		return nil, refuse("ESRI:%d is in no table here; give the EPSG code or the text of a .prj file", code)
	}
	if r, ok := refusedCode(code); ok {
		return nil, refuse("EPSG:%d %s", code, r)
	}
	c, err := byCode(code)
	if err != nil {
		return nil, err
	}
	if c == nil {
		return nil, refuse("EPSG:%d is in no table here; give the text of its .prj file, or another code; %s", code, accepted)
	}
	if rest != "" {
		c.note("only the horizontal part of " + clip(s) + " is used, heights stay as they are")
	}
	return c, nil
}

func fromOGC(which string) (*CRS, error) {
	switch which {
	case "84":
		return &CRS{name: "WGS 84 (EPSG:4326)"}, nil
	case "83":
		return geographicCRS(nad83, "NAD83 (EPSG:4269)"), nil
	}
	return nil, refuse("NAD27 %s", farDatum)
}

// fromUTM reads the name of a UTM zone.
func fromUTM(s, on, digits, side string) (*CRS, error) {
	n, _ := strconv.Atoi(digits)
	if n < 1 || n > 60 {
		return nil, refuse("%q: UTM zones are numbered 1 to 60", clip(s))
	}
	base, south := 32600, false
	switch side {
	case "n", "north", "northern":
	case "s", "south", "southern":
		base, south = 32700, true
	default:
		return nil, refuse("%q does not say which half of the Earth; write UTM %dN for the northern one, UTM %dS for the southern one", clip(s), n, n)
	}
	if strings.Contains(on, "(") { // a realization: as it is listed
		code, ok := byName()[fmt.Sprintf("%s / utm zone %d%c", on, n, side[0])]
		if !ok {
			return nil, refuse("%q: there is no such zone on that datum; write UTM %d%c", clip(s), n, side[0]-'a'+'A')
		}
		return byCode(code)
	}
	switch {
	case south && on != "" && on != "wgs84":
		return nil, refuse("%q: southern zones are known on WGS 84 only; write UTM %dS", clip(s), n)
	case on == "nad83" && n <= 23:
		base = 26900
	case on == "nad83" && n >= 59:
		base = 3372 - 59 // 3372 is zone 59N, 3373 is zone 60N
	case on == "etrs89" && n >= 28 && n <= 38:
		base = 25800
	case on != "" && on != "wgs84":
		return nil, refuse("%q: there is no such zone on that datum; write UTM %dN", clip(s), n)
	}
	c, err := byCode(base + n)
	if err == nil && c == nil {
		err = refuse("%q: there is no such zone on that datum; write UTM %dN", clip(s), n)
	}
	if err != nil {
		return nil, err
	}
	if side == "s" {
		c.note(fmt.Sprintf("S is read as the southern half of the Earth; if it is the latitude band S of the military grid (32 to 40 degrees north), write UTM %dN", n))
	}
	return c, nil
}

// clip shortens a text from a file for a message, and drops what does not print.
func clip(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	if r := []rune(s); len(r) > 80 {
		s = string(r[:80]) + "..."
	}
	return s
}
