package yard

import (
	"io"
	"strconv"

	"longpoint/internal/table"
)

// WriteCSV writes a plan as a table, one piece a row, then the order.
func WriteCSV(w io.Writer, v PlanView) error {
	rows := [][]string{{"stock", "stick", "from", "stick_length", "stick_length_nm", "piece", "item", "room", "length", "length_nm", "from_left_nm", "left_end", "right_end", "state"}}
	for _, s := range v.Stocks {
		for _, k := range s.Sticks {
			for _, p := range k.Pieces {
				label := p.Label
				if p.Parts > 0 {
					label += " (" + strconv.Itoa(p.Part) + "/" + strconv.Itoa(p.Parts) + ")"
				}
				rows = append(rows, []string{s.Label, strconv.Itoa(k.Number), string(k.From), k.Text, nm(int64(k.Length)), label, p.Item, p.Room,
					p.Text, nm(int64(p.Length)), nm(int64(p.At)), p.Left.Saw, p.Right.Saw, string(p.State)})
			}
		}
	}
	rows = append(rows, []string{}, []string{"order", "count", "length", "length_nm", "each_cents"})
	for _, s := range v.Stocks {
		for _, o := range s.Order {
			cents := ""
			if o.Cents >= 0 {
				cents = nm(o.Cents)
			}
			rows = append(rows, []string{s.Label, strconv.Itoa(o.Count), o.Text, nm(int64(o.Length)), cents})
		}
	}
	return table.Write(w, rows)
}

func nm(n int64) string { return strconv.FormatInt(n, 10) }
