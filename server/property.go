package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"tankful/calc/date"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
	"tankful/plan"
)

// propertyFacts is what lists and maps show of a property without measuring it again.
type propertyFacts struct {
	Net       string       `json:"net"`        // as printed
	PlusMinus string       `json:"plus_minus"` // as printed
	Measure   plan.Measure `json:"measure"`
	// Tape is the area by tape, as printed, TapeNote how far that is from the outlines.
	Tape     string `json:"tape,omitempty"`
	TapeNote string `json:"tape_note,omitempty"`
	Engine   string `json:"engine"`
}

// account is what is known of a property besides its ground: the member "account" of its GeoJSON. Its stops take notes, set-up, window and mixes from it.
type account struct {
	Name   string          `json:"name,omitempty"`
	Notes  string          `json:"notes,omitempty"`
	SetUp  string          `json:"set_up,omitempty"`
	Window json.RawMessage `json:"window,omitempty"`
	Mixes  []string        `json:"mixes,omitempty"`
	// Due is the date from which the next visit is due; EveryDays sets it anew when work is recorded.
	Due       string `json:"due,omitempty"`
	EveryDays int    `json:"every_days,omitempty"`
	Words     string `json:"words,omitempty"` // to be found by
	// Tape is what was measured with a tape or a wheel, in lines as tankful tape reads them, TapeAccuracy how well a length is known.
	Tape         string `json:"tape,omitempty"`
	TapeAccuracy string `json:"tape_accuracy,omitempty"`
}

// ground is a property's GeoJSON, decoded as far as the server has to look into it.
type ground struct {
	Type     string            `json:"type"`
	Account  account           `json:"account"`
	Features []json.RawMessage `json:"features"`
}

var idForm = regexp.MustCompile(`^[a-z0-9][a-z0-9._-]{0,63}$`)

// slug makes an ID of a name.
func slug(name string) string {
	s := strings.Join(wordsOnly(name), "-")
	if len(s) > 60 {
		s = strings.TrimRight(s[:60], "-")
	}
	return s
}

func wordsOnly(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') })
}

// measured reads a property's GeoJSON and measures it. Every problem is in the list; site is nil when the file holds nothing.
func (s *Server) measured(id string, data []byte, accuracy unit.Length) (*geo.Site, problem.List) {
	var g ground
	if json.Unmarshal(data, &g) == nil && g.Type == "FeatureCollection" && len(g.Features) == 0 {
		var ps problem.List
		ps.Notef("nothing-drawn", id, "Draw an outline of turf, bring a file, or enter lengths by tape.", "nothing is drawn yet")
		return nil, ps
	}
	list, ps := intake.Read(id+".geojson", data, intake.Options{GroupKey: "property"})
	if len(list) == 0 {
		if !ps.HasErrors() {
			ps.Errorf("no-outlines", id, "Draw an outline of turf, bring a file, or enter lengths by tape.", "nothing is drawn yet")
		}
		return nil, ps
	}
	if len(list) > 1 {
		ps.Errorf("several-properties", id, "Keep one property at a time.", "the outlines are of %d properties", len(list))
		return nil, ps
	}
	site := geo.Measure(list[0], geo.MeasureOptions{Accuracy: accuracy})
	ps = append(ps, site.Problems...)
	if site.NetArea > largeLawn {
		ps.Warnf("very-large", id, "Look at the scale of the map; go on if it is that large.", "the turf has %s acres", unit.Number(site.NetArea.In(unit.Acre), 0))
	}
	return site, ps.Distinct()
}

// largeLawn is more turf than a crew does in a day: a map that was drawn at the wrong scale has more.
const largeLawn = 100 * unit.Acre

// withProperty says in every feature to which property it belongs, so that a file of outlines is one property's whatever its features said before.
func withProperty(id string, data []byte) ([]byte, *ground, problem.List) {
	var ps problem.List
	var whole map[string]json.RawMessage
	var g ground
	if err := json.Unmarshal(data, &whole); err != nil {
		ps.Errorf("geojson-invalid", id, "Send a FeatureCollection (RFC 7946).", "this is no JSON object: %v", err)
		return nil, nil, ps
	}
	if err := json.Unmarshal(data, &g); err != nil || g.Type != "FeatureCollection" {
		ps.Errorf("geojson-invalid", id, "Send a FeatureCollection (RFC 7946), its member account as the documentation has it.", "it is %q, or its members have other types (%v)", g.Type, err)
		return nil, nil, ps
	}
	features := make([]json.RawMessage, len(g.Features))
	for i, f := range g.Features {
		var feature, members map[string]json.RawMessage
		if err := json.Unmarshal(f, &feature); err != nil || feature == nil {
			ps.Errorf("geojson-invalid", fmt.Sprintf("%s: feature %d", id, i+1), "Send a Feature.", "it is no JSON object")
			continue
		}
		if json.Unmarshal(feature["properties"], &members) != nil || members == nil {
			members = map[string]json.RawMessage{}
		}
		members["property"] = mustJSON(id)
		feature["properties"] = mustJSON(members)
		features[i] = mustJSON(feature)
	}
	if ps.HasErrors() {
		return nil, nil, ps
	}
	whole["features"] = mustJSON(features)
	return mustJSON(whole), &g, ps
}

// mustJSON encodes what always can be.
func mustJSON(v any) json.RawMessage {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		panic(fmt.Sprintf("server: encode %T: %v", v, err))
	}
	return bytes.TrimRight(b.Bytes(), "\n")
}

// usualHours are when a property may be worked on.
type usualHours struct {
	From  string `json:"from,omitempty"`
	Until string `json:"until,omitempty"`
}

// window reads the usual hours; zero without any.
func (a *account) window() (w usualHours, err error) {
	if len(a.Window) == 0 {
		return w, nil
	}
	if err = json.Unmarshal(a.Window, &w); err != nil {
		return w, errors.New("they are no from and until")
	}
	for _, at := range []string{w.From, w.Until} {
		if _, err := time.Parse("15:04", at); at != "" && err != nil {
			return w, fmt.Errorf("%q is no time on the 24-hour clock", short(at))
		}
	}
	return w, nil
}

// checkAccount refuses what an account can not be.
func checkAccount(id string, a *account) (ps problem.List) {
	where := id + ": account"
	if a.Due != "" {
		if _, err := date.Parse(a.Due); err != nil {
			ps.Errorf("date-invalid", where+".due", "Write a date as 2026-05-04.", "%q is no date", a.Due)
		}
	}
	if a.EveryDays < 0 || a.EveryDays > 3660 {
		ps.Errorf("interval-invalid", where+".every_days", "Write 1 to 3660 days, or leave it out.", "%d days is no interval", a.EveryDays)
	}
	if _, err := unit.ParseTime(a.SetUp); a.SetUp != "" && err != nil {
		ps.Errorf("time-invalid", where+".set_up", "Write minutes with their unit, for example \"6 min\".", "%v", err)
	}
	if w, err := a.window(); err != nil {
		ps.Errorf("window-invalid", where+".window", "Write {\"from\": \"08:00\", \"until\": \"11:00\"}, or one of the two.", "the usual hours cannot be read: %v", err)
	} else if w.From != "" && w.Until != "" && w.From > w.Until {
		ps.Errorf("window-ends-before-start", where+".window", "Write the earlier time first.", "the usual hours run from %s until %s", w.From, w.Until)
	}
	if len(a.Name) > 200 || len(a.Notes) > 4000 || len(a.Words) > 2000 {
		ps.Errorf("text-too-long", where, "Shorten the text.", "a name has at most 200 letters, notes 4,000, words 2,000")
	}
	if len(a.Tape) > mostTape || len(a.TapeAccuracy) > 40 {
		ps.Errorf("text-too-long", where+".tape", "Shorten the text.", "what was taped has at most %d letters", mostTape)
	}
	if strings.ContainsRune(a.Name+a.Notes+a.Words+a.Due+a.Tape+a.TapeAccuracy, 0) {
		ps.Errorf("text-invalid", where, "Take the character out.", "the text holds a zero character")
	}
	return ps
}

// propertyItem is a property ready to be kept: its GeoJSON checked, measured and summed up. Outlines that cannot be measured yet are kept too, with what is wrong: an estimator
// may stop half-way. Text that is no GeoJSON, and an account that is none, is refused.
func (s *Server) propertyItem(id string, data []byte, p *parts, by string) (Item, problem.List) {
	if !idForm.MatchString(id) {
		var ps problem.List
		ps.Errorf("id-invalid", "id", "Write 1 to 64 letters a to z, digits, dots and dashes.", "%q is no ID of a property", short(id))
		return Item{}, ps
	}
	body, g, ps := withProperty(id, data)
	if ps.HasErrors() {
		return Item{}, ps
	}
	if ps = checkAccount(id, &g.Account); ps.HasErrors() {
		return Item{}, ps
	}
	it := Item{Kind: Properties, ID: id, Name: orWord(g.Account.Name, id), Words: g.Account.Words, Due: g.Account.Due, State: stateMeasured, Body: body, By: by, At: s.Now()}
	site, found := s.measured(id, body, p.accuracy())
	facts := propertyFacts{Net: "not measured", Engine: s.Engine, Measure: plan.Measure{ID: id, Name: it.Name, Problems: found}}
	if site != nil {
		if g.Account.Name == "" {
			it.Name = site.Property.Name
		}
		facts.Measure = plan.MeasureOf(site)
		facts.Measure.Problems = found
		it.Bounds = boundsOf(site.Property)
	}
	if found.HasErrors() || site == nil {
		it.State = stateMend
	} else {
		facts.Net, facts.PlusMinus = p.units().Area(site.NetArea), p.units().Area(site.PlusMinus)
	}
	if g.Account.Tape != "" {
		drawn := len(g.Features) > 0
		state, told := facts.byTape(&g.Account, drawn, it.State == stateMeasured, p.units())
		if state != "" {
			it.State, found = state, nil // nothing is drawn, and that is no fault
		}
		found = append(found, told...)
		facts.Measure.Problems = found
	}
	it.Facts = mustJSON(facts)
	return it, found
}

func short(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return text
}

// accuracy is how far off a corner may be, as the outfit says; 0 is a guess.
func (p *parts) accuracy() unit.Length {
	var o struct {
		Accuracy string `json:"accuracy"`
	}
	if json.Unmarshal(p.head["outlines"], &o) != nil || o.Accuracy == "" {
		return 0
	}
	l, err := unit.ParseLength(o.Accuracy)
	if err != nil {
		return 0 // the outfit is refused for it
	}
	return l
}

func boundsOf(p *geo.Property) *orb.Bound {
	var b orb.Bound
	none := true
	for _, o := range p.Outlines {
		for _, g := range []orb.Geometry{o.Polygon, o.Lines} {
			x := g.Bound()
			if x.IsEmpty() || o.Polygon == nil && o.Lines == nil {
				continue
			}
			if none {
				b, none = x, false
			}
			b = b.Union(x)
		}
	}
	if none {
		return nil
	}
	return &b
}

// saveProperty keeps a new measuring of a property, made from version was.
func (s *Server) saveProperty(ctx context.Context, id string, data []byte, was int64, key, by string) (Item, problem.List, error) {
	p, err := s.parts(ctx)
	if err != nil {
		return Item{}, nil, err
	}
	if data, err = s.withAccount(ctx, id, data, was); err != nil {
		return Item{}, nil, err
	}
	it, found := s.propertyItem(id, data, p, by)
	if it.ID == "" {
		return Item{}, nil, found.Err()
	}
	out, err := s.Store.Save(ctx, key, Change{Item: it, Was: was})
	if err != nil {
		return Item{}, nil, err
	}
	return out[0], found, nil
}

// dropProperty takes a property out of all lists; its versions stay.
func (s *Server) dropProperty(ctx context.Context, id string, was int64, key, by string) error {
	it, err := s.Store.Item(ctx, Properties, id)
	if err != nil {
		return err
	}
	it.Gone, it.By, it.At = true, by, s.Now()
	_, err = s.Store.Save(ctx, key, Change{Item: it, Was: was})
	return err
}

// withAccount keeps the account of the version before where outlines are sent without one, as other programs do.
func (s *Server) withAccount(ctx context.Context, id string, data []byte, was int64) ([]byte, error) {
	var whole map[string]json.RawMessage
	if was == 0 || json.Unmarshal(data, &whole) != nil || whole == nil || whole["account"] != nil {
		return data, nil // what is no JSON is told where it is read
	}
	it, err := s.Store.Version(ctx, Properties, id, was)
	if errors.Is(err, ErrNone) {
		return data, nil // a conflict, told where it is saved
	}
	if err != nil {
		return nil, err
	}
	var g ground
	if err := json.Unmarshal(it.Body, &g); err != nil {
		return nil, fmt.Errorf("read property %q: %w", id, err)
	}
	whole["account"] = mustJSON(g.Account)
	return mustJSON(whole), nil
}

// liveFigure and liveMeasure are the figures beside the map.
type liveFigure struct {
	Label string `json:"label"`
	Value string `json:"value"`
	Note  string `json:"note,omitempty"`
}

type liveProblem struct {
	problem.Problem
	// Feature is the feature's number in what was sent, from 1; 0 when the problem is of the whole.
	Feature int        `json:"feature"`
	At      *orb.Point `json:"at"`
}

type liveMeasure struct {
	Figures  []liveFigure  `json:"figures"`
	Problems []liveProblem `json:"problems"`
}

// live measures outlines that are not kept.
func (s *Server) live(ctx context.Context, data []byte) (*liveMeasure, error) {
	p, err := s.parts(ctx)
	if err != nil {
		return nil, err
	}
	out := &liveMeasure{Figures: []liveFigure{}, Problems: []liveProblem{}}
	body, _, found := withProperty("drawing", data)
	if !found.HasErrors() {
		var site *geo.Site
		site, found = s.measured("drawing", body, p.accuracy())
		if site != nil && !found.HasErrors() {
			out.Figures = figuresOf(site, p.units())
		}
	}
	out.Problems = placed(found)
	return out, nil
}

func figuresOf(site *geo.Site, u unit.System) []liveFigure {
	out := []liveFigure{{Label: "Net turf", Value: u.Area(site.NetArea), Note: "+- " + u.Area(site.PlusMinus)}, {Label: "Turf as drawn", Value: u.Area(site.Gross)}}
	for _, surface := range geo.LeftOut {
		if a := site.Excluded[surface]; a > 0 {
			out = append(out, liveFigure{Label: "less " + string(surface), Value: u.Area(a)})
		}
	}
	out = append(out, liveFigure{Label: "Edge to walk", Value: u.Length(site.Perimeter)})
	if len(site.Zones) > 1 {
		for _, z := range site.Zones {
			out = append(out, liveFigure{Label: "zone " + plan.ZoneName(z.Name), Value: u.Area(z.Net)})
		}
	}
	return out
}

var featureNumber = regexp.MustCompile(`feature (\d+)`)

// placed says to which feature each problem belongs.
func placed(found problem.List) []liveProblem {
	out := make([]liveProblem, 0, len(found))
	for _, x := range found {
		l := liveProblem{Problem: x}
		if m := featureNumber.FindStringSubmatch(x.Where); m != nil {
			l.Feature, _ = strconv.Atoi(m[1])
		}
		l.Where = strings.TrimPrefix(l.Where, "drawing.geojson: ")
		out = append(out, l)
	}
	return out
}

// readFile is a file that somebody brought: the properties in it as GeoJSON, and every problem.
type readFile struct {
	Properties []readProperty `json:"properties"`
	Problems   []liveProblem  `json:"problems"`
}

type readProperty struct {
	ID      string          `json:"id"`
	Name    string          `json:"name"`
	GeoJSON json.RawMessage `json:"geojson"`
}

const mostRead = 200 // properties of one file

func readOutlines(name string, data []byte) readFile {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	list, found := intake.Read(name, data, intake.Options{})
	out := readFile{Properties: []readProperty{}}
	if len(list) > mostRead {
		found.Warnf("many-properties", name, "Bring the others with tankful measure, or in files of their own.", "the file holds %d properties; the first %d are taken", len(list), mostRead)
		list = list[:mostRead]
	}
	for _, p := range list {
		out.Properties = append(out.Properties, readProperty{ID: orWord(slug(p.ID), "property"), Name: p.Name, GeoJSON: geoJSONOf(p)})
	}
	out.Problems = placed(found)
	return out
}

// geoJSONOf writes a property that was read from any format as our own GeoJSON. Degrees have 8 digits behind the point, 1.1 mm at most.
func geoJSONOf(p *geo.Property) json.RawMessage {
	features := []any{}
	for i := range p.Outlines {
		o := &p.Outlines[i]
		members := map[string]any{"surface": o.Surface}
		if o.Name != "" {
			members["name"] = o.Name
		}
		if o.Zone != "" {
			members["zone"] = o.Zone
		}
		if o.Slope != 0 {
			members["slope"] = fmt.Sprintf("%g %%", o.Slope*100)
		}
		if len(o.Polygon) > 0 {
			features = append(features, feature("MultiPolygon", o.Polygon, members))
		}
		if len(o.Lines) > 0 {
			members["width"] = fmt.Sprintf("%g m", o.Width.In(unit.Metre))
			features = append(features, feature("MultiLineString", o.Lines, members))
		}
	}
	for _, t := range p.Trucks {
		features = append(features, feature("Point", t, map[string]any{"role": "truck"}))
	}
	return mustJSON(map[string]any{"type": "FeatureCollection", "account": account{Name: p.Name}, "features": features})
}

func feature(kind string, coordinates any, members map[string]any) any {
	return map[string]any{"type": "Feature", "properties": members, "geometry": map[string]any{"type": kind, "coordinates": coordinates}}
}
