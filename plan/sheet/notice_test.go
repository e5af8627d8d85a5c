package sheet

import (
	"strings"
	"testing"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/sheet/sheettest"
)

func notice(t *testing.T, p *plan.Plan, done ...plan.Applied) string {
	t.Helper()
	d, err := Notices(p, "T1", Options{Property: "P-01"}, done)
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Pages) != 1 {
		t.Fatalf("%d pages for one property", len(d.Pages))
	}
	return d.Text()
}

// Before the work a notice says what is planned and leaves the rest to be written; figures as worked by hand beside sheettest.Plan.
func TestNoticeBefore(t *testing.T) {
	text := notice(t, sheettest.Plan())
	for _, want := range []string{"Notice of application, planned: Corner lot", "KEEP OFF THE GRASS", "People and pets stay off until the spray has dried.", "240.0 fl oz", "30.00 lb", "INV-75", "INV-6",
		"Applied by: Sam Example", "Licence no.: EX-1234", "Began: ______", "Finished: ______", "Wind: ______", "Air temperature: ______", "Keep off until (day, time): ______", "Signature: ______", "Telephone: ______",
		"The product label is the law", "Read the label of Example granule 75 WG"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing from\n%s", want, text)
		}
	}
}

// After the work what was entered stands there, and what was not stays blank.
func TestNoticeAfter(t *testing.T) {
	p := sheettest.Plan()
	p.Contact = []string{"Call the invented office", "between nine and five"}
	text := notice(t, p, plan.Applied{Property: "P-01", Date: "2027-04-13", Began: 8*unit.Hour + 5*unit.Minute, Applicator: "Kim Invented", WindFrom: "NW", Remarks: "Gate was open",
		Products: []plan.LoadProduct{{Name: "Example granule 75 WG", Amount: label.Amount{Dry: 31 * unit.Pound}}}})
	for _, want := range []string{"Notice of application: Corner lot", "2027-04-13", "31.00 lb", "planned 0.75 lb per 1000 sq ft", "240.0 fl oz", "Began: 8:05 am", "Finished: ______", "Applied by: Kim Invented",
		"Licence no.: ______", "Wind: from NW", "Remarks: Gate was open", "Call the invented office", "between nine and five"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing from\n%s", want, text)
		}
	}
	for _, never := range []string{"planned: Corner", "30.00 lb", "EX-1234", "Telephone: ______", "0.0 mph"} { // the licence is another person's
		if strings.Contains(text, never) {
			t.Errorf("%q is there", never)
		}
	}
}

func TestNoticeErrors(t *testing.T) {
	if _, err := Notices(sheettest.Plan(), "T1", Options{Property: "P-99"}, nil); err == nil {
		t.Error("a notice for a property that is not there")
	}
	if _, err := Notices(sheettest.Plan(), "T9", Options{}, nil); err == nil {
		t.Error("notices of a truck that is not there")
	}
	if _, err := Notices(sheettest.Plan(), "T1", Options{Paper: "legal"}, nil); err == nil {
		t.Error("notices on paper that there is not")
	}
}
