package server_test

import (
	"net/url"
	"strings"
	"testing"
)

// A lawn is taped, by hand: 90 ft x 50 ft = 4,500 sq ft, less a house of 50 ft x 25 ft = 1,250 sq ft: 3,250 sq ft. It is quoted by that; it cannot be planned; and once it
// is drawn the tape is held against the outlines.
func TestTape(t *testing.T) {
	o := newOffice(t)
	est, sales := o.with("estimator"), o.with("sales")
	const lines = "front: rectangle 90 ft x 50 ft\r\nless house: rectangle 50 ft x 25 ft"
	est.form("/properties", url.Values{"name": {"7 Tern Way"}}, 200)
	text := est.form("/properties/7-tern-way/tape", url.Values{"version": {"1"}, "tape": {lines}, "accuracy": {"0.5 ft"}}, 200)
	for _, want := range []string{"Saved: 3,250 sq ft by tape.", "less building", "1,250 sq ft", "3,250 sq ft"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page has no %q", want)
		}
	}
	var sum struct {
		Figures  []struct{ Label, Value, Note string }
		Lines    []struct{ Name, Working string }
		Problems []struct{ Code, Where string }
	}
	est.json("POST", "/api/tape", nil, map[string]string{"text": lines}, 200, &sum)
	if len(sum.Figures) != 3 || sum.Figures[0].Value != "3,250 sq ft" || sum.Figures[0].Note != "" || len(sum.Lines) != 2 || len(sum.Problems) != 1 || sum.Problems[0].Code != "overlap-unknown" {
		t.Errorf("%+v", sum)
	}
	est.json("POST", "/api/tape", nil, map[string]string{"text": "front: rectangle 90 x 50 ft\nback: blob 3 ft", "accuracy": "half a foot"}, 200, &sum)
	if len(sum.Figures) != 0 || len(sum.Problems) < 3 {
		t.Errorf("of three faults: %+v", sum)
	}
	if got := est.form("/properties/7-tern-way/tape", url.Values{"version": {"2"}, "tape": {"front: rectangle 90 x 50"}}, 422); !strings.Contains(got, "tape: line 1") {
		t.Errorf("a length without a unit: %.300s", got)
	}
	est.form("/properties/7-tern-way/tape", url.Values{"version": {"1"}, "tape": {lines}}, 412)

	// Sales quotes it by the area; nobody can plan it.
	var quotes []struct {
		ID    string
		Facts struct{ Net string }
	}
	sales.json("POST", "/api/quotes", nil, map[string]any{"properties": []string{"7-tern-way"}}, 201, &quotes)
	if len(quotes) != 1 || quotes[0].Facts.Net != "3,250 sq ft" {
		t.Fatalf("quoted: %+v", quotes)
	}
	if text := sales.get("/quotes/"+quotes[0].ID, 200); !strings.Contains(text, ">3,250</td>") || !strings.Contains(text, "was not measured from an outline") {
		t.Errorf("the quote has another area: %.6000s", text[strings.Index(text, "class=\"sheet\""):])
	}
	if text := sales.get("/quotes?words=tern", 200); !strings.Contains(text, "7 Tern Way") {
		t.Error("what was taped is not offered to be quoted")
	}
	_, said := o.owner.do("POST", "/api/plans", map[string]string{"Content-Type": "application/json"}, strings.NewReader(`{"date":"2026-04-20","stops":[{"property":"7-tern-way","mixes":["Feed and wetter"]}]}`), 200)
	if !strings.Contains(string(said), "7 Tern Way is measured by tape alone") {
		t.Errorf("planned: %s", said)
	}

	// 0.0003 by 0.0002 degrees on the equator, of which the ellipsoid makes 33.40 m x 22.11 m = 738.5 m2 = 7,949 sq ft: the tape has 59.1 % less.
	ring := `{"type":"Feature","properties":{"surface":"turf"},"geometry":{"type":"Polygon","coordinates":[[[10,0],[10.0003,0],[10.0003,0.0002],[10,0.0002],[10,0]]]}}`
	est.do("PUT", "/api/properties/7-tern-way", map[string]string{"If-Match": `"2"`, "Content-Type": "application/geo+json"}, strings.NewReader(`{"type":"FeatureCollection","features":[`+ring+`]}`), 200)
	if text := est.get("/properties/7-tern-way", 200); !strings.Contains(text, "59.1 % less than the outlines") || !strings.Contains(text, "7,950 sq ft") && !strings.Contains(text, "7,949 sq ft") {
		t.Errorf("drawn and taped: %s", text[strings.Index(text, `id="tape"`):][:400])
	}
	est.form("/properties/7-tern-way/tape", url.Values{"version": {"3"}, "tape": {" "}}, 200)
	if text := est.get("/properties/7-tern-way", 200); strings.Contains(text, "than the outlines") {
		t.Error("the tape is taken away and still there")
	}
}
