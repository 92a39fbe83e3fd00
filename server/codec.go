package server

import (
	"fmt"

	"google.golang.org/grpc/encoding"
	encodingproto "google.golang.org/grpc/encoding/proto"
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/proto"

	"slipfit.example/server/document"
)

// raw is a message that stays as it is on the wire: checks are validated and
// forwarded encoded, and answers are put together encoded.
type raw struct{ bytes []byte }

// codec is protobuf on the wire with the limits of documents. It hands raw
// messages through untouched; the wire is the same as with gRPC's own codec.
type codec struct{ standard encoding.CodecV2 }

func newCodec() codec { return codec{encoding.GetCodecV2(encodingproto.Name)} }

// Name is the content subtype of protobuf.
func (codec) Name() string { return encodingproto.Name }

// Marshal encodes a message.
func (c codec) Marshal(v any) (mem.BufferSlice, error) {
	if r, ok := v.(*raw); ok {
		return mem.BufferSlice{mem.SliceBuffer(r.bytes)}, nil
	}
	return c.standard.Marshal(v)
}

// Unmarshal decodes a message, no deeper nested than documents may be.
func (c codec) Unmarshal(data mem.BufferSlice, v any) error {
	switch m := v.(type) {
	case *raw:
		m.bytes = data.Materialize()
		return nil
	case proto.Message:
		return proto.UnmarshalOptions{RecursionLimit: document.MaxNesting}.Unmarshal(data.Materialize(), m)
	default:
		return fmt.Errorf("a %T cannot be read from the wire", v)
	}
}
