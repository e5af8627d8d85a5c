// Command bundle makes the map's files in ../dist from src and the packages that package-lock.json names:
//
//	npm ci && go run .
//
// The same sources give the same bytes, so that a difference in dist is a difference in src.
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

const dist = "../dist"

func main() {
	if err := bundle(); err != nil {
		fmt.Fprintln(os.Stderr, "bundle:", err)
		os.Exit(1)
	}
}

func bundle() error {
	here, err := os.Getwd()
	if err != nil {
		return err
	}
	r := api.Build(api.BuildOptions{
		AbsWorkingDir:     here,
		EntryPoints:       []string{"src/map.js", "src/map.css"},
		Outdir:            dist,
		Bundle:            true,
		Format:            api.FormatESModule,
		Target:            api.ES2022,
		MinifyWhitespace:  true,
		MinifyIdentifiers: true,
		MinifySyntax:      true,
		LegalComments:     api.LegalCommentsNone, // NOTICES.txt has the licences whole
		Charset:           api.CharsetUTF8,
		Metafile:          true,
	})
	if len(r.Errors) > 0 {
		return errors.New(strings.Join(api.FormatMessages(r.Errors, api.FormatMessagesOptions{}), "\n"))
	}
	for _, w := range api.FormatMessages(r.Warnings, api.FormatMessagesOptions{Kind: api.WarningMessage}) {
		fmt.Fprintln(os.Stderr, w)
	}
	notices, err := notices(r.Metafile)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dist, 0o755); err != nil {
		return err
	}
	for _, f := range r.OutputFiles {
		if err := os.WriteFile(f.Path, f.Contents, 0o644); err != nil {
			return err
		}
		fmt.Println(filepath.Base(f.Path), len(f.Contents))
	}
	return os.WriteFile(filepath.Join(dist, "NOTICES.txt"), []byte(notices), 0o644)
}

// notices are the licences of the packages of which bytes went into the outputs, by name.
func notices(metafile string) (string, error) {
	var meta struct {
		Outputs map[string]struct {
			Inputs map[string]struct{ BytesInOutput int }
		}
	}
	if err := json.Unmarshal([]byte(metafile), &meta); err != nil {
		return "", err
	}
	used := map[string]bool{}
	for _, out := range meta.Outputs {
		for file, in := range out.Inputs {
			if p := packageOf(file); p != "" && in.BytesInOutput > 0 {
				used[p] = true
			}
		}
	}
	b := &strings.Builder{}
	b.WriteString("The browser map (map.js, map.css) contains code of these packages.\n")
	for _, p := range slices.Sorted(maps.Keys(used)) {
		if err := notice(b, p); err != nil {
			return "", fmt.Errorf("%s: %w", p, err)
		}
	}
	return b.String(), nil
}

// packageOf is the folder of a file's package, "" for a file of our own.
func packageOf(file string) string {
	const modules = "node_modules/"
	i := strings.LastIndex(file, modules)
	if i < 0 {
		return ""
	}
	parts := strings.Split(file[i+len(modules):], "/")
	n := 1
	if strings.HasPrefix(parts[0], "@") {
		n = 2
	}
	return file[:i] + modules + strings.Join(parts[:n], "/")
}

func notice(b *strings.Builder, folder string) error {
	data, err := os.ReadFile(filepath.Join(folder, "package.json"))
	if err != nil {
		return err
	}
	var p struct{ Name, Version, License string }
	if err := json.Unmarshal(data, &p); err != nil {
		return err
	}
	entries, err := os.ReadDir(folder) // in the order of their names
	if err != nil {
		return err
	}
	found := false
	for _, e := range entries {
		name := strings.ToUpper(e.Name())
		if e.IsDir() || !strings.HasPrefix(name, "LICEN") && !strings.HasPrefix(name, "COPYING") && !strings.HasPrefix(name, "NOTICE") {
			continue
		}
		text, err := os.ReadFile(filepath.Join(folder, e.Name()))
		if err != nil {
			return err
		}
		if !found {
			fmt.Fprintf(b, "\n%s\n%s %s (%s)\n", strings.Repeat("-", 72), p.Name, p.Version, p.License)
		}
		found = true
		fmt.Fprintf(b, "\n%s\n", strings.TrimSpace(strings.ReplaceAll(string(text), "\r\n", "\n")))
	}
	if !found {
		return errors.New("no licence text; it may not be given on without one")
	}
	return nil
}
