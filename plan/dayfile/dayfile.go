// Package dayfile reads a day from its file: one YAML text that a crew lead writes, and the
// outline files and the record of past applications that it names, into a plan.Day.
//
// It knows the file's layout, what each entry may be and which entries must fit together,
// and reports everything wrong in one run, each with line and path. It leaves out opening
// files (the caller hands over bytes), planning, and any default that would change an amount.
//
// The layout is version 1; testdata/demo/day.yaml shows every part of it. Quantities are
// text with their unit. Keys are checked: an unknown one is an error, never ignored.
package dayfile

import (
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
	"tankful/plan"
)

// Version is the layout that this package reads: the value of the key "tankful".
const Version = 1

// Parse reads a day file. name stands for the file in every place; outlines gives the bytes of
// an outline file, or of the record, by the path written in the day file. Where opt sets something it overrides the
// file's own "outlines" entry. The Day is never nil and holds what could be read even when
// the list has errors; then it must not be planned. A quantity that was refused is zero in it.
func Parse(name string, data []byte, outlines func(path string) ([]byte, error), opt intake.Options) (*plan.Day, problem.List) {
	r := newReader(name, outlines, opt)
	if root, ok := r.syntax(data); ok {
		r.readDay(root)
	}
	r.problems.Sort()
	return r.day, r.problems
}

// reader is one reading of one file: what was found so far.
type reader struct {
	file     string
	problems problem.List
	day      *plan.Day
	// names are the names declared of each kind, in the order of the file.
	names map[kind][]string

	outlines  func(path string) ([]byte, error)
	opt       intake.Options
	measuring geo.MeasureOptions
	files     map[string]*outlineFile

	yardKnown, setUpGiven bool
	// carriers are the printed carrier rates of the catch tests that hold, by operator and applicator.
	carriers map[[2]string]unit.VolumePerArea
	stops    []stopEntry
	record   cursor // where it is named
	// fillTrucks are the trucks that fill points name, to be looked up when all are read.
	fillTrucks []cursor
}

func newReader(name string, outlines func(path string) ([]byte, error), opt intake.Options) *reader {
	return &reader{
		file: name, day: &plan.Day{Where: name}, names: map[kind][]string{},
		outlines: outlines, opt: opt, files: map[string]*outlineFile{},
	}
}

// kind is a sort of thing with a name in the day file.
type kind string

const (
	kindProduct    kind = "product"
	kindApplicator kind = "applicator"
	kindOperator   kind = "operator"
	kindMix        kind = "mix"
	kindTruck      kind = "truck"
	kindFill       kind = "fill point"
)

// readDay reads the parts in the order in which they name one another: a name is declared
// before it is referred to, whatever the order in the file.
func (r *reader) readDay(root cursor) {
	o, ok := root.object("tankful! date! stops! off orders " + sharedKeys)
	if !ok || !r.version(o.at("tankful")) {
		return
	}
	r.day.Date = o.at("date").date()
	r.readShared(o)
	r.readStops(o.at("stops"), quantity(o.at("set_up"), unit.ParseTime, "0 min", "4 h"))
	r.checkStops()
	r.checkTanks()
	r.checkUse()
	r.checkRecord()
	off := r.readOff(o.at("off"))
	r.day.Orders = r.readOrders(o.at("orders"), off)
	r.day = r.day.Without(off)
}

// sharedKeys are the keys that a day file and a week file have both.
const sharedKeys = "invented outfit! units! start! end yard! travel! fill_points products! limits record applicators! operators! mixes! trucks! outlines set_up " +
	"lunch rinses accept_leftover weights contact"

// readShared reads what days of one outfit have in common.
func (r *reader) readShared(o object) {
	d := r.day
	d.Invented = o.at("invented").boolean()
	d.Outfit = o.at("outfit").text()
	d.Contact = list(o.at("contact"), cursor.text)
	d.Units = oneOf(o.at("units"), unit.US, unit.Metric)
	d.Start, d.End = o.at("start").clock(), o.at("end").clock()
	if d.End != 0 && d.End <= d.Start {
		o.at("end").fail("ends-before-start", "Write the end after the start, on the 24-hour clock.",
			"the day ends at %s and starts at %s", clockText(d.End), clockText(d.Start))
	}
	r.readYard(o.at("yard"))
	r.readTravel(o.at("travel"))
	d.FillPoints = list(o.at("fill_points"), r.readFillPoint)
	d.Products = list(o.at("products"), r.readProduct)
	d.Limits = r.readLimits(o.at("limits"))
	r.readRecord(o.at("record"))
	d.Applicators = list(o.at("applicators"), r.readApplicator)
	d.Operators = list(o.at("operators"), r.readOperator)
	d.Mixes = list(o.at("mixes"), r.readMix)
	r.checkFillPoints(o)
	d.Rinses = list(o.at("rinses"), r.readRinse)
	d.Trucks = list(o.at("trucks"), r.readTruck)
	r.checkFillTrucks()
	d.Lunch = readLunch(o.at("lunch"))
	d.Weights = readWeights(o.at("weights"))
	d.AcceptLeftover = o.at("accept_leftover").boolean()
	r.readOutlines(o.at("outlines"))
	r.setUpGiven = o.has("set_up")
}

func (r *reader) version(c cursor) bool {
	if c.node == nil {
		return true // reported as missing; the rest is read on the guess that it is this layout
	}
	if t := c.text(); t != "" && t != "1" {
		c.fail("file-version", "Write tankful: 1, the layout that this program reads.", "the file's layout is %q; layout %d is known", t, Version)
		return false
	}
	return true
}

// forms and surfaces are what the file may say.
var (
	forms = []label.Form{label.Liquid, label.Dry, label.Granule}

	surfaces = append([]geo.Surface{geo.Turf}, geo.LeftOut...)
)
