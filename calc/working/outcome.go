package working

import "tankful/calc/unit"

// Fact is one line of a result, as it is printed: "carrier rate", "2.05 gal/1000 sq ft (835 L/ha)".
type Fact struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Outcome is what every calculator gives: what it says in words and figures, and how that was worked out. Command, page and
// sheet print the same of it.
type Outcome interface {
	Facts(unit.System) []Fact
	Working(unit.System) Working
}
