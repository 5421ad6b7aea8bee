// Package table writes text tables that other programs open.
package table

import (
	"encoding/csv"
	"io"
)

// Write writes rows as CSV (RFC 4180). No cell is left that a program opening it would run.
func Write(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	for _, row := range rows {
		safe := make([]string, len(row))
		for i, cell := range row {
			safe[i] = Plain(cell)
		}
		if err := out.Write(safe); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// Plain is a cell that is text wherever it is opened: some programs run one that begins with a
// sign of a formula, and an apostrophe in front is how they are told not to.
func Plain(cell string) string {
	if cell == "" {
		return cell
	}
	switch cell[0] {
	case '=', '+', '-', '@', '\t', '\r', '\n':
		return "'" + cell
	}
	return cell
}
