// Package geotest finds the reference data of the tests of outlines and reads their tables.
//
// The data is not part of the repository: TANKFUL_SHARED names the folder that holds
// "data" and "reference". Tests that need it skip, by name, without it. It knows nothing
// of what the tables mean.
package geotest

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Path is a file below the shared folder; the test is skipped when there is none.
func Path(tb testing.TB, elem ...string) string {
	tb.Helper()
	root := os.Getenv("TANKFUL_SHARED")
	if root == "" {
		tb.Skip("TANKFUL_SHARED is not set: this test needs the reference data")
	}
	return filepath.Join(append([]string{root}, elem...)...)
}

// File is the content of a file below the shared folder.
func File(tb testing.TB, elem ...string) []byte {
	tb.Helper()
	data, err := os.ReadFile(Path(tb, elem...))
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

// Row is one line of a table by column name.
type Row map[string]string

// Number is a cell as a number; the test fails when it is not one.
func (r Row) Number(tb testing.TB, column string) float64 {
	tb.Helper()
	x, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		tb.Fatalf("column %s: %v", column, err)
	}
	return x
}

// Table is a CSV file below the shared folder.
func Table(tb testing.TB, elem ...string) []Row {
	tb.Helper()
	f, err := os.Open(Path(tb, elem...))
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) < 2 {
		tb.Fatalf("%s: %d lines, %v", f.Name(), len(lines), err)
	}
	rows := make([]Row, 0, len(lines)-1)
	for _, line := range lines[1:] {
		r := Row{}
		for i, cell := range line {
			r[lines[0][i]] = cell
		}
		rows = append(rows, r)
	}
	return rows
}
