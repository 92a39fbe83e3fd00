package packs

import (
	"bytes"
	"testing"

	"google.golang.org/protobuf/encoding/protowire"
	"pgregory.net/rapid"
)

func TestPrintedDataIsTakenApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.SliceOf(rapid.Byte()).Draw(t, "data")
		channel := rapid.Uint64Range(0, 3).Draw(t, "channel")
		var fields []byte
		fields = protowire.AppendTag(fields, 7, protowire.Fixed32Type)
		fields = protowire.AppendFixed32(fields, 1)
		fields = protowire.AppendTag(fields, 1, protowire.VarintType)
		fields = protowire.AppendVarint(fields, channel)
		fields = protowire.AppendTag(fields, 2, protowire.BytesType)
		fields = protowire.AppendBytes(fields, want)
		gotChannel, got := printedData(fields)
		if gotChannel != channel || !bytes.Equal(got, want) {
			t.Fatalf("channel %d, data %q; want %d, %q", gotChannel, got, channel, want)
		}
	})
}

// Whatever a pack sends, nothing breaks.
func FuzzPrintedData(f *testing.F) {
	f.Add([]byte{0x08, 0x01, 0x12, 0x02, 'h', 'i'})
	f.Add([]byte{0x12, 0xff, 0xff, 0xff, 0xff, 0x0f})
	f.Fuzz(func(t *testing.T, fields []byte) {
		if _, data := printedData(fields); len(data) > len(fields) {
			t.Fatalf("%d bytes out of %d", len(data), len(fields))
		}
	})
}
