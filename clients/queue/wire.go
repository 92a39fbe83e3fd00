package queue

import (
	"fmt"

	"github.com/klauspost/compress/zstd"
	"google.golang.org/protobuf/encoding/protowire"

	"slipfit.example/clients/batch"
)

// Chunks and answers travel as protobuf fields, compressed: the combinations of one
// matrix repeat the same few parts.

// Fields of an answer.
const (
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

func encodeChunk(c *batch.Chunk) ([]byte, error) {
	b, err := c.Encode(nil)
	if err != nil {
		return nil, err
	}
	return packer.EncodeAll(b, nil), nil
}

func decodeChunk(packed []byte) (*batch.Chunk, error) {
	b, err := unpacker.DecodeAll(packed, nil)
	if err != nil {
		return nil, fmt.Errorf("the chunk cannot be unpacked: %w", err)
	}
	return batch.DecodeChunk(b)
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
	err = batch.EachField(b, func(n protowire.Number, value []byte, number uint64) error {
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
