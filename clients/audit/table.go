package audit

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"google.golang.org/protobuf/reflect/protoreflect"

	"slipfit.example/clients/lines"
	v1 "slipfit.example/proto/slipfit/v1"
)

// Table is a shop's table that is being read.
type Table struct {
	// Encoding is what the table is written in.
	Encoding string
	// Unmapped are columns that the map neither takes nor leaves out.
	Unmapped []string

	name    string
	columns *Columns
	records *records
	places  []place
	kindAt  int
	width   int // cells of the heading
	numbers convention
}

// place is one column of the table that is taken.
type place struct {
	at     int
	column *Column
	target *target
}

// OpenTable reads a table's heading and holds it against the map. It names columns
// that are missing or stand twice, all of them.
func OpenTable(name string, from io.Reader, columns *Columns) (*Table, error) {
	text, coding, err := decoded(from, columns.Encoding)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", name, err)
	}
	t := &Table{Encoding: coding, name: name, columns: columns, kindAt: -1}
	if columns.Decimal != "" {
		t.numbers.decimal = columns.Decimal[0]
	}
	t.records = newRecords(text, ',')
	heading, err := t.heading()
	if err != nil {
		return nil, fmt.Errorf("%s has no heading that can be read: %w", name, err)
	}
	t.width = len(heading)
	if err := t.match(heading); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return t, nil
}

// heading reads the first row. Its delimiter is the one that makes the most cells
// out of it, unless the map says it.
func (t *Table) heading() ([]string, error) {
	text, _, err := t.records.row()
	if err != nil {
		return nil, err
	}
	candidates := []rune{';', ',', '\t', '|'}
	if t.columns.Delimiter != "" {
		candidates = []rune(t.columns.Delimiter)
	}
	var best []string
	for _, comma := range candidates {
		r := newRecords(strings.NewReader(text), comma)
		if cells, _, err := r.next(); err == nil && len(cells) > len(best) {
			best, t.records.comma = cells, comma
		}
	}
	if best == nil {
		return nil, errors.New("the first row holds no cells")
	}
	for i := range best {
		best[i] = strings.TrimSpace(best[i])
	}
	return best, nil
}

func (t *Table) match(heading []string) error {
	var errs []error
	at := func(name string) int {
		i := slices.Index(heading, name)
		if i >= 0 && slices.Contains(heading[i+1:], name) {
			errs = append(errs, fmt.Errorf("the column %q stands twice; rename or remove one", name))
		}
		return i
	}
	taken := map[int]bool{}
	for i := range t.columns.Columns {
		c := &t.columns.Columns[i]
		n := at(c.Column)
		if n < 0 {
			if !c.Optional {
				errs = append(errs, fmt.Errorf("the column %q is missing; the table has %s", c.Column, quoted(heading)))
			}
			continue
		}
		target, err := newTarget(c.Field)
		if err != nil {
			return err // the map has been checked
		}
		taken[n] = true
		t.places = append(t.places, place{n, c, target})
	}
	if name := t.columns.KindColumn; name != "" {
		if t.kindAt = at(name); t.kindAt < 0 {
			errs = append(errs, fmt.Errorf("the column %q, which says what a row is, is missing", name))
		}
		taken[t.kindAt] = true
	}
	for i, name := range heading {
		if !taken[i] && !slices.Contains(t.columns.Ignore, name) {
			t.Unmapped = append(t.Unmapped, name)
		}
	}
	return errors.Join(errs...)
}

func quoted(names []string) string {
	out := make([]string, 0, len(names))
	for _, n := range names {
		out = append(out, fmt.Sprintf("%q", n))
	}
	return strings.Join(out, ", ")
}

// Items gives the rows as entries.
func (t *Table) Items() iter.Seq[Item] {
	return func(yield func(Item) bool) {
		for number := int64(1); ; number++ {
			cells, line, err := t.records.next()
			if errors.Is(err, io.EOF) {
				return
			}
			var bad *badRow
			item := Item{Place: Place{File: t.name, Line: line, Number: number}}
			switch {
			case errors.As(err, &bad):
				item.Read = func() (*v1.Part, []Remark) { return nil, unreadable(bad) }
			case err != nil:
				broken := fmt.Errorf("the table breaks off here: %w", lines.Broken(err))
				item.Read = func() (*v1.Part, []Remark) { return nil, unreadable(broken) }
			case t.tooWide(cells):
				wide := fmt.Errorf("the row has %d cells and the heading %d; where a cell holds a %q, such as a decimal comma, quote it", len(cells), t.width, t.records.comma)
				item.Read = func() (*v1.Part, []Remark) { return nil, unreadable(wide) }
			default:
				item.Read = func() (*v1.Part, []Remark) { return t.part(cells) }
			}
			if !yield(item) || err != nil && bad == nil {
				return
			}
		}
	}
}

// tooWide tells that a row has cells under no heading, beyond empty ones: every cell
// may then stand under the wrong one.
func (t *Table) tooWide(cells []string) bool {
	for i := t.width; i < len(cells); i++ {
		if strings.TrimSpace(cells[i]) != "" {
			return true
		}
	}
	return false
}

// part makes an entry of a row. A cell that cannot be read is told and left out.
func (t *Table) part(cells []string) (*v1.Part, []Remark) {
	var remarks []Remark
	told := func(column, field, reason string) {
		remarks = append(remarks, Remark{Rule: RuleCell, Verdict: v1.Verdict_VERDICT_FAIL, Path: field,
			Text: fmt.Sprintf("Column %q: %s.", column, reason)})
	}
	kind, err := t.kindOf(cells)
	if err != nil {
		return nil, unreadable(err)
	}
	part := new(v1.Part)
	for _, p := range t.places {
		if p.at >= len(cells) {
			continue
		}
		cell := strings.TrimSpace(utf8Cell(cells[p.at]))
		if cell == "" || p.target.kind() != "" && kind != "" && p.target.kind() != kind {
			continue
		}
		if p.column.Field == "id" {
			cell = slug(cell)
		}
		value, err := p.target.value(cell, p.column, t.numbers)
		if err == nil {
			err = p.target.set(part, value)
		}
		if err != nil {
			told(p.column.Column, p.column.Field, err.Error())
		}
	}
	if kind != "" && part.Kind == nil {
		part.ProtoReflect().Mutable(kindOneof.Fields().ByName(protoreflect.Name(kind)))
	}
	if part.Kind == nil {
		return nil, append(unreadable(errors.New("nothing in the row tells what kind of part it is; say kind or kind_column in the map")), remarks...)
	}
	return part, remarks
}

func (t *Table) kindOf(cells []string) (string, error) {
	if t.kindAt < 0 {
		return t.columns.Kind, nil
	}
	if t.kindAt >= len(cells) {
		return "", fmt.Errorf("the row ends before the column %q, which says what it is", t.columns.KindColumn)
	}
	word := strings.TrimSpace(cells[t.kindAt])
	if kind, ok := t.columns.Kinds[word]; ok {
		return kind, nil
	}
	if kindOneof.Fields().ByName(protoreflect.Name(word)) != nil {
		return word, nil
	}
	return "", fmt.Errorf("%q in column %q is no kind of part; give its meaning under kinds in the map", word, t.columns.KindColumn)
}

// utf8Cell mends a cell in another coding than the table's: rows that were pasted
// in from elsewhere are Latin-1.
func utf8Cell(cell string) string {
	if utf8.ValidString(cell) {
		return cell
	}
	mended, err := charmap.Windows1252.NewDecoder().String(cell)
	if err != nil {
		return strings.ToValidUTF8(cell, "\ufffd")
	}
	return mended
}

// slug makes an id of an article number: lower-case letters, digits and hyphens.
func slug(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	out := strings.Trim(b.String(), "-")
	return out[:min(len(out), 64)]
}
