// Package offer quotes properties: measured turf and a price book in, quotes out.
//
// It knows how a book's visits meet an outfit: the passes, amounts and minutes of a visit are those of plan.Make for that property alone. What
// the office sees of its own costs is kept apart from what the customer sees. It leaves out the arithmetic of prices (calc/quote), how a book is written
// (plan/dayfile), and paper (plan/sheet).
package offer

import (
	"tankful/calc/problem"
	"tankful/calc/quote"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

// Book is a price book with who offers, on what terms, and the outfit that does the work.
type Book struct {
	quote.Book
	Firm     Firm
	Invented bool
	// ValidDays is for how many days a quote holds from its date; ValidUntil a date (ISO 8601). One of them is set.
	ValidDays  int
	ValidUntil string
	Terms      []string
	Cautions   []string
	Products   []Product
	// Costs is nil when the book does not say what work costs the office: no cost is claimed then.
	Costs *Costs
	// Day is the outfit, a day without stops; nil when the book names none. Then mixes are names only, and there is neither material nor cost.
	Day *plan.Day
	// SetUp is what each visit takes besides the work, as the outfit's file says.
	SetUp unit.Time
	Where string
}

// Firm is who offers. What is "" is left blank on paper.
type Firm struct {
	Name        string `json:"name"`
	Address     string `json:"address,omitempty"`
	Telephone   string `json:"telephone,omitempty"`
	Licence     string `json:"licence,omitempty"`
	Certificate string `json:"certificate,omitempty"`
}

// Product is what a product of the outfit costs: Each per Unit as it is printed (a fl oz, a lb, a mL, a kg), and what is laid on it when it is charged.
type Product struct {
	Name   string
	Each   quote.Money
	MarkUp quote.Money
	Where  string
}

// Costs are what work costs the office.
type Costs struct {
	// Labour is for an hour of everybody aboard, Distance for a mile or a kilometre by the book's units, Fixed for each visit.
	Labour, Distance, Fixed quote.Money
	// DriveShare is how much of a drive from the yard and back for this property alone is counted: a day has many stops.
	DriveShare quote.Money
}

// Property is what is quoted. Site is nil where only an area is known.
type Property struct {
	ID, Name string
	Net      unit.Area
	Site     *geo.Site
	Where    string
}

// Quote is one property's quote. JSON is SI for areas; money is text with its digits.
type Quote struct {
	Property    string    `json:"property"`
	Name        string    `json:"name"`
	Net         unit.Area `json:"net_m2"`
	Billable    unit.Area `json:"billable_m2"`
	BillingText string    `json:"billing"`
	Options     []Option  `json:"options"`
	// Measure and Map are null where only an area is known.
	Measure *plan.Measure `json:"measure"`
	Map     *plan.Map     `json:"map"`
	// Changes are against an older quote.
	Changes  []Change     `json:"changes,omitempty"`
	Problems problem.List `json:"problems"`
}

// Option is a program with its price.
type Option struct {
	Name   string      `json:"name"`
	Visits []Visit     `json:"visits"`
	Total  quote.Total `json:"total"`
	Cost   *Cost       `json:"cost,omitempty"` // for the office only
}

// Visit is one visit of an option.
type Visit struct {
	Name   string       `json:"name"`
	When   string       `json:"when"`
	From   string       `json:"from,omitempty"`
	Until  string       `json:"until,omitempty"`
	For    string       `json:"for,omitempty"`
	Mixes  []Mix        `json:"mixes"`
	Charge quote.Charge `json:"charge"`
}

// Mix is a mix of a visit with its products, as the customer reads them.
type Mix struct {
	Name     string         `json:"name"`
	Products []MixedProduct `json:"products"`
}

// MixedProduct is a product with its rate and how much this property takes, as text, and what its label says.
type MixedProduct struct {
	Name         string   `json:"name"`
	Registration string   `json:"registration,omitempty"`
	Rate         string   `json:"rate,omitempty"`
	Amount       string   `json:"amount,omitempty"`
	KeepOff      string   `json:"keep_off,omitempty"`
	Cautions     []string `json:"cautions,omitempty"`
	Citation     string   `json:"citation,omitempty"`
}

// Cost is what an option costs the office, and what is left of its price before tax.
type Cost struct {
	Lines  []quote.Line `json:"lines"`
	Sum    quote.Money  `json:"sum"`
	Margin quote.Money  `json:"margin"`
	// Share is the margin of the price before tax, "38.2 %".
	Share string `json:"share"`
	// Work is the time on the property, Drive and Driven a drive for it alone.
	Work   unit.Time   `json:"work_s"`
	Fill   unit.Time   `json:"fill_s"`
	Drive  unit.Time   `json:"drive_s"`
	Driven unit.Length `json:"driven_m"`
}

// Change is what a quote says otherwise than an older one of the same property.
type Change struct {
	What string `json:"what"`
	Old  string `json:"old"`
	New  string `json:"new"`
}

// Quotes are the quotes of one run.
type Quotes struct {
	Layout      int         `json:"tankful_quotes"`
	Date        string      `json:"date"`
	ValidUntil  string      `json:"valid_until"`
	Firm        Firm        `json:"firm"`
	Invented    bool        `json:"invented"`
	Units       unit.System `json:"units"`
	Currency    string      `json:"currency"`
	Places      int         `json:"places"`
	Tax         string      `json:"tax,omitempty"`
	Terms       []string    `json:"terms"`
	Cautions    []string    `json:"cautions"`
	Fingerprint string      `json:"fingerprint"`
	Quotes      []Quote     `json:"quotes"`
	// Left are properties that could not be quoted; their problems say why.
	Left     []string     `json:"left"`
	Problems problem.List `json:"problems"`
}

// Layout is the layout of a file of quotes.
const Layout = 1
