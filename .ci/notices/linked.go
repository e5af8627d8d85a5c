package main

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"
)

// The systems that tankful is built for; each links some module that another does not.
var systems = []string{"linux", "darwin", "windows"}

// A module is one linked module with the folders of its linked packages.
type module struct {
	path, version, dir string
	packages           []string
}

// A text is a licence text and the name of the file that it stands in.
type text struct{ name, body string }

// linked lists the modules that packages link on any of the systems, by path.
func linked(packages []string) ([]*module, error) {
	const format = "{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}\t{{$.Dir}}{{end}}{{end}}"
	found := map[string]*module{}
	for _, system := range systems {
		cmd := exec.Command("go", append([]string{"list", "-deps", "-f", format}, packages...)...)
		cmd.Env = append(os.Environ(), "GOOS="+system, "GOARCH=amd64", "CGO_ENABLED=0", "GOFLAGS=-mod=readonly")
		cmd.Stderr = os.Stderr
		out, err := cmd.Output()
		if err != nil {
			return nil, fmt.Errorf("list the modules linked on %s: %w", system, err)
		}
		for line := range strings.Lines(string(out)) {
			f := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
			if len(f) != 4 {
				continue
			}
			m := found[f[0]]
			if m == nil {
				m = &module{path: f[0], version: f[1], dir: f[2]}
				found[f[0]] = m
			}
			if !slices.Contains(m.packages, f[3]) {
				m.packages = append(m.packages, f[3])
			}
		}
	}
	byPath := func(a, b *module) int { return strings.Compare(a.path, b.path) }
	return slices.SortedFunc(maps.Values(found), byPath), nil
}

// texts gives every licence text of the module: in its root, in the folders of its linked
// packages and between the two, and what s adds.
func (m *module) texts(s exception) ([]text, error) {
	folders := map[string]bool{m.dir: true}
	for _, p := range m.packages {
		for ; len(p) > len(m.dir); p = filepath.Dir(p) {
			folders[p] = true
		}
	}
	var all []text
	for _, folder := range slices.Sorted(maps.Keys(folders)) {
		entries, err := os.ReadDir(folder)
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			name, err := filepath.Rel(m.dir, filepath.Join(folder, e.Name()))
			if err != nil {
				return nil, err
			}
			name = filepath.ToSlash(name)
			if e.IsDir() || !isLicence(e.Name()) || slices.Contains(s.omit, name) {
				continue
			}
			body, err := read(m.dir, name)
			if err != nil {
				return nil, err
			}
			all = append(all, text{name, body})
		}
	}
	for _, add := range s.add {
		t, err := add(m)
		if err != nil {
			return nil, err
		}
		all = append(all, t)
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("no licence text in its folders: add it to special.go")
	}
	return all, nil
}

// isLicence tells whether a file of that name holds a licence.
func isLicence(name string) bool {
	name = strings.ToUpper(name)
	if strings.HasSuffix(name, ".GO") {
		return false
	}
	for _, word := range []string{"LICENSE", "LICENCE", "COPYING", "NOTICE", "PATENTS", "COPYRIGHT"} {
		if strings.Contains(name, word) {
			return true
		}
	}
	return false
}

// licenceName tells the licences of the texts apart by phrases that only they have. A
// text that it does not know is an error, so that a new licence is read by a person once.
func licenceName(texts []text) (string, error) {
	known := []struct{ phrase, name string }{
		{"Apache License Version 2.0", "Apache-2.0"},
		{"Permission is hereby granted, free of charge", "MIT"},
		{"either the name", "BSD-3-Clause"}, // before the two-clause text, which it contains
		{"Redistribution and use in source and binary forms", "BSD-2-Clause"},
		{"Additional IP Rights Grant (Patents)", ""},     // goes with a licence, is none
		{"This product includes software developed", ""}, // a notice of the Apache licence
	}
	var names []string
	for _, t := range texts {
		body := strings.Join(strings.Fields(strings.ReplaceAll(t.body, "//", " ")), " ")
		i := slices.IndexFunc(known, func(k struct{ phrase, name string }) bool { return strings.Contains(body, k.phrase) })
		if i < 0 {
			return "", fmt.Errorf("%s holds a licence that is not known here: add it to special.go", t.name)
		}
		if n := known[i].name; n != "" && !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return strings.Join(names, " and "), nil
}

// read gives a file as UTF-8 without trailing spaces, carriage returns and form feeds;
// old licence files are in Latin-1.
func read(dir, name string) (string, error) {
	b, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		return "", err
	}
	if !utf8.Valid(b) {
		var latin bytes.Buffer
		for _, c := range b {
			latin.WriteRune(rune(c))
		}
		b = latin.Bytes()
	}
	var lines []string
	for line := range strings.Lines(strings.TrimPrefix(string(b), "\ufeff")) {
		lines = append(lines, strings.TrimRight(strings.ReplaceAll(line, "\f", ""), " \t\r\n"))
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n"), nil
}

// goroot is where the Go tool keeps the standard library.
func goroot() (string, error) {
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return "", fmt.Errorf("ask for GOROOT: %w", err)
	}
	return strings.TrimSpace(string(out)), nil
}
