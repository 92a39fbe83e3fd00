package document

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Fault is one reason why a document cannot be read.
type Fault struct {
	// File is the document's name as the caller gave it; may be empty.
	File string
	// Document is the number of the document in its stream, 1 first; 0 where
	// the file holds one document only.
	Document int
	// Line and Column count from 1, columns in characters; 0 where unknown, as
	// in binary documents.
	Line, Column int
	// Path leads to the value by proto field names; empty at the root.
	Path string
	// Reason is a sentence without the place.
	Reason string
}

// String gives "file:line:column: document 2: path: reason", leaving out what
// is not known.
func (f Fault) String() string {
	var b strings.Builder
	if f.File != "" {
		b.WriteString(f.File)
		b.WriteByte(':')
	}
	if f.Line > 0 {
		b.WriteString(strconv.Itoa(f.Line))
		b.WriteByte(':')
		if f.Column > 0 {
			b.WriteString(strconv.Itoa(f.Column))
			b.WriteByte(':')
		}
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if f.Document > 0 {
		fmt.Fprintf(&b, "document %d: ", f.Document)
	}
	if f.Path != "" {
		b.WriteString(f.Path)
		b.WriteString(": ")
	}
	b.WriteString(f.Reason)
	return b.String()
}

// Error tells everything that kept one document from being read, in the order
// of the text. It holds at least one fault and at most [MaxFaults].
type Error struct {
	Faults []Fault
}

// Error gives one line for each fault.
func (e *Error) Error() string {
	lines := make([]string, len(e.Faults))
	for i, f := range e.Faults {
		lines[i] = f.String()
	}
	return strings.Join(lines, "\n")
}

// Violations gives the same complaints in the form that [Validator] uses.
func (e *Error) Violations() []Violation {
	out := make([]Violation, len(e.Faults))
	for i, f := range e.Faults {
		out[i] = Violation{Path: f.Path, Reason: f.Reason, Line: f.Line, Column: f.Column}
	}
	return out
}

// within gives err the file and the number of the document that it is about.
func within(err error, file string, number int) error {
	var e *Error
	if err == nil || !errors.As(err, &e) {
		return err
	}
	for i := range e.Faults {
		if e.Faults[i].File == "" {
			e.Faults[i].File = file
			e.Faults[i].Document = number
		}
	}
	return e
}

// faultf makes an error of one fault at a place.
func faultf(line, column int, path, format string, args ...any) *Error {
	return &Error{Faults: []Fault{{
		Line: line, Column: column, Path: path, Reason: fmt.Sprintf(format, args...),
	}}}
}
