// Package lines knows streams of lines as catalogues are kept: plain, gzip or zstd
// by the file's extension, one document a line. It bounds what one line may take,
// and names where a stream breaks off.
package lines

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/klauspost/compress/zstd"
)

// Line is one line of a stream.
type Line struct {
	// Number counts from 1, empty lines included.
	Number int64
	// Text is the line without its end; it is the reader's and holds until the next.
	// A line that is too long has none.
	Text []byte
	// Length is the line's true length in bytes, also of one that is too long.
	Length int64
}

// TooLong tells that the line was longer than the reader's limit and is left out.
func (l Line) TooLong() bool { return l.Length > int64(len(l.Text)) }

// Reader reads lines.
type Reader struct {
	from   *bufio.Reader
	limit  int
	line   []byte
	number int64
	name   string
}

// NewReader reads lines of at most limit bytes; longer ones are passed over in
// bounded memory. The name is that of the stream, for errors.
func NewReader(name string, from io.Reader, limit int) *Reader {
	return &Reader{from: bufio.NewReaderSize(from, 256<<10), limit: limit, name: name}
}

// Next gives the next line that is not empty; io.EOF after the last. An error says
// behind which line the stream broke off.
func (r *Reader) Next() (Line, error) {
	for {
		line, err := r.next()
		if err != nil || line.Length > 0 {
			return line, err
		}
	}
}

func (r *Reader) next() (Line, error) {
	r.line = r.line[:0]
	var length int64
	for {
		piece, err := r.from.ReadSlice('\n')
		length += int64(len(piece))
		// Two bytes more than the limit, for the line's end.
		if room := r.limit + 2 - len(r.line); room > 0 {
			r.line = append(r.line, piece[:min(room, len(piece))]...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case err == nil, errors.Is(err, io.EOF) && length > 0:
			r.number++
			return r.trimmed(length), nil
		case errors.Is(err, io.EOF):
			return Line{}, io.EOF
		default:
			return Line{}, fmt.Errorf("%s breaks off behind line %d: %w", r.name, r.number, Broken(err))
		}
	}
}

// Broken puts the errors of compressed streams into words.
func Broken(err error) error {
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("the compressed stream is cut off; fetch the file again")
	case errors.Is(err, gzip.ErrChecksum):
		return errors.New("the compressed stream is damaged; fetch the file again")
	}
	return err
}

func (r *Reader) trimmed(length int64) Line {
	kept := bytes.TrimSuffix(bytes.TrimSuffix(r.line, []byte("\n")), []byte("\r"))
	cut := length > int64(len(r.line)) || len(kept) > r.limit
	if cut {
		return Line{Number: r.number, Length: length}
	}
	return Line{Number: r.number, Text: kept, Length: int64(len(kept))}
}

// Coding is how a stream is compressed.
type Coding int

// The codings, by extension: anything but ".gz" and ".zst" is plain.
const (
	Plain Coding = iota
	Gzip
	Zstd
)

// CodingOf tells the coding of a file by its name.
func CodingOf(name string) Coding {
	switch {
	case strings.HasSuffix(name, ".gz"):
		return Gzip
	case strings.HasSuffix(name, ".zst"):
		return Zstd
	default:
		return Plain
	}
}

// BaseName is the name without the extension of its coding.
func BaseName(name string) string {
	return strings.TrimSuffix(strings.TrimSuffix(name, ".gz"), ".zst")
}

// Open opens a file for reading, decompressed by its extension; "-" is stdin, plain.
func Open(name string, stdin io.Reader) (io.ReadCloser, error) {
	if name == "-" {
		return io.NopCloser(stdin), nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be opened: %w", name, errors.Unwrap(err))
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, errors.Join(fmt.Errorf("%s is a folder; name a file", name), f.Close())
	}
	r, err := Decompress(name, f)
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return &opened{r, f}, nil
}

// zstdWindow bounds what one stream may ask for in memory.
const zstdWindow = 64 << 20

// Decompress reads a stream by the coding that its name tells.
func Decompress(name string, from io.Reader) (io.Reader, error) {
	switch CodingOf(name) {
	case Gzip:
		// Members that follow each other are one stream.
		r, err := gzip.NewReader(bufio.NewReaderSize(from, 64<<10))
		if errors.Is(err, io.EOF) {
			return bytes.NewReader(nil), nil // nothing written yet
		}
		if err != nil {
			return nil, fmt.Errorf("%s is no gzip stream: %w", name, err)
		}
		return r, nil
	case Zstd:
		r, err := zstd.NewReader(from, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(zstdWindow))
		if err != nil {
			return nil, fmt.Errorf("%s is no zstd stream: %w", name, err)
		}
		return r.IOReadCloser(), nil
	default:
		return from, nil
	}
}

type opened struct {
	io.Reader
	file *os.File
}

func (o *opened) Close() error {
	if c, ok := o.Reader.(io.Closer); ok {
		_ = c.Close()
	}
	return o.file.Close()
}

// Member compresses one piece of a stream so that pieces can follow each other and
// be read as one: a gzip member, a zstd frame, or the bytes themselves.
func Member(coding Coding, data []byte) ([]byte, error) {
	switch coding {
	case Gzip:
		var b bytes.Buffer
		w, _ := gzip.NewWriterLevel(&b, gzip.BestSpeed)
		if _, err := w.Write(data); err != nil {
			return nil, err
		}
		err := w.Close()
		return b.Bytes(), err
	case Zstd:
		return encoder.EncodeAll(data, nil), nil
	default:
		return data, nil
	}
}

// encoder is safe for use by several goroutines through EncodeAll.
var encoder = func() *zstd.Encoder {
	e, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(2))
	if err != nil {
		panic(err) // options of our own
	}
	return e
}()
