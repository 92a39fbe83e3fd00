package queue

import (
	"errors"
	"fmt"

	"github.com/klauspost/compress/zstd"
	"google.golang.org/protobuf/encoding/protowire"

	"slipfit.example/clients/batch"
)

// Chunks and answers travel as protobuf fields, compressed: the combinations of one
// matrix repeat the same few parts.

// Fields of a chunk, of its job and of its lines, and of an answer.
const (
	chunkID     = 1
	chunkBinary = 2
	chunkParts  = 3
	chunkDetail = 4
	chunkSuffix = 5
	chunkLine   = 6

	lineNumber  = 1
	lineText    = 2
	lineLabel   = 3
	lineRefusal = 4

	answerOutput  = 1
	answerRefused = 2
	answerVerdict = 3
)

// greatestMessage bounds what a compressed message may unpack to.
const greatestMessage = 256 << 20

var (
	packer, _   = zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(2))
	unpacker, _ = zstd.NewReader(nil, zstd.WithDecoderConcurrency(2), zstd.WithDecoderMaxMemory(greatestMessage))
)

func bytesField(b []byte, n protowire.Number, v []byte) []byte {
	return protowire.AppendBytes(protowire.AppendTag(b, n, protowire.BytesType), v)
}

func numberField(b []byte, n protowire.Number, v uint64) []byte {
	return protowire.AppendVarint(protowire.AppendTag(b, n, protowire.VarintType), v)
}

func flag(v bool) uint64 {
	if v {
		return 1
	}
	return 0
}

func encodeChunk(c *batch.Chunk) []byte {
	b := bytesField(nil, chunkID, []byte(c.ID))
	b = numberField(b, chunkBinary, flag(c.Binary))
	b = numberField(b, chunkParts, flag(c.Job.Parts))
	b = numberField(b, chunkDetail, uint64(c.Job.Detail))
	b = bytesField(b, chunkSuffix, c.Job.Suffix)
	for i := range c.Lines {
		l := &c.Lines[i]
		line := numberField(nil, lineNumber, uint64(l.Number))
		line = bytesField(line, lineText, l.Text)
		if l.Label != "" {
			line = bytesField(line, lineLabel, []byte(l.Label))
		}
		if l.Refusal != "" {
			line = bytesField(line, lineRefusal, []byte(l.Refusal))
		}
		b = bytesField(b, chunkLine, line)
	}
	return packer.EncodeAll(b, nil)
}

func decodeChunk(packed []byte) (*batch.Chunk, error) {
	b, err := unpacker.DecodeAll(packed, nil)
	if err != nil {
		return nil, fmt.Errorf("the chunk cannot be unpacked: %w", err)
	}
	c := &batch.Chunk{Job: &batch.Job{}}
	err = eachField(b, func(n protowire.Number, value []byte, number uint64) error {
		switch n {
		case chunkID:
			c.ID = string(value)
		case chunkBinary:
			c.Binary = number != 0
		case chunkParts:
			c.Job.Parts = number != 0
		case chunkDetail:
			c.Job.Detail = batch.Detail(number)
		case chunkSuffix:
			c.Job.Suffix = value
		case chunkLine:
			var l batch.Line
			if err := eachField(value, func(n protowire.Number, value []byte, number uint64) error {
				switch n {
				case lineNumber:
					l.Number = int64(number)
				case lineText:
					l.Text = value
				case lineLabel:
					l.Label = string(value)
				case lineRefusal:
					l.Refusal = string(value)
				}
				return nil
			}); err != nil {
				return err
			}
			c.Lines = append(c.Lines, l)
		}
		return nil
	})
	if err == nil && (c.ID == "" || len(c.Lines) == 0) {
		err = errors.New("the chunk is empty")
	}
	return c, err
}

func encodeAnswer(a batch.Answer) []byte {
	b := bytesField(nil, answerOutput, a.Output)
	b = numberField(b, answerRefused, uint64(a.Tally.Refused))
	for _, v := range a.Tally.Verdicts {
		b = numberField(b, answerVerdict, uint64(v))
	}
	return packer.EncodeAll(b, nil)
}

func decodeAnswer(packed []byte) (a batch.Answer, err error) {
	b, err := unpacker.DecodeAll(packed, nil)
	if err != nil {
		return a, fmt.Errorf("the answer cannot be unpacked: %w", err)
	}
	verdict := 0
	err = eachField(b, func(n protowire.Number, value []byte, number uint64) error {
		switch n {
		case answerOutput:
			a.Output = value
		case answerRefused:
			a.Tally.Refused = int64(number)
		case answerVerdict:
			if verdict < len(a.Tally.Verdicts) {
				a.Tally.Verdicts[verdict] = int64(number)
				verdict++
			}
		}
		return nil
	})
	return a, err
}

// eachField gives every field: bytes, or a number.
func eachField(b []byte, visit func(n protowire.Number, value []byte, number uint64) error) error {
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
