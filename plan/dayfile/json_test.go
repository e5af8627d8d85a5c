package dayfile

import (
	"bytes"
	"encoding/json"
	"reflect"
	"regexp"
	"testing"

	"github.com/goccy/go-yaml"

	"tankful/plan"
)

var whereIs = regexp.MustCompile(`\.yaml:[0-9]+(:[0-9]+)?`)

// withoutLines is a day without the numbers of lines.
func withoutLines(t *testing.T, d *plan.Day) string {
	t.Helper()
	bare := *d
	for i := range bare.Stops { // a site holds geometry that no JSON says
		bare.Stops[i].Site = nil
	}
	bare.Travel.Speeds = nil
	b, err := json.Marshal(bare)
	if err != nil {
		t.Fatal(err)
	}
	return whereIs.ReplaceAllString(string(b), ".yaml")
}

// JSON is YAML: a day file that a program writes with quotes round every key is the day that a person writes without.
func TestJSONIsTheSameDay(t *testing.T) {
	for name, text := range map[string]string{"small": small, "whole": whole, "granules": spreading} {
		a, found := parseWhole(text)
		if found.HasErrors() {
			t.Fatal(found)
		}
		quoted, err := yaml.YAMLToJSON([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		var pretty bytes.Buffer
		if err := json.Indent(&pretty, quoted, "", "  "); err != nil {
			t.Fatal(err)
		}
		for _, j := range []string{string(quoted), pretty.String()} {
			b, told := parseWhole(j)
			if told.HasErrors() || len(told) != len(found) {
				t.Errorf("%s as JSON: %v, as YAML %v", name, told, found)
				continue
			}
			if len(a.Stops) != len(b.Stops) || !reflect.DeepEqual(a.Travel.Speeds, b.Travel.Speeds) {
				t.Errorf("%s: %d stops as JSON, %d as YAML", name, len(b.Stops), len(a.Stops))
			}
			if x, y := withoutLines(t, a), withoutLines(t, b); x != y {
				t.Errorf("%s: as JSON\n%s\nas YAML\n%s", name, y, x)
			}
		}
	}
}
