package label

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"tankful/calc/unit"
)

// Text prints the share in per cent with up to four decimals: "18 %", "0.4 %".
func (s Share) Text() string {
	x := float64(s) * 100
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'f', -1, 64) + " %"
	}
	t := unit.Number(x, 4)
	if strings.Contains(t, ".") {
		t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	return t + " %"
}

// ParseShare reads a per cent of the weight, "18 %" or "0.4%", from 0 to 100. A number without the
// sign is refused: 0.18 could be meant as a share.
func ParseShare(text string) (Share, error) {
	fail := func(why string) (Share, error) {
		return 0, &unit.ParseError{Text: text, Want: "per cent", Why: why, Try: "18 %"}
	}
	number, ok := strings.CutSuffix(strings.TrimSpace(text), "%")
	if !ok {
		if _, err := strconv.ParseFloat(number, 64); err == nil {
			return fail("the unit is missing")
		}
		return fail("it does not end in %")
	}
	x, err := percent(number)
	if err != nil {
		return fail(err.Error())
	}
	return x, nil
}

// percent reads a plain number of per cent.
func percent(text string) (Share, error) {
	text = strings.TrimSpace(text)
	if strings.ContainsAny(text, "xXpP_nN") { // hexadecimal, NaN and inf are no per cents
		return 0, fmt.Errorf("%q is not a number", text)
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is not a number", text)
	}
	if !(x >= 0 && x <= 100) {
		return 0, fmt.Errorf("%s %% is not from 0 to 100 %%", text)
	}
	return Share(x / 100), nil
}

// ParseGrade reads the three figures of a bag, "18-0-4": N, P2O5 and K2O in per cent of the weight. The
// rest of the Analysis is left empty.
func ParseGrade(text string) (Analysis, error) {
	parts := strings.Split(strings.TrimSpace(text), "-")
	fail := func(why string) (Analysis, error) {
		return Analysis{}, &unit.ParseError{Text: text, Want: "grade", Why: why, Try: "18-0-4"}
	}
	if len(parts) != 3 {
		return fail("it has not three figures, N-P2O5-K2O")
	}
	var shares [3]Share
	for i, p := range parts {
		s, err := percent(p)
		if err != nil {
			return fail(err.Error())
		}
		shares[i] = s
	}
	if shares[0]+shares[1]+shares[2] > 1+1e-9 {
		return fail("its figures come to more than 100 %")
	}
	return Analysis{N: shares[0], P2O5: shares[1], K2O: shares[2]}, nil
}

// Grade prints the three figures of a bag: "18-0-4".
func (a Analysis) Grade() string {
	bare := func(s Share) string { return strings.TrimSuffix(s.Text(), " %") }
	return bare(a.N) + "-" + bare(a.P2O5) + "-" + bare(a.K2O)
}
