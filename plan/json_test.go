package plan_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"testing"

	"tankful/plan"
)

// checkJSON: the same day gives the same bytes, a plan read back writes the same bytes, the
// fingerprint is that of the plan without itself and its problems, and nothing is null.
// (Infinities and NaN have no JSON: Marshal refuses them.)
func checkJSON(t tb, d *plan.Day, p *plan.Plan) {
	t.Helper()
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatalf("write the plan: %v", err)
	}
	again, _ := plan.Make(d)
	if b2, _ := json.Marshal(again); !bytes.Equal(b, b2) || again.Fingerprint != p.Fingerprint {
		t.Errorf("the same day planned again differs: %s", difference(b, b2))
	}
	var back plan.Plan
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatalf("read the plan: %v", err)
	}
	if b2, err := json.Marshal(&back); err != nil || !bytes.Equal(b, b2) {
		t.Errorf("read back and written again (%v): %s", err, difference(b, b2))
	}
	back.Fingerprint, back.Problems = "", nil
	stops := [][]plan.StopPlan{back.Stops}
	if back.Rest != nil {
		stops = append(stops, back.Rest.Done)
	}
	for i := range back.LeftOut {
		stops = append(stops, []plan.StopPlan{back.LeftOut[i].Stop}) // its limits are shared
	}
	for _, list := range stops {
		for i := range list {
			for k := range list[i].Season.Limits { // places in a file are none of the plan's
				list[i].Season.Limits[k].Where = ""
			}
		}
	}
	bare, err := json.Marshal(&back)
	if err != nil {
		t.Fatalf("write the bare plan: %v", err)
	}
	if h := sha256.Sum256(bare); hex.EncodeToString(h[:5]) != p.Fingerprint {
		t.Errorf("fingerprint %s, recomputed %x", p.Fingerprint, h[:5])
	}
	if i := bytes.Index(b, []byte("null")); i >= 0 {
		t.Errorf("null in the JSON: %s", b[max(0, i-60):min(len(b), i+20)])
	}
}

// difference shows two texts where they part.
func difference(a, b []byte) string {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	from := max(0, i-60)
	return string(a[from:min(len(a), i+30)]) + "  |  " + string(b[min(from, len(b)):min(len(b), i+30)])
}

func TestFingerprintTellsPlansApart(t *testing.T) {
	d := oddDay()
	p, _ := plan.Make(d)
	d.Stops[0].Notes += "."
	q, _ := plan.Make(d)
	if p.Fingerprint == q.Fingerprint {
		t.Errorf("a changed note keeps the fingerprint %s", p.Fingerprint)
	}
}
