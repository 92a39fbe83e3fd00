package batch

import (
	"errors"
	"fmt"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Chunks travel to other processes and machines as protobuf fields.

// Fields of a chunk, of its job and of its lines.
const (
	chunkName    = 1
	chunkBinary  = 2
	chunkParts   = 3
	chunkDetail  = 4
	chunkSuffix  = 5
	chunkLine    = 6
	chunkFile    = 7
	lineNumber   = 1
	lineText     = 2
	lineLabel    = 3
	lineRefusal  = 4
	wireOverhead = 64 // of one line, at most
)

func bytesField(b []byte, n protowire.Number, v []byte) []byte {
	return protowire.AppendBytes(protowire.AppendTag(b, n, protowire.BytesType), v)
}

func numberField(b []byte, n protowire.Number, v uint64) []byte {
	return protowire.AppendVarint(protowire.AppendTag(b, n, protowire.VarintType), v)
}

// Encode appends the chunk to b, what it needs to be answered elsewhere.
func (c *Chunk) Encode(b []byte) ([]byte, error) {
	size := len(c.ID) + len(c.Job.Suffix) + len(c.Job.File) + wireOverhead
	for i := range c.Lines {
		size += len(c.Lines[i].Text) + len(c.Lines[i].Label) + wireOverhead
	}
	if cap(b)-len(b) < size {
		b = append(make([]byte, 0, len(b)+size), b...)
	}
	b = bytesField(b, chunkName, []byte(c.ID))
	b = numberField(b, chunkBinary, protowire.EncodeBool(c.Binary))
	b = numberField(b, chunkParts, protowire.EncodeBool(c.Job.Parts))
	b = numberField(b, chunkDetail, uint64(c.Job.Detail))
	b = bytesField(b, chunkSuffix, c.Job.Suffix)
	b = bytesField(b, chunkFile, []byte(c.Job.File))
	for i := range c.Lines {
		var err error
		if b, err = c.Lines[i].encode(b); err != nil {
			return nil, err
		}
	}
	return b, nil
}

func (l *Line) encode(b []byte) ([]byte, error) {
	var refusal []byte
	if l.Refusal != nil {
		var err error
		if refusal, err = l.Refusal.MarshalVT(); err != nil {
			return nil, fmt.Errorf("the refusal of line %d cannot be encoded: %w", l.Number, err)
		}
	}
	field := func(n protowire.Number, length int) int {
		if length == 0 {
			return 0
		}
		return protowire.SizeTag(n) + protowire.SizeBytes(length)
	}
	size := protowire.SizeTag(lineNumber) + protowire.SizeVarint(uint64(l.Number)) +
		field(lineText, len(l.Text)) + field(lineLabel, len(l.Label)) + field(lineRefusal, len(refusal))
	b = protowire.AppendVarint(protowire.AppendTag(b, chunkLine, protowire.BytesType), uint64(size))
	b = numberField(b, lineNumber, uint64(l.Number))
	if len(l.Text) > 0 {
		b = bytesField(b, lineText, l.Text)
	}
	if l.Label != "" {
		b = bytesField(b, lineLabel, []byte(l.Label))
	}
	if len(refusal) > 0 {
		b = bytesField(b, lineRefusal, refusal)
	}
	return b, nil
}

// DecodeChunk reads a chunk. Its texts lie in b, which must stay as it is.
func DecodeChunk(b []byte) (*Chunk, error) {
	c := &Chunk{Job: &Job{}}
	err := EachField(b, func(n protowire.Number, value []byte, number uint64) error {
		switch n {
		case chunkName:
			c.ID = string(value)
		case chunkBinary:
			c.Binary = number != 0
		case chunkParts:
			c.Job.Parts = number != 0
		case chunkDetail:
			c.Job.Detail = Detail(number)
		case chunkSuffix:
			c.Job.Suffix = value
		case chunkFile:
			c.Job.File = string(value)
		case chunkLine:
			l, err := decodeLine(value)
			c.Lines = append(c.Lines, l)
			return err
		}
		return nil
	})
	if err == nil && (c.ID == "" || len(c.Lines) == 0) {
		err = errors.New("the chunk is empty")
	}
	return c, err
}

func decodeLine(b []byte) (l Line, err error) {
	err = EachField(b, func(n protowire.Number, value []byte, number uint64) error {
		switch n {
		case lineNumber:
			l.Number = int64(number)
		case lineText:
			l.Text = value
		case lineLabel:
			l.Label = string(value)
		case lineRefusal:
			l.Refusal = new(v1.Refusal)
			return l.Refusal.UnmarshalVT(value)
		}
		return nil
	})
	return l, err
}

// EachField gives every field of an encoded message in its order: its bytes, or its
// number, or the bits of its 64-bit number. An error of visit ends it.
func EachField(b []byte, visit func(n protowire.Number, value []byte, number uint64) error) error {
	for len(b) > 0 {
		n, kind, size := protowire.ConsumeTag(b)
		if size < 0 {
			return fmt.Errorf("the message cannot be read: %w", protowire.ParseError(size))
		}
		b = b[size:]
		var value []byte
		var number uint64
		switch kind {
		case protowire.BytesType:
			value, size = protowire.ConsumeBytes(b)
		case protowire.VarintType:
			number, size = protowire.ConsumeVarint(b)
		case protowire.Fixed64Type:
			number, size = protowire.ConsumeFixed64(b)
		default:
			size = protowire.ConsumeFieldValue(n, kind, b)
		}
		if size < 0 {
			return fmt.Errorf("the message cannot be read: %w", protowire.ParseError(size))
		}
		b = b[size:]
		if err := visit(n, value, number); err != nil {
			return err
		}
	}
	return nil
}
