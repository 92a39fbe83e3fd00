package batch

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strconv"
	"sync/atomic"

	"github.com/cespare/xxhash/v2"

	"slipfit.example/clients/lines"
	"slipfit.example/server/document"
)

// Sizes of chunks: whichever comes first. A chunk with its answers stays well below
// the megabyte that a message of a queue may have, once compressed.
const (
	chunkLines = 256
	chunkBytes = 2 << 20
)

// LineSource gives the lines of a file of NDJSON.
type LineSource struct {
	job    *Job
	name   string
	lines  *lines.Reader
	count  *counted
	size   int64
	sum    *xxhash.Digest
	at     int64 // number of the last line
	broken error
	limit  int // lines of one chunk
}

// counted counts the bytes that are read of a file, before it is decompressed.
type counted struct {
	from io.Reader
	n    atomic.Int64
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.from.Read(p)
	c.n.Add(int64(n))
	return n, err
}

// NewLineSource reads lines from a stream that the name tells the coding of. Size is
// its length in bytes, 0 where it is not known.
func NewLineSource(name string, from io.Reader, size int64, job *Job) (*LineSource, error) {
	count := &counted{from: from}
	text, err := lines.Decompress(name, count)
	if err != nil {
		return nil, err
	}
	return &LineSource{job: job, name: name, lines: lines.NewReader(name, text, document.MaxText), count: count, size: size, sum: xxhash.New(), limit: chunkLines}, nil
}

// Done tells how many bytes of the file have been read.
func (s *LineSource) Done() (done, total int64) { return s.count.n.Load(), s.size }

// line reads one line and takes it into the checksum.
func (s *LineSource) line() (lines.Line, error) {
	line, err := s.lines.Next()
	if err != nil {
		return line, err
	}
	s.at = line.Number
	_, _ = s.sum.Write(line.Text)
	var end [9]byte
	binary.LittleEndian.PutUint64(end[:], uint64(line.Length))
	end[8] = '\n'
	_, _ = s.sum.Write(end[:])
	return line, nil
}

// Skip reads the lines up to a checkpoint once more.
func (s *LineSource) Skip(to checkpoint) error {
	for s.at < to.Through {
		if _, err := s.line(); err != nil {
			if errors.Is(err, io.EOF) {
				return fmt.Errorf("%s ends at line %d, and an earlier run has read %d; it is not the same input", s.name, s.at, to.Through)
			}
			return err
		}
	}
	if to.Through > 0 && (s.at != to.Through || s.sum.Sum64() != to.Sum) {
		return fmt.Errorf("%s has changed since an earlier run read it up to line %d; restore it, or remove the output's part and journal to begin anew", s.name, to.Through)
	}
	return nil
}

// Next gives the next chunk.
func (s *LineSource) Next() (*Chunk, error) {
	if s.broken != nil {
		return nil, s.broken
	}
	c := &Chunk{Job: s.job}
	for size := 0; len(c.Lines) < s.limit && size < chunkBytes; {
		line, err := s.line()
		if err != nil {
			s.broken = err
			break
		}
		l := Line{Number: line.Number, Text: append([]byte(nil), line.Text...)}
		if line.TooLong() {
			l.Refusal = refusalf("the line is %d bytes long, more than the %d that one document may have; split it", line.Length, document.MaxText)
		}
		size += len(l.Text)
		c.Lines = append(c.Lines, l)
	}
	if len(c.Lines) == 0 {
		return nil, s.broken
	}
	c.through = checkpoint{Through: s.at, Sum: s.sum.Sum64()}
	c.ID = chunkID(c.Lines[0].Number, c.through)
	return c, s.broken
}

// chunkID is the same for the same lines: where they begin and end, and the
// checksum of everything up to their end.
func chunkID(first int64, through checkpoint) string {
	return strconv.FormatInt(first, 10) + "-" + strconv.FormatInt(through.Through, 10) + "-" + strconv.FormatUint(through.Sum, 16)
}
