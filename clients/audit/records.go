package audit

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// greatestRecord bounds one row of a table, quoted line breaks included.
const greatestRecord = 1 << 20

// records reads the rows of a table by RFC 4180, with any single delimiter. A row
// that cannot be read is told and the next has its turn; a quote that never ends
// takes no more than greatestRecord with it.
type records struct {
	from  *bufio.Reader
	comma rune
	line  int64 // of the next row
	held  []string
}

func newRecords(from io.Reader, comma rune) *records {
	return &records{from: bufio.NewReaderSize(from, 64<<10), comma: comma, line: 1}
}

// badRow is a row that cannot be read.
type badRow struct{ reason string }

func (b *badRow) Error() string { return b.reason }

// next gives a row and the line on which it starts. The error is a *badRow, io.EOF,
// or what the stream's reader said.
func (r *records) next() (cells []string, line int64, err error) {
	for {
		text, start, err := r.row()
		if err != nil {
			return nil, start, err
		}
		if strings.Trim(text, "\r\n") == "" {
			continue
		}
		reader := csv.NewReader(strings.NewReader(text))
		reader.Comma, reader.FieldsPerRecord = r.comma, -1
		cells, err := reader.Read()
		if err != nil {
			var parse *csv.ParseError
			if errors.As(err, &parse) {
				err = parse.Err
			}
			return nil, start, &badRow{fmt.Sprintf("the row cannot be read: %v; quotes within a quoted cell are written twice", err)}
		}
		return cells, start, nil
	}
}

// row takes the lines of one row together: further ones as long as a quote is open.
func (r *records) row() (string, int64, error) {
	start := r.line
	var b strings.Builder
	quotes := 0
	for {
		text, err := r.oneLine(greatestRecord - b.Len())
		if errors.Is(err, io.EOF) && b.Len() > 0 && text == "" {
			return "", start, &badRow{"a quote opens in this row and never ends"}
		}
		if err != nil {
			return "", start, err
		}
		b.WriteString(text)
		if quotes += strings.Count(text, `"`); quotes%2 == 0 {
			return b.String(), start, nil
		}
		if strings.Count(b.String(), "\n") > 100 || b.Len() >= greatestRecord {
			// The lines behind the first are rows of their own again.
			all := strings.SplitAfter(b.String(), "\n")
			r.held = append(all[1:], r.held...)
			r.line = start + 1
			return "", start, &badRow{"a quote opens in this row and does not end within the next 100 lines"}
		}
	}
}

// oneLine reads a line with its end, at most limit bytes of it.
func (r *records) oneLine(limit int) (string, error) {
	if len(r.held) > 0 {
		text := r.held[0]
		r.held = r.held[1:]
		if text != "" {
			r.line++
			return text, nil
		}
	}
	var b strings.Builder
	for {
		piece, err := r.from.ReadSlice('\n')
		if b.Len()+len(piece) <= limit {
			b.Write(piece)
		} else if err == nil || errors.Is(err, io.EOF) {
			r.line++
			return "", &badRow{fmt.Sprintf("the row is longer than the %d bytes that one may have", greatestRecord)}
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case err == nil, errors.Is(err, io.EOF) && b.Len() > 0:
			r.line++
			return b.String(), nil
		default:
			return "", err
		}
	}
}
