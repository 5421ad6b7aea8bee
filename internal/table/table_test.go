package table_test

import (
	"encoding/csv"
	"strings"
	"testing"

	"longpoint/internal/table"
)

func TestNoCellIsRun(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	in := []string{"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "79 5/8\"", "a,b", "", "'x", "=cmd|' /C calc'!A1"}
	if err := table.Write(&b, [][]string{in}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, cell := range rows[0] {
		if cell != "" && strings.ContainsRune("=+-@\t\r\n", rune(cell[0])) {
			t.Errorf("%q is written as %q", in[i], cell)
		}
		if strings.TrimPrefix(cell, "'") != strings.TrimPrefix(strings.ReplaceAll(in[i], "\r", "\r"), "'") {
			t.Errorf("%q comes back as %q", in[i], cell)
		}
	}
}
