// Command bundle puts the map page's script and OpenLayers into web/dist, for those who change them:
//
//	npm ci && go run .
//
// What comes out is committed, the same bytes from the same sources; a program that is built from the repository needs neither npm nor this.
package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

const out = "../dist"

func main() {
	if err := build(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func build() error {
	r := api.Build(api.BuildOptions{EntryPoints: []string{"src/map.js", "src/map.css"}, Bundle: true, Format: api.FormatESModule, Target: api.ES2022, MinifySyntax: true, MinifyWhitespace: true, MinifyIdentifiers: true,
		LegalComments: api.LegalCommentsNone, Metafile: true, Write: true, Outdir: out, LogLevel: api.LogLevelWarning, Charset: api.CharsetUTF8})
	if len(r.Errors) > 0 {
		return fmt.Errorf("%d errors", len(r.Errors))
	}
	return notices(r.Metafile)
}

// notices writes the licences of the packages that went in.
func notices(metafile string) error {
	var meta struct {
		Inputs map[string]any `json:"inputs"`
	}
	if err := json.Unmarshal([]byte(metafile), &meta); err != nil {
		return err
	}
	var names []string
	for input := range meta.Inputs {
		_, rest, ok := strings.Cut(input, "node_modules/")
		if !ok {
			continue
		}
		parts := strings.Split(rest, "/")
		name := parts[0]
		if strings.HasPrefix(name, "@") {
			name += "/" + parts[1]
		}
		names = append(names, name)
	}
	slices.Sort(names)
	text := "The map page's script holds these packages.\n"
	for _, name := range slices.Compact(names) {
		licence, err := licenceOf(filepath.Join("node_modules", filepath.FromSlash(name)))
		if err != nil {
			return err
		}
		text += "\n==== " + name + "\n\n" + licence
	}
	return os.WriteFile(filepath.Join(out, "NOTICES.txt"), []byte(text), 0o644)
}

func licenceOf(dir string) (string, error) {
	files, err := os.ReadDir(dir)
	if err != nil {
		return "", err
	}
	for _, f := range files {
		if strings.HasPrefix(strings.ToLower(f.Name()), "licen") {
			b, err := os.ReadFile(filepath.Join(dir, f.Name()))
			return string(b), err
		}
	}
	return "", fmt.Errorf("%s has no licence", dir)
}
