package quote

import (
	"fmt"
	"strings"

	"github.com/govalues/decimal"
)

// Round rounds to so many places behind the point, a half away from zero (12.345 is 12.35, -12.345 is -12.35), as bills are written (common practice, no
// source). It is the only rounding of money.
func Round(m Money, places int) Money {
	half := decimal.MustNew(5, places+1)
	if m.IsNeg() {
		half = half.Neg()
	}
	return Add(m, half).Trunc(places).Pad(places)
}

// Ties is Round's rule in words, for quotes.
const Ties = "Each line is rounded once to the smallest coin, a half away from zero; sums add the lines."

// Add, Sub, Mul and Quo are the arithmetic of money. They fail only beyond 19 digits, which the bounds of what is read rule out, and Quo by zero: a
// failure is a fault of the program, and a panic.

// Add is a + b.
func Add(a, b Money) Money { return must(a.Add(b)) }

// Sub is a - b.
func Sub(a, b Money) Money { return must(a.Sub(b)) }

// Mul is a x b, b being a number or a share.
func Mul(a, b Money) Money { return must(a.Mul(b)) }

// Quo is a / b; b must not be zero.
func Quo(a, b Money) Money { return must(a.Quo(b)) }

func must(m Money, err error) Money {
	if err != nil {
		panic(fmt.Sprintf("quote: %v", err))
	}
	return m
}

// Print is an amount with the currency's digits and thousands apart: "1,234.50".
func (b *Book) Print(m Money) string {
	s := m.Pad(b.Places).String()
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign, s = "-", s[1:]
	}
	whole, frac, has := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if has {
		whole += "." + frac
	}
	return sign + whole
}

// Percent is a share as it is printed: "6.5 %".
func Percent(share Money) string {
	return Mul(share, decimal.MustNew(100, 0)).Trim(0).String() + " %"
}
