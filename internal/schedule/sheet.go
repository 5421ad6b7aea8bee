// Package schedule reads a door-and-window schedule: a table of text as it was pasted or saved,
// what each of its columns means, and what each row asks for. It is pure and changes nothing.
//
// A table is data from a stranger. Its size is bounded before it is read, its text is decoded
// before it is parted, and nothing in a cell is ever worked out: a formula is named as one.
package schedule

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"longpoint/internal/finding"
)

// What a schedule may have. A large house has some hundred openings; a tower is imported floor by floor.
const (
	MostBytes   = 1 << 20
	MostRows    = 1000
	MostColumns = 60
	mostCell    = 400 // characters
)

// Sheet is a table of text.
type Sheet struct {
	Between string `json:"between" enum:"comma,semicolon,tab" doc:"What stands between two cells"`
	Lines   []Line `json:"-"`
	Columns int    `json:"-"` // of the longest line
}

// Line is one line of the table, with its number in the file.
type Line struct {
	Number int
	Cells  []string
}

func refuse(code string) *finding.Finding {
	f := finding.New(code, finding.Stop)
	return &f
}

// Read decodes and parts a table. What cannot be read is refused whole, with the line where
// there is one: half a schedule is worse than none.
func Read(data []byte) (Sheet, *finding.Finding) {
	if len(data) > MostBytes {
		return Sheet{}, refuse("sheet_too_large")
	}
	text, bad := decode(data)
	if bad != nil {
		return Sheet{}, bad
	}
	first, rest, _ := strings.Cut(text, "\n")
	if said := strings.TrimSpace(first); len(said) == 5 && strings.EqualFold(said[:4], "sep=") {
		text = rest // a line some programs put first to say what stands between cells
	}
	if strings.TrimSpace(text) == "" {
		return Sheet{}, refuse("sheet_empty")
	}
	comma := between(text)
	sheet := Sheet{Between: map[rune]string{',': "comma", ';': "semicolon", '\t': "tab"}[comma]}
	lines, bad := parted(text, comma)
	if bad != nil {
		return Sheet{}, bad
	}
	for _, l := range lines {
		blank := true
		for i, cell := range l.Cells {
			cell = tidy(cell)
			if utf8.RuneCountInString(cell) > mostCell {
				f := finding.New("sheet_cell_long", finding.Stop).Num("line", int64(l.Number)).Num("most", mostCell)
				return Sheet{}, &f
			}
			l.Cells[i] = cell
			blank = blank && cell == ""
		}
		if blank {
			continue
		}
		sheet.Lines = append(sheet.Lines, l)
		sheet.Columns = max(sheet.Columns, len(l.Cells))
	}
	switch {
	case len(sheet.Lines) == 0:
		return Sheet{}, refuse("sheet_empty")
	case len(sheet.Lines) > MostRows+1: // and a line of names
		f := finding.New("sheet_many_rows", finding.Stop).Num("rows", int64(len(sheet.Lines))).Num("most", MostRows)
		return Sheet{}, &f
	case sheet.Columns > MostColumns:
		f := finding.New("sheet_many_columns", finding.Stop).Num("columns", int64(sheet.Columns)).Num("most", MostColumns)
		return Sheet{}, &f
	}
	return sheet, nil
}

// decode makes text of a file: UTF-8 with or without its mark, and UTF-16 with it. Other
// encodings cannot be told apart, and a guess would put a wrong letter in a name.
func decode(data []byte) (string, *finding.Finding) {
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")), bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		return "", refuse("sheet_workbook")
	case bytes.HasPrefix(data, []byte("%PDF")):
		return "", refuse("sheet_pdf")
	case bytes.HasPrefix(data, []byte("\xff\xfe")):
		return utf16Text(data[2:], 0, 1)
	case bytes.HasPrefix(data, []byte("\xfe\xff")):
		return utf16Text(data[2:], 1, 0)
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if bytes.IndexByte(data, 0) >= 0 {
		return "", refuse("sheet_not_text")
	}
	if !utf8.Valid(data) {
		line := int64(1)
		for rest := data; ; {
			l, after, more := bytes.Cut(rest, []byte("\n"))
			if !utf8.Valid(l) || !more {
				break
			}
			line, rest = line+1, after
		}
		f := finding.New("sheet_encoding", finding.Stop).Num("line", line)
		return "", &f
	}
	return newlines(string(data)), nil
}

func utf16Text(data []byte, low, high int) (string, *finding.Finding) {
	if len(data)%2 != 0 {
		return "", refuse("sheet_not_text")
	}
	units := make([]uint16, 0, len(data)/2)
	for i := 0; i < len(data); i += 2 {
		u := uint16(data[i+low]) | uint16(data[i+high])<<8
		if u == 0 {
			return "", refuse("sheet_not_text")
		}
		units = append(units, u)
	}
	runes := utf16.Decode(units)
	for _, r := range runes {
		if r == utf8.RuneError {
			return "", refuse("sheet_not_text")
		}
	}
	return newlines(string(runes)), nil
}

func newlines(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
}

// between finds what stands between cells by the first line that holds any of the three, outside quotation marks.
func between(text string) rune {
	for line := range strings.SplitSeq(text, "\n") {
		count, quoted := map[rune]int{}, false
		for _, r := range line {
			if r == '"' {
				quoted = !quoted
			} else if !quoted {
				count[r]++
			}
		}
		switch tab, semicolon, comma := count['\t'], count[';'], count[',']; {
		case tab > 0 && tab >= semicolon && tab >= comma:
			return '\t'
		case semicolon > 0 && semicolon >= comma:
			return ';'
		case comma > 0:
			return ','
		}
	}
	return ','
}

// parted parts text into cells by RFC 4180. Inch marks make cells like 79 5/8" that the
// standard refuses; they are read as they stand, unless a quotation mark then runs on over
// the end of its line: such a file is broken, and the line where it began is named.
func parted(text string, comma rune) ([]Line, *finding.Finding) {
	lines, err := cells(text, comma, false)
	if err == nil {
		return lines, nil
	}
	var at *csv.ParseError
	if !errors.As(err, &at) {
		return nil, refuse("sheet_not_text")
	}
	broken := finding.New("sheet_broken", finding.Stop).Num("line", int64(at.StartLine))
	if lines, err = cells(text, comma, true); err != nil {
		return nil, &broken
	}
	for _, l := range lines {
		for _, cell := range l.Cells {
			if strings.ContainsRune(cell, '\n') {
				return nil, &broken
			}
		}
	}
	return lines, nil
}

func cells(text string, comma rune, lazy bool) ([]Line, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.LazyQuotes, r.FieldsPerRecord = comma, lazy, -1
	var out []Line
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		number, _ := r.FieldPos(0)
		out = append(out, Line{Number: number, Cells: record})
	}
}

// tidy takes off what spreadsheets leave round a cell: spaces of every kind, and line breaks in it.
func tidy(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool {
		return r == ' ' || r == '\n' || r == '\t' || r == '\v' || r == '\f' || r == '\u00a0' || r == '\u202f' || r == '\u2007'
	}), " ")
}
