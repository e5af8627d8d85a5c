// Command notices writes the licences of everything that is linked into tankful.
//
// It knows how to list the linked modules on every system that we build for and where a
// licence hides when it is not in a file called LICENSE. It leaves out tests and tools:
// what is not linked is not passed on.
//
// Usage, from anywhere in the module:
//
//	go run ./.ci/notices > cmd/tankful/notices.txt
//	go run ./.ci/notices PACKAGE...   # for other packages than ./cmd/tankful
package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

func main() {
	packages := os.Args[1:]
	if len(packages) == 0 {
		packages = []string{"./cmd/tankful"}
	}
	text, err := notices(packages)
	if err != nil {
		fmt.Fprintln(os.Stderr, "notices:", err)
		os.Exit(1)
	}
	os.Stdout.Write(text)
}

// notices gives the whole file. The same packages and go.sum give the same bytes on every machine.
func notices(packages []string) ([]byte, error) {
	mods, err := linked(packages)
	if err != nil {
		return nil, err
	}
	goroot, err := goroot()
	if err != nil {
		return nil, err
	}
	std, err := read(goroot, "LICENSE")
	if err != nil {
		return nil, fmt.Errorf("read the Go licence: %w", err)
	}
	var b bytes.Buffer
	b.WriteString(ours)
	printed := map[string]string{} // text without its spaces, to the module that has shown it
	section(&b, "Go standard library and runtime", "BSD-3-Clause", "", []text{{"LICENSE", std}}, printed)
	for _, m := range mods {
		s := special[m.path]
		texts, err := m.texts(s)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", m.path, err)
		}
		name := s.licence
		if name == "" {
			if name, err = licenceName(texts); err != nil {
				return nil, fmt.Errorf("%s: %w", m.path, err)
			}
		}
		section(&b, m.path+" "+m.version, name, s.note, texts, printed)
	}
	root, err := moduleRoot()
	if err != nil {
		return nil, err
	}
	scripts, err := read(root, "server/web/dist/NOTICES.txt")
	if err != nil {
		return nil, fmt.Errorf("read the licences of the map's script: %w", err)
	}
	section(&b, "the script of the map page", "see below", "", []text{{"NOTICES.txt", scripts}}, printed)
	return b.Bytes(), nil
}

// section writes one module. A text that stands above already is pointed at.
func section(b *bytes.Buffer, title, licence, note string, texts []text, printed map[string]string) {
	fmt.Fprintf(b, "\n%s\n%s\nLicence: %s\n", strings.Repeat("=", 78), title, licence)
	if note != "" {
		fmt.Fprintf(b, "\n%s\n", strings.TrimSpace(note))
	}
	for _, t := range texts {
		key := strings.Join(strings.Fields(t.body), " ")
		if above, ok := printed[key]; ok {
			fmt.Fprintf(b, "\n--- %s: word for word the text above under %s\n", t.name, above)
			continue
		}
		printed[key] = title
		fmt.Fprintf(b, "\n--- %s\n\n%s\n", t.name, t.body)
	}
}

// moduleRoot is the folder of our go.mod.
func moduleRoot() (string, error) {
	out, err := exec.Command("go", "env", "GOMOD").Output()
	if err != nil {
		return "", fmt.Errorf("go env GOMOD: %w", err)
	}
	return filepath.Dir(strings.TrimSpace(string(out))), nil
}
