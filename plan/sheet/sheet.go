// Package sheet turns a Plan into what a crew carries: a load page for the truck and a page
// for each stop, as plain data.
//
// It knows the wording, the order of the blocks, and how every figure of the plan is
// printed; Document.Text gives all of it without drawing. It leaves out fonts, paper
// coordinates and page breaks (plan/sheet/draw), and computes no amount: figures come from
// the plan and are only looked up and formatted.
package sheet

import (
	"fmt"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
)

// Document is everything printed for one truck on one day.
type Document struct {
	Title       string
	Date        string // ISO 8601, as in the plan
	Fingerprint string // of the plan
	// What the fingerprint is of: "" for a plan, "quote" for quotes.
	What  string
	Paper Paper
	// Invented asks for a large mark on every page that the data is made up.
	Invented bool
	// Pages are in the order of use: the load page, then the stops as visited. A page that does
	// not fit on one sheet of paper continues on the next.
	Pages []Page
}

// Paper is a size of paper, upright.
type Paper string

// The papers: Letter for US units, A4 for metric ones.
const (
	Letter Paper = "letter"
	A4     Paper = "a4"
)

// Size is width and height: 8.5 x 11 in, or 210 x 297 mm (ISO 216).
func (p Paper) Size() (w, h unit.Length) {
	if p == A4 {
		return 210 * unit.Millimetre, 297 * unit.Millimetre
	}
	return 8.5 * unit.Inch, 11 * unit.Inch
}

// Page is one subject: the loads, or one stop.
type Page struct {
	Title    string
	Subtitle string
	// Stop is the visit number, 0 on the load page.
	Stop int
	// Link is the address of the same page on a server, drawn as a QR code; "" for none.
	Link   string
	Blocks []Block
}

// Block is one of the types below that have a block method; there are no others.
type Block interface{ block() }

// Heading opens a part of a page. Together asks that everything up to the next heading stay
// on one sheet of paper when it fits on one.
type Heading struct {
	Text     string
	Together bool
}

// Style is the weight of a Text.
type Style int

// The styles, from body text on.
const (
	Plain Style = iota
	Strong
	Small  // working, sources
	Warned // boxed: must be seen
	Huge   // white on black: to be read from the kerb
)

// Text is a paragraph.
type Text struct {
	Text  string
	Style Style
}

// Align is how a column stands.
type Align int

// The alignments.
const (
	Left Align = iota
	Right
)

// Column is a column of a Table.
type Column struct {
	Head  string
	Align Align
	// Blank is a column to write in: its cells are left empty, but for those with a text, and it is at least as wide as a gauge reading by hand.
	Blank bool
}

// Row is a row of a Table: a cell for each column.
type Row struct {
	Cells []string
	Bold  bool
}

// Table is rows under column heads. Across is how many times the columns stand side by
// side, rows running down the first set, then the next (0 is 1). Fine asks for small print, Tall for rows in which a
// carpenter's pencil can write.
type Table struct {
	Columns []Column
	Rows    []Row
	Across  int
	Fine    bool
	Tall    bool
}

// Figure is one large number with what it is.
type Figure struct{ Label, Value string }

// Figures are large numbers in a row of boxes.
type Figures struct{ Items []Figure }

// Step is one thing to do: Text, then a large Amount, then Note in small print.
type Step struct{ Text, Amount, Note string }

// Steps are things to do in order, each with a box to tick.
type Steps struct{ Items []Step }

// Fact is a label and its value.
type Fact struct{ Label, Value string }

// Facts are labelled values, as many beside each other as fit.
type Facts struct{ Items []Fact }

// Field is a blank to fill in by hand. Wide is how many of the four columns it takes, 1 to 4.
type Field struct {
	Label string
	Wide  int
}

// Fields are blanks high enough for a carpenter's pencil.
type Fields struct{ Items []Field }

// Beside is two blocks side by side; Share is the left one's part of the width, 0 to 1.
type Beside struct {
	Left, Right []Block
	Share       float64
}

// Break starts a new sheet of paper.
type Break struct{}

// Map is a stop's ground and passes in metres east and north of its origin, north up.
type Map struct {
	Units unit.System
	// Turf is what is treated, holes cut out.
	Turf    *geom.MultiPolygon
	LeftOut []Ground
	Swath   unit.Length
	// Spread says that granules go on: there is no spraying.
	Spread bool
	Passes []MapPass
	Marks  []Mark
	// Edges are the main edges of the turf with their lengths; Zones its parts, where there is more than one. Hose is how long the hose is, 0 where it is not
	// known or reaches all turf.
	Edges []Edge
	Zones []ZoneGround
	Hose  unit.Length
	// Scales are the scales to choose from, 300 for 1:300, ascending: the first that fits is taken.
	Scales []int
	// High is the most height that it may take on paper with its legend, 0 for all there is.
	High unit.Length
}

// Ground is left-out ground of one surface.
type Ground struct {
	Surface geo.Surface
	Label   string
	Shape   *geom.MultiPolygon
}

// ZoneGround is the ground of a zone with its name.
type ZoneGround struct {
	Name  string
	Shape *geom.MultiPolygon
}

// MapPass is a pass as it is walked.
type MapPass struct {
	N            int
	TouchUp, Lap bool
	// Beyond says that the hose does not reach all of it.
	Beyond bool
	Line   []geom.Coord
	// Off is where the gun is off, from and to along Line. Way is the walk from the pass before, nil where it is a step aside.
	Off [][2]unit.Length
	Way []geom.Coord
}

// Label is what stands at the beginning of a pass: "7", "LAP 1", "9!" where the hose does not reach.
func (p *MapPass) Label() string {
	s := fmt.Sprint(p.N)
	if p.Lap {
		s = "LAP " + s
	}
	if p.Beyond {
		s += "!"
	}
	return s
}

// MarkKind is what a Mark stands for.
type MarkKind string

// The marks.
const (
	AtStart    MarkKind = "start"
	AtTruck    MarkKind = "truck"
	TankChange MarkKind = "tank change"
)

// Mark is a point on a map with a short text.
type Mark struct {
	Kind MarkKind
	At   geom.Coord
	Text string
}

func (Heading) block() {}
func (Text) block()    {}
func (Table) block()   {}
func (Figures) block() {}
func (Steps) block()   {}
func (Facts) block()   {}
func (Fields) block()  {}
func (Beside) block()  {}
func (Break) block()   {}
func (Map) block()     {}

// Number is what tells two prints of the same thing to be the same: "plan fd13e3e42e".
func (d *Document) Number() string {
	if d.What == "" {
		return "plan " + d.Fingerprint
	}
	return d.What + " " + d.Fingerprint
}
