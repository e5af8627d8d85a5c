package main

import (
	"bytes"
	"maps"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// heading finds "module version" on the line under a rule in notices.txt.
var heading = regexp.MustCompile(`(?m)^={78}\n(\S+ v\S+)\nLicence: \S`)

// TestNoticesNameWhatIsLinked keeps notices.txt from going stale in either direction.
func TestNoticesNameWhatIsLinked(t *testing.T) {
	linked := linkedModules(t)
	named := map[string]bool{}
	for _, m := range heading.FindAllStringSubmatch(notices, -1) {
		named[m[1]] = true
	}
	for _, m := range slices.Sorted(maps.Keys(linked)) {
		if !named[m] {
			t.Errorf("%s is linked and not in notices.txt: run go run ./.ci/notices > cmd/tankful/notices.txt", m)
		}
	}
	for _, m := range slices.Sorted(maps.Keys(named)) {
		if !linked[m] {
			t.Errorf("%s is in notices.txt and not linked any more: run go run ./.ci/notices > cmd/tankful/notices.txt", m)
		}
	}
}

// linkedModules lists "module version" for every system that .ci/notices lists.
func linkedModules(t *testing.T) map[string]bool {
	t.Helper()
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("the go tool is not on the path: what is linked cannot be listed")
	}
	linked := map[string]bool{}
	for _, system := range []string{"linux", "darwin", "windows"} {
		cmd := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}{{end}}{{end}}", ".")
		cmd.Env = append(os.Environ(), "GOOS="+system, "GOARCH=amd64", "CGO_ENABLED=0", "GOFLAGS=-mod=readonly")
		var stderr bytes.Buffer
		cmd.Stderr = &stderr
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("go list for %s: %v\n%s", system, err, stderr.String())
		}
		for line := range strings.Lines(string(out)) {
			if m := strings.TrimSpace(line); m != "" {
				linked[m] = true
			}
		}
	}
	return linked
}

// TestNoticesHoldTheTerms looks for what the stricter licences ask to be shown.
func TestNoticesHoldTheTerms(t *testing.T) {
	if !strings.HasPrefix(notices, "Tankful is published under the MIT licence.") {
		t.Errorf("notices.txt begins %.60q, want our own licence first", notices)
	}
	for _, want := range []string{
		"Copyright (c) 2026 the Tankful authors",
		"GNU LESSER GENERAL PUBLIC LICENSE\n                       Version 2.1, February 1999",
		"NO WARRANTY", "END OF TERMS AND CONDITIONS",
		"go mod edit -replace github.com/benoitkugler/textprocessing=",
		"The FreeType Project LICENSE",
		"Eclipse Distribution License - v 1.0",
		"SIL OPEN FONT LICENSE Version 1.1",
		"Copyright (c) 2016 Bigelow & Holmes Inc.",
	} {
		if !strings.Contains(notices, want) {
			t.Errorf("notices.txt does not hold %q", want)
		}
	}
	if n := strings.Count(notices, "GNU LESSER GENERAL PUBLIC LICENSE\n"); n < 2 { // its title, and above its terms
		t.Errorf("the LGPL's two titles: got %d, want both", n)
	}
}
