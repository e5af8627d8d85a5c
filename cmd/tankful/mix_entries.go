package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan/dayfile"
)

// A pair is "name=value" as it was given.
type pair struct{ name, value string }

// pairOf reads "feed=6 fl oz/1000 sq ft".
func pairOf(example string) func(string) (pair, error) {
	return func(text string) (p pair, err error) {
		name, value, ok := strings.Cut(text, "=")
		p = pair{strings.TrimSpace(name), strings.TrimSpace(value)}
		if !ok || p.name == "" || p.value == "" {
			return p, fmt.Errorf("%q has no name and value: write for example %q", text, example)
		}
		return p, nil
	}
}

// mixEntries is what the command takes.
type mixEntries struct {
	carrier           unit.VolumePerArea
	tank, heel, marks unit.Volume
	area              unit.Area
	areaGiven         bool
	stops             []pair
	products          []pair
	most, analysis    []pair
	density, measure  []pair
	container         []pair
	labels            string
	order             []string
	held, heldWater   unit.Volume
	heldMix           string
	whole             string
	left, rinse       unit.Volume
	rinseTimes        int
	rinseFactor       float64
	rated, empty      unit.Mass
	clean             unit.Volume
	aboard            []pair
	beside            []string
	name              string
	labelled          []label.Product // of the file of labels
	lone              bool            // no label limit was given for any product
}

func (m *mixEntries) entries() []entry {
	one := func(name, usage, example string, to *[]pair) entry {
		return entry{name: name, usage: usage, example: example, several: true, set: onto(to, pairOf(example))}
	}
	byNutrient := func() bool {
		return slices.ContainsFunc(m.products, func(p pair) bool {
			_, _, err := unit.ParseNutrientRate(p.value)
			return err == nil
		})
	}
	list := []entry{
		{name: "carrier", usage: "carrier rate, from a catch test", example: "2.05 gal/1000 sq ft", need: true, set: into(&m.carrier, unit.ParseVolumePerArea)},
		{name: "tank", usage: "what the tank holds", example: "200 gal", need: true, set: into(&m.tank, unit.ParseVolume)},
		{name: "heel", usage: "what the pump cannot draw", example: "5 gal", need: true, set: into(&m.heel, unit.ParseVolume)},
		{name: "area", usage: "area to treat", example: "150,000 sq ft", note: "Enter for one full tankful", set: into(&m.area, unit.ParseArea)},
		one("product", "a product and its rate, `name=rate`: per area, of a nutrient (0.75 lb N/1000 sq ft) or in the mix (0.25 % v/v)", "feed=6 fl oz/1000 sq ft", &m.products),
		one("most", "the most of a product that its label allows, `name=rate`, per area or in the mix", "feed=9 fl oz/1000 sq ft", &m.most),
		one("analysis", "a product's analysis N-P2O5-K2O, `name=grade`", "feed=18-0-4", &m.analysis),
		one("density", "a product's density, `name=density`; of a powder that of what it displaces in the tank", "feed=10.2 lb/gal", &m.density),
		one("measure", "the smallest mark that a product is measured to, `name=amount`", "feed=1 fl oz", &m.measure),
		one("container", "what a product comes in, `name=amount`", "feed=2.5 gal", &m.container),
		{name: "labels", usage: "a YAML file whose entry products has the products with their labels, such as a day file", set: into(&m.labels, word)},
		{name: "order", usage: "order of adding: products by name, or classes", example: "feed, wetter", several: true, set: onto(&m.order, word)},
		one("stop", "a lawn and its net turf, `name=area`, instead of the area", "12 Elm=5,200 sq ft", &m.stops),
		{name: "marks", usage: "how far apart the marks of the gauge are, to fill to a mark each time", example: "5 gal", set: into(&m.marks, unit.ParseVolume)},
		{name: "held", usage: "what is in the tank already, of this mix", example: "10 gal", set: into(&m.held, unit.ParseVolume)},
		{name: "held-water", usage: "or water that is in the tank already", example: "10 gal", set: into(&m.heldWater, unit.ParseVolume)},
		{name: "held-mix", usage: "the file of this command that made what is held, when it is another mix", set: into(&m.heldMix, word)},
		{name: "whole", usage: "product to use in whole containers: the fillings that do so", example: "feed", set: into(&m.whole, word)},
		{name: "left", usage: "mix left over: where it may go", example: "20 gal", set: into(&m.left, unit.ParseVolume)},
		{name: "rinse", usage: "clean water for one rinse of the tank", example: "20 gal", set: into(&m.rinse, unit.ParseVolume)},
		{name: "rinse-times", usage: "how often it is rinsed", example: "3", note: "Enter for three", set: into(&m.rinseTimes, counted)},
		{name: "rinse-factor", usage: "or by how much rinsing must weaken what is left", example: "300", set: into(&m.rinseFactor, decimal)},
		{name: "truck-rated", usage: "gross weight rating on the truck's door", example: "14,500 lb", set: into(&m.rated, unit.ParseMass)},
		{name: "truck-empty", usage: "its weight with tanks empty", example: "9,800 lb", set: into(&m.empty, unit.ParseMass)},
		{name: "clean-water", usage: "rinse water carried apart", example: "20 gal", set: into(&m.clean, unit.ParseVolume)},
		one("aboard", "what else is on the truck, `name=weight`", "crew=360 lb", &m.aboard),
		{name: "beside", usage: "the file of another tank's mix that goes on the same ground at the same visit", several: true, set: onto(&m.beside, word)},
		{name: "name", usage: "name of the mix", example: "Feed", set: into(&m.name, word)},
	}
	for i := range list {
		list[i].quiet = !slices.Contains(mixAsked, list[i].name)
		switch list[i].name {
		case "most":
			list[i].skip = func() bool { return len(m.products) == 0 }
		case "analysis", "density": // which a rate by product does without
			list[i].skip = func() bool { return !byNutrient() }
		}
	}
	return list
}

// mixAsked is what a dialogue asks for; the rest is there by flag and by file.
var mixAsked = []string{"carrier", "tank", "heel", "area", "product", "most", "analysis", "density"}

// recipe makes the recipe of what was given.
func (m *mixEntries) recipe() (mix.Recipe, []mix.Dose, problem.List, error) {
	products, found, err := m.productList()
	if err != nil {
		return mix.Recipe{}, nil, nil, err
	}
	var wanted []mix.Wanted
	for _, p := range m.products {
		if _, ok := products[p.name]; !ok {
			continue // told by productList
		}
		w, list := wantedOf(p, products)
		found = append(found, list...)
		wanted = append(wanted, w)
	}
	if found.HasErrors() {
		return mix.Recipe{}, nil, found, nil
	}
	r, doses, list := mix.NewRecipe(m.carrier, wanted, m.where())
	if m.lone && len(wanted) > 0 { // one note instead of a warning a product
		list = withoutCode(list, "no-label-limit")
		list.Notef("no-label-limit", m.where(), "Give the label's most with --most \"name=rate\", or the file with the labels.", "no label limit was given, so that no rate is checked")
	}
	found = append(found, list...)
	if !list.HasErrors() {
		found = append(found, m.setOrder(&r)...)
	}
	return r, doses, found, nil
}

func (m *mixEntries) where() string {
	if m.name != "" {
		return m.name
	}
	return "command line"
}

// setOrder reads words that are classes or names of products.
func (m *mixEntries) setOrder(r *mix.Recipe) (ps problem.List) {
	for _, w := range m.order {
		switch {
		case slices.ContainsFunc(r.Parts, func(p mix.Part) bool { return p.Product.Name == w }):
			r.Sequence = append(r.Sequence, w)
		case slices.Contains(label.Classes, label.Class(w)):
			r.Order = append(r.Order, label.Class(w))
		default:
			ps.Errorf("order-unknown", "--order", "Name products of this mix, or classes such as wettable or soluble.", "%q is neither a product of this mix nor a class", w)
		}
	}
	return ps
}

// productList is the labelled products, and those that flags describe.
func (m *mixEntries) productList() (map[string]label.Product, problem.List, error) {
	products := map[string]label.Product{}
	var found problem.List
	if m.labels != "" {
		data, err := os.ReadFile(m.labels)
		if err != nil {
			return nil, nil, err
		}
		list, _, ps := dayfile.Labels(filepath.Base(m.labels), data)
		mendLabels(ps)
		found = append(found, ps...)
		for _, p := range list {
			products[p.Name] = p
		}
		m.labelled = list
	}
	unread := found.HasErrors() // then a name may be missing for that reason
	m.lone = m.labels == "" && len(m.most) == 0
	for _, p := range m.products {
		if m.labels != "" {
			if _, ok := products[p.name]; !ok && !unread {
				unknownProduct(&found, "--product", p.name, filepath.Base(m.labels), m.labelled)
			}
			continue
		}
		products[p.name] = label.Product{Name: p.name, Form: m.formOf(p), Class: label.Soluble, Label: label.Label{Citation: "command line"}}
	}
	for _, d := range m.details() {
		for _, p := range d.pairs {
			q, ok := products[p.name]
			if !ok {
				found.Errorf("unknown-product", "--"+d.flag, "Name a product that is given with --product.", "%q is not among the products", p.name)
				continue
			}
			if err := d.set(&q, p.value); err != nil {
				found.Errorf("quantity", "--"+d.flag, d.fix, "%s: %v", p.name, err)
			}
			products[p.name] = q
		}
	}
	return products, found, nil
}

// mendLabels says of a file of labels what to write, where the reader of the file speaks of a day.
func mendLabels(list problem.List) {
	for i := range list {
		if list[i].Code == "empty-file" {
			list[i].Fix = "Write the products with their labels into the file, as the help of tankful season shows, or name another file."
		}
	}
}

// unknownProduct tells of a name that the file of labels does not have, and which names it has.
func unknownProduct(ps *problem.List, where, name, file string, known []label.Product) {
	names := ""
	for i, p := range known {
		if i == 12 {
			names += ", ..."
			break
		}
		if i > 0 {
			names += ", "
		}
		names += fmt.Sprintf("%q", p.Name)
	}
	ps.Errorf("unknown-product", where, "Name one of "+names+".", "%q is not among the products of %s", name, file)
}

// detail is a flag that says one thing of a product.
type detail struct {
	flag, fix string
	pairs     []pair
	set       func(p *label.Product, value string) error
}

func (m *mixEntries) details() []detail {
	amount := func(text string, p *label.Product) (label.Amount, error) { return label.ParseAmount(text, p.Form) }
	return []detail{
		{"most", "Write the most as in \"feed=9 fl oz/1000 sq ft\".", m.most, func(p *label.Product, v string) error {
			r, err := label.ParseRate(v, p.Form)
			if err == nil {
				p.Label.Most = r
				return nil
			}
			s, strengthErr := label.ParseStrength(v, p.Form)
			if strengthErr == nil {
				p.Label.MostInMix = s
				return nil
			}
			return err
		}},
		{"analysis", "Write the grade as on the bag, such as \"feed=18-0-4\".", m.analysis, func(p *label.Product, v string) (err error) {
			p.Analysis, err = label.ParseGrade(v)
			return err
		}},
		{"density", "Write the density as in \"feed=10.2 lb/gal\".", m.density, func(p *label.Product, v string) error {
			d, err := unit.ParseDensity(v)
			if p.Form.Weighed() {
				p.InTank = d
			} else {
				p.Density = d
			}
			return err
		}},
		{"measure", "Write the smallest mark as in \"feed=1 fl oz\".", m.measure, func(p *label.Product, v string) (err error) {
			p.Measure, err = amount(v, p)
			return err
		}},
		{"container", "Write what it holds as in \"feed=2.5 gal\".", m.container, func(p *label.Product, v string) error {
			a, err := amount(v, p)
			name := "jug"
			if p.Form.Weighed() {
				name = "bag"
			}
			p.Containers = append(p.Containers, label.Container{Name: name, Holds: a})
			return err
		}},
	}
}

// wantedOf reads what is wanted of a product in one of the three ways.
func wantedOf(p pair, products map[string]label.Product) (mix.Wanted, problem.List) {
	var ps problem.List
	w := mix.Wanted{Product: products[p.name]}
	form := w.Product.Form
	if n, rate, err := unit.ParseNutrientRate(p.value); err == nil {
		w.Nutrient, w.NutrientRate = string(n), rate
		return w, nil
	}
	rate, err := label.ParseRate(p.value, form)
	if err == nil {
		w.Rate = rate
		return w, nil
	}
	if s, strengthErr := label.ParseStrength(p.value, form); strengthErr == nil {
		w.InMix = s
		return w, nil
	}
	ps.Errorf("quantity", "--product", "Write the rate with its units, such as 6 fl oz/1000 sq ft, 3 lb/1000 sq ft, 0.75 lb N/1000 sq ft or 0.25 % v/v.", "%s: %v", p.name, err)
	return w, ps
}

// stopList is the lawns of the run.
func (m *mixEntries) stopList() (stops []mix.Stop, ps problem.List) {
	for _, s := range m.stops {
		a, err := unit.ParseArea(s.value)
		if err != nil {
			ps.Errorf("quantity", "--stop", "Write the net turf of the lawn as in \"12 Elm=5,200 sq ft\".", "%s: %v", s.name, err)
		}
		stops = append(stops, mix.Stop{Name: s.name, Area: a})
	}
	return stops, ps
}

// truck is what may be carried; ok is false when nothing of it was given.
func (m *mixEntries) truck() (t mix.Truck, ok bool, ps problem.List) {
	t = mix.Truck{Rated: m.rated, Empty: m.empty, Clean: m.clean}
	for _, a := range m.aboard {
		w, err := unit.ParseMass(a.value)
		if err != nil {
			ps.Errorf("quantity", "--aboard", "Write the weight as in \"crew=360 lb\".", "%s: %v", a.name, err)
		}
		t.Other = append(t.Other, mix.Item{Name: a.name, Mass: w})
	}
	return t, m.rated != 0 || m.empty != 0 || m.clean != 0 || len(m.aboard) > 0, ps
}

// readMixFile reads another file of this command; a file with problems is an error with all of them.
func readMixFile(path string) (*mixEntries, error) {
	m := &mixEntries{}
	f := &form{entries: m.entries(), file: path}
	answers, list, err := f.fromFile()
	if err != nil {
		return nil, err
	}
	for _, name := range f.take(answers, &list) {
		list.Errorf("entry-missing", f.place(), "Add it to the file.", "%s is missing", strings.TrimPrefix(name, "--"))
	}
	if m.name == "" {
		m.name = strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	}
	return m, list.Err()
}

// formOf is the form of a product that no label describes: dry when what is wanted of it, its most, its measure or
// its container is a weight, liquid when one of them is a volume. A nutrient says neither, and
// then a density makes a liquid of it.
func (m *mixEntries) formOf(p pair) label.Form {
	texts := []string{p.value}
	for _, list := range [][]pair{m.most, m.measure, m.container} {
		for _, q := range list {
			if q.name == p.name {
				texts = append(texts, q.value)
			}
		}
	}
	for _, text := range texts {
		switch q, err := unit.Parse(text); {
		case err != nil: // a nutrient's rate, or a problem told elsewhere
		case slices.Contains([]unit.Kind{unit.KindMass, unit.KindMassPerArea, unit.KindDensity}, q.Kind()):
			return label.Dry
		default:
			return label.Liquid
		}
	}
	if _, _, err := unit.ParseNutrientRate(p.value); err == nil && !slices.ContainsFunc(m.density, func(d pair) bool { return d.name == p.name }) {
		return label.Dry
	}
	return label.Liquid
}
