package document

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"iter"
	"strings"
)

// piece is the text of one document.
type piece struct {
	data   []byte
	line   int
	format Format
}

// split cuts a stream into the texts of its documents. A piece with an error
// stands for a document that is too long to be looked at.
func split(name string, from io.Reader, format Format) iter.Seq2[piece, error] {
	const probe = 4096
	buffered := bufio.NewReaderSize(from, 64<<10)
	if format == FormatUnknown {
		// A short stream gives what it has; its end shows up when it is read.
		head, _ := buffered.Peek(probe)
		format = FormatOf(name, head)
	}
	switch format {
	case FormatLines:
		return splitLines(buffered)
	case FormatYAML:
		return splitYAML(buffered)
	default:
		return whole(buffered, format)
	}
}

// whole gives a stream of one document.
func whole(from io.Reader, format Format) iter.Seq2[piece, error] {
	return func(yield func(piece, error) bool) {
		data, err := io.ReadAll(io.LimitReader(from, MaxText+1))
		if err != nil {
			err = fmt.Errorf("reading the document: %w", err)
		}
		yield(piece{data: data, line: 1, format: format}, err)
	}
}

// splitLines gives one document for each line that is not blank.
func splitLines(from *bufio.Reader) iter.Seq2[piece, error] {
	return func(yield func(piece, error) bool) {
		for line := 1; ; line++ {
			data, tooLong, err := readLine(from)
			if err != nil && !errors.Is(err, io.EOF) {
				yield(piece{line: line}, fmt.Errorf("reading line %d: %w", line, err))
				return
			}
			ended := err != nil
			at := piece{data: data, line: line, format: FormatJSON}
			switch {
			case tooLong:
				if !yield(at, faultf(line, 1, "", "the line is longer than %d bytes; one document may have that many", MaxText)) {
					return
				}
			case len(bytes.TrimSpace(bytes.TrimPrefix(data, byteOrderMark))) > 0:
				if !yield(at, nil) {
					return
				}
			}
			if ended {
				return
			}
		}
	}
}

// readLine reads a line with its end. Of one that is longer than MaxText it
// keeps nothing and reports so.
func readLine(from *bufio.Reader) (line []byte, tooLong bool, err error) {
	for {
		part, err := from.ReadSlice('\n')
		if tooLong = tooLong || len(line)+len(part) > MaxText; tooLong {
			line = nil
		} else {
			line = append(line, part...)
		}
		if !errors.Is(err, bufio.ErrBufferFull) {
			return line, tooLong, err
		}
	}
}

// splitYAML cuts before every line that starts a document and behind every line
// that ends one. YAML forbids such lines inside of any value (YAML 1.2.2, rule
// c-forbidden), so that a document that is broken cannot hide the next.
func splitYAML(from *bufio.Reader) iter.Seq2[piece, error] {
	return func(yield func(piece, error) bool) {
		now, found := yamlPiece{line: 1}, false
		// next hands the document on that came to its end before a line.
		next := func(line int, last bool) bool {
			done := now
			now = yamlPiece{line: line}
			if !done.tooLong && done.bare() && (found || !last) {
				return true
			}
			found = true
			return yield(done.piece())
		}
		for line := 1; ; line++ {
			data, tooLong, err := readLine(from)
			if err != nil && !errors.Is(err, io.EOF) {
				yield(piece{line: line}, fmt.Errorf("reading line %d: %w", line, err))
				return
			}
			if isMarker(data, "---") && now.started && !next(line, false) {
				return
			}
			now.add(data, tooLong)
			if err != nil {
				next(line, true)
				return
			}
			if isMarker(data, "...") && !next(line+1, false) {
				return
			}
		}
	}
}

// yamlPiece gathers the lines of one YAML document.
type yamlPiece struct {
	data    []byte
	line    int
	tooLong bool
	// started is set once more than comments, blank lines and directives came,
	// so that a "---" belongs to the next document.
	started bool
}

func (y *yamlPiece) add(line []byte, tooLong bool) {
	if y.tooLong = y.tooLong || tooLong || len(y.data)+len(line) > MaxText; y.tooLong {
		y.data, y.started = nil, true
		return
	}
	text := bytes.TrimSpace(bytes.TrimPrefix(line, byteOrderMark))
	if len(text) > 0 && text[0] != '#' && line[0] != '%' {
		y.started = true
	}
	y.data = append(y.data, line...)
}

func (y *yamlPiece) piece() (piece, error) {
	p := piece{data: y.data, line: y.line, format: FormatYAML}
	if y.tooLong {
		return p, faultf(y.line, 1, "", "the document is longer than %d bytes; split it", MaxText)
	}
	return p, nil
}

// bare reports whether the lines are markers, comments, directives and blanks.
func (y *yamlPiece) bare() bool {
	for line := range bytes.Lines(bytes.TrimPrefix(y.data, byteOrderMark)) {
		text := line
		if isMarker(line, "---") || isMarker(line, "...") {
			text = line[len("---"):]
		}
		text = bytes.TrimSpace(text)
		if len(text) > 0 && text[0] != '#' && line[0] != '%' {
			return false
		}
	}
	return true
}

// isMarker reports whether a line is a document marker.
func isMarker(line []byte, marker string) bool {
	return bytes.HasPrefix(line, []byte(marker)) &&
		(len(line) == len(marker) || strings.IndexByte(" \t\r\n", line[len(marker)]) >= 0)
}
