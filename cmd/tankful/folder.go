package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// folder is where one run puts its sheets.
type folder struct {
	dir   string
	wrote map[string]bool // by name
}

func (f folder) path(name string) string { return filepath.Join(f.dir, name) }

// write writes a file of the folder.
func (f folder) write(name string, data []byte) error {
	f.wrote[name] = true
	return writeFile(f.path(name), data)
}

// writeWith writes a file of the folder once all of it is there.
func (f folder) writeWith(name string, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return fmt.Errorf("draw %s: %w", name, err)
	}
	return f.write(name, b.Bytes())
}

// others are the sheets whose names begin so and that this run did not write: a crew could
// take them for its own.
func (f folder) others(prefix string) (names []string) {
	entries, err := os.ReadDir(f.dir)
	if err != nil {
		return nil // it was written to a moment ago; at worst a warning is missing
	}
	for _, e := range entries {
		name := e.Name()
		ours := filepath.Ext(name) == ".pdf" || filepath.Ext(name) == ".svg" || filepath.Ext(name) == ".png" || filepath.Ext(name) == ".html"
		if ours && len(name) > len(prefix) && name[:len(prefix)] == prefix && !f.wrote[name] {
			names = append(names, name)
		}
	}
	return names
}

// writeFile writes a file whole or not at all.
func writeFile(path string, data []byte) error {
	f, err := createBeside(path)
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // gone already when all went well
	_, err = f.Write(data)
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Chmod(f.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", path, reason(err))
	}
	return nil
}

// createBeside makes a passing file in the folder of path, which is to take that name when it is whole.
func createBeside(path string) (*os.File, error) {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil, fmt.Errorf("write %s: it is a folder", path)
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".tankful-*")
	if err != nil {
		return nil, fmt.Errorf("write %s: %w", path, reason(err))
	}
	return f, nil
}

// reason is an error without the name of the passing file that it happened to.
func reason(err error) error {
	var onPath *fs.PathError
	var onLink *os.LinkError
	switch {
	case errors.As(err, &onPath):
		return onPath.Err
	case errors.As(err, &onLink):
		return onLink.Err
	}
	return err
}
