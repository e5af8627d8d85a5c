package unit

import (
	"errors"
	"regexp"
	"strings"
)

// Nutrient is what a weight of fertilizer is counted as. A bag's three figures are N, P2O5 and
// K2O; soil reports and some local limits count elemental P and K. The zero value is none.
type Nutrient string

// The nutrients.
const (
	N    Nutrient = "N"
	P2O5 Nutrient = "P2O5"
	K2O  Nutrient = "K2O"
	P    Nutrient = "P"
	K    Nutrient = "K"
)

// Weights of the element in its oxide: P = 0.4365 x P2O5, K = 0.8301 x K2O (Conversion Factors
// Needed for Common Fertilizer Calculations, SPES-201NP, Table 1, Virginia Cooperative
// Extension). The way back divides by the same figure, so that there and back is the same amount; the table's
// own factors for it are 2.2910, which agrees to 0.003 %, and 1.2051, which is 0.04 % more.
const (
	phosphorusInP2O5 = 0.4365
	potassiumInK2O   = 0.8301
)

// The trade's round figures for the same, 0.44 and 0.83 (How Much Phosphorus and Potassium are
// Really in Your Fertilizer?, Penn State Extension, 2022). They are named, never reckoned with.
const (
	roundPhosphorus = 0.44
	roundPotassium  = 0.83
)

// ParseNutrientName reads the name of a nutrient: N, P2O5, K2O, P, K, in any case, or nitrogen,
// phosphate (P2O5) and potash (K2O). "Phosphorus" and "potassium" are refused, because a
// bag's figure by that name is often the oxide; the error is a *ParseError.
func ParseNutrientName(text string) (Nutrient, error) {
	switch strings.ToLower(plain(text)) {
	case "n", "nitrogen":
		return N, nil
	case "p2o5", "phosphate":
		return P2O5, nil
	case "k2o", "potash":
		return K2O, nil
	case "p":
		return P, nil
	case "k":
		return K, nil
	case "phosphorus":
		return "", &ParseError{text, "nutrient", `it could be the element or the oxide on the bag: write "P" or "P2O5"`, "P2O5"}
	case "potassium":
		return "", &ParseError{text, "nutrient", `it could be the element or the oxide on the bag: write "K" or "K2O"`, "K2O"}
	}
	return "", &ParseError{text, "nutrient", "it is none of N, P2O5, K2O, P and K", "P2O5"}
}

// Other is the form that the same nutrient is also counted in: P of P2O5, K2O of K; "" of N.
func (n Nutrient) Other() Nutrient {
	return map[Nutrient]Nutrient{P2O5: P, P: P2O5, K2O: K, K: K2O}[n]
}

// Share is the weight of the element in a weight of its oxide, by the published factor and by the
// trade's round one; both are 1 for N, which has no other form.
func (n Nutrient) Share() (published, round float64) {
	switch n {
	case P, P2O5:
		return phosphorusInP2O5, roundPhosphorus
	case K, K2O:
		return potassiumInK2O, roundPotassium
	}
	return 1, 1
}

// IsOxide tells whether n is P2O5 or K2O.
func (n Nutrient) IsOxide() bool { return n == P2O5 || n == K2O }

// As is the factor that turns a weight of n into the weight of to; false where they are not two
// forms of one nutrient. 125 lb P2O5 x P2O5.As(P) is 54.6 lb P.
func (n Nutrient) As(to Nutrient) (float64, bool) {
	share, _ := n.Share()
	switch {
	case n == to && n != "":
		return 1, true
	case n == "" || n.Other() != to || to == "":
		return 0, false
	case n.IsOxide():
		return share, true
	}
	return 1 / share, true
}

// nutrientWordRE finds a nutrient behind a unit, before the line of a rate or at the end.
var nutrientWordRE = regexp.MustCompile(`(?i) (?:of )?(actual )?(n|p2o5|k2o|p|k|nitrogen|phosphate|phosphorus|potash|potassium)( ?/| per |$)`)

// CutNutrient takes the nutrient out of a text: "0.75 lb N/M" is N and "0.75 lb/M", "kg P" is P
// and "kg". A text without one comes back as it is, with "". The error is a *ParseError.
func CutNutrient(text string) (Nutrient, string, error) {
	t := plain(text)
	m := nutrientWordRE.FindStringSubmatchIndex(" " + t)
	if m == nil {
		return "", text, nil
	}
	s := " " + t
	n, err := ParseNutrientName(s[m[4]:m[5]])
	if err != nil {
		return "", "", &ParseError{text, "nutrient", err.(*ParseError).Why, "0.75 lb N/1000 sq ft"}
	}
	rest := s[:m[0]] + s[m[6]:]
	if nutrientWordRE.MatchString(rest) {
		return "", "", &ParseError{text, "nutrient", "it names two nutrients", "0.75 lb N/1000 sq ft"}
	}
	return n, strings.TrimSpace(rest), nil
}

// ParseNutrient reads a weight of a nutrient, per area or per volume too: "125 lb P2O5",
// "0.75 lb N/M", "2.98 lb N/gal". The quantity is a Mass, a MassPerArea or a Density, of the
// nutrient and not of a product. The error is a *ParseError.
func ParseNutrient(text string) (Nutrient, Quantity, error) {
	n, rest, err := CutNutrient(text)
	if err != nil {
		return "", nil, err
	}
	if n == "" {
		return "", nil, &ParseError{text, "weight of a nutrient", "it names no nutrient: N, P2O5, K2O, P or K", "0.75 lb N/1000 sq ft"}
	}
	q, err := Parse(rest)
	var e *ParseError
	if errors.As(err, &e) {
		return "", nil, &ParseError{text, "weight of a nutrient", e.Why, "0.75 lb N/1000 sq ft"}
	}
	switch q.(type) {
	case Mass, MassPerArea, Density:
		return n, q, nil
	}
	return "", nil, &ParseError{text, "weight of a nutrient", "it is " + article(string(q.Kind())), "0.75 lb N/1000 sq ft"}
}

// ParseNutrientRate reads a rate of a nutrient, such as "0.75 lb N/M". ParseMassPerArea refuses
// the same text: 0.75 lb of nitrogen is 3 lb of a product with 25 %, and one must not pass for the other. The
// error is a *ParseError.
func ParseNutrientRate(text string) (Nutrient, MassPerArea, error) {
	n, q, err := ParseNutrient(text)
	if err != nil {
		return "", 0, err
	}
	r, ok := q.(MassPerArea)
	if !ok {
		return "", 0, &ParseError{text, "rate of a nutrient", "it is " + article(string(q.Kind())), "0.75 lb N/1000 sq ft"}
	}
	return n, r, nil
}
