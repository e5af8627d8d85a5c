// Package quote prices work by the billable area.
//
// It knows price books: tiers and bands, set-up and minimum, material with its mark-up, programs of visits, discounts, tax; how an area is rounded before it is
// billed; and the sums of a quote, exact to the smallest coin. It leaves out how an area is measured, how much product and time a visit takes
// (plan), where a book is written (plan/dayfile), and dates but for printing them.
//
// Money is decimal and is rounded by Round alone. A line is rounded once, when it is made; sums add lines and are never rounded.
package quote

import (
	"github.com/govalues/decimal"

	"tankful/calc/unit"
)

// Money is an amount of the book's currency, in its main unit: 12.50.
type Money = decimal.Decimal

// Book is a price book.
type Book struct {
	// Code is the currency (ISO 4217), Places how many digits its smallest coin has behind the point.
	Code   string
	Places int
	Units  unit.System
	// Billing is how the measured area becomes the billable one.
	Billing   Billing
	Prices    []Price
	Programs  []Program
	Discounts []Discount
	Tax       Tax
}

// Billing rounds the net turf to whole steps.
type Billing struct {
	Step unit.Area // 0 with Exact
	Rule Rule
}

// Rule is how the billable area is rounded.
type Rule string

// The rules. At Nearest a half goes up.
const (
	Nearest Rule = "nearest"
	Up      Rule = "up"
	Exact   Rule = "none" // the net turf as it is printed
)

// Price is what one visit of a kind costs. It has Tiers or Bands.
type Price struct {
	Name string
	// Tiers: each tier's price holds for the ground within it, as income tax does. The last has no UpTo.
	Tiers []Tier
	// Bands: the price of the band in which the area lies holds for all of it, or is Flat. The last has no UpTo.
	Bands []Tier
	// SetUp is added to each visit; Minimum is the least that set-up and ground come to.
	SetUp, Minimum Money
	// MayFall says that the book means it when a larger area costs less.
	MayFall bool
	Where   string
}

// Tier is a price up to an area, that included; UpTo 0 is the rest. Of Flat and Each one is set: Each is per Per of ground.
type Tier struct {
	UpTo unit.Area
	Each Money
	Per  unit.Area
	Flat Money
	// IsFlat tells a flat price of zero from none.
	IsFlat bool
}

// Program is one of the options that a customer may choose: visits through the season.
type Program struct {
	Name   string
	Visits []Visit
	Where  string
}

// Visit is one visit of a program.
type Visit struct {
	Name string
	// When is what the customer reads, "early April"; From and Until are dates (ISO 8601), "" when not entered.
	When, From, Until string
	Price             string   // by name
	Mixes             []string // by name
	Material          bool     // product is charged beside the price
	For               string   // what it is for
	Where             string
}

// Discount is taken off the visits of a program, in the order of the book. Of Share and Amount one is set.
type Discount struct {
	Name   string
	Share  Money // of what is left then: 0.05 for 5 %
	Amount Money
	// Properties is the least number of properties quoted together for which it is given; 0 when it is asked for by name.
	Properties int
	Where      string
}

// Tax is laid on what is left after discounts; Rate 0 is none.
type Tax struct {
	Name string
	Rate Money // 0.065 for 6.5 %
	On   Taxed
}

// Taxed is what a tax is laid on.
type Taxed string

// What may be taxed.
const (
	OnAll      Taxed = "all"
	OnService  Taxed = "service"  // all but material
	OnMaterial Taxed = "material" // product alone
)

// Line is one line of a quote.
type Line struct {
	Text   string `json:"text"`
	Amount Money  `json:"amount"`
	// Material says that it is for product.
	Material bool `json:"material,omitempty"`
}

// Material is product that a visit takes, as it is printed, at what it is charged.
type Material struct {
	Text   string
	Amount Money // how much, in the unit of Each
	Each   Money // cost per unit
	MarkUp Money // 0.35 for 35 %
}

// Charge is what one visit costs.
type Charge struct {
	Lines []Line `json:"lines"`
	Sum   Money  `json:"sum"`
}

// Total is a program's price from its visits to what is paid.
type Total struct {
	Visits    Money  `json:"visits"`
	Discounts []Line `json:"discounts"` // negative
	Net       Money  `json:"net"`
	Taxable   Money  `json:"taxable"`
	Tax       Money  `json:"tax"`
	Pay       Money  `json:"total"`
}
