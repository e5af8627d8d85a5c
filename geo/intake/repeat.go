package intake

import (
	"bytes"
	"encoding/json"
)

// warnRepeated warns of members that an object writes more than once: readers differ on which of them counts
// (RFC 8259, The JavaScript Object Notation Data Interchange Format, 2017, section 4), so that
// another program may show another outline.
func (r *reader) warnRepeated(raw []byte, where string) {
	d := json.NewDecoder(bytes.NewReader(raw))
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return
	}
	seen := map[string]bool{}
	for d.More() {
		t, err := d.Token()
		key, ok := t.(string)
		if err != nil || !ok {
			return
		}
		if seen[key] {
			r.problems.Warnf("member-repeated", where, "Keep the one that is meant.",
				"the member %q is written more than once; the last one counts here, and other programs may take the first", clip(key))
		}
		seen[key] = true
		var skipped json.RawMessage
		if d.Decode(&skipped) != nil {
			return
		}
	}
}
