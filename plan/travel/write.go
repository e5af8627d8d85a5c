package travel

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"

	"tankful/calc/unit"
)

// WriteCSV writes the table in the long form that ParseCSV reads, in seconds and metres, ordered by names.
func (t *Table) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	rows := [][]string{}
	for key, cell := range t.cells {
		road := ""
		if cell.Road > 0 {
			road = strconv.FormatFloat(float64(cell.Road), 'f', -1, 64)
		}
		rows = append(rows, []string{key[0], key[1], strconv.FormatFloat(cell.Time.In(unit.Second), 'f', -1, 64), road})
	}
	slices.SortFunc(rows, slices.Compare)
	if err := c.Write([]string{"from", "to", "seconds", "metres"}); err != nil {
		return err
	}
	return c.WriteAll(rows)
}
