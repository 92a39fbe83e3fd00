package plug

import (
	"fmt"

	"google.golang.org/grpc/encoding"
	"google.golang.org/grpc/encoding/proto"
	"google.golang.org/grpc/mem"
)

// Codec is protobuf on the wire, by the generated code of the messages that
// have such (PackService's) and by reflection for all others (health, go-plugin's
// own). The bytes are the same as those of gRPC's own codec "proto", so that a pack
// in another language need not know about it.
//
// Decoded bytes fields point into the message's own buffer, which nothing else
// uses: a host that keeps Outcome.findings copies nothing, and keeps the whole
// batch's answer alive with it.
type Codec struct{}

var _ encoding.CodecV2 = Codec{}

// generated is what protoc-gen-go-vtproto adds to a message.
type generated interface {
	SizeVT() int
	MarshalToSizedBufferVT([]byte) (int, error)
	UnmarshalVTUnsafe([]byte) error
}

// standard is gRPC's own codec, for messages without generated code.
var standard = encoding.GetCodecV2(proto.Name)

// buffers has one size for each power of two. gRPC's own pool goes from 32 KiB to 1 MiB at
// once, and clears all of a buffer before it hands it out.
var buffers = func() mem.BufferPool {
	pool, err := mem.NewBinaryTieredBufferPool(10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22)
	if err != nil {
		panic(err)
	}
	return pool
}()

// Name is gRPC's name of protobuf, which decides the content type.
func (Codec) Name() string { return proto.Name }

// Marshal encodes a message; an error says which.
func (Codec) Marshal(v any) (mem.BufferSlice, error) {
	m, ok := v.(generated)
	if !ok {
		return standard.Marshal(v)
	}
	size := m.SizeVT()
	if mem.IsBelowBufferPoolingThreshold(size) {
		buf := make([]byte, size)
		if _, err := m.MarshalToSizedBufferVT(buf); err != nil {
			return nil, fmt.Errorf("encoding a %T: %w", v, err)
		}
		return mem.BufferSlice{mem.SliceBuffer(buf)}, nil
	}
	buf := buffers.Get(size)
	if _, err := m.MarshalToSizedBufferVT((*buf)[:size]); err != nil {
		buffers.Put(buf)
		return nil, fmt.Errorf("encoding a %T: %w", v, err)
	}
	return mem.BufferSlice{mem.NewBuffer(buf, buffers)}, nil
}

// Unmarshal decodes into a message that is empty or was reset; an error says
// which.
func (Codec) Unmarshal(data mem.BufferSlice, v any) error {
	m, ok := v.(generated)
	if !ok {
		return standard.Unmarshal(data, v)
	}
	// Materialize gives a slice of its own, which the message may keep.
	if err := m.UnmarshalVTUnsafe(data.Materialize()); err != nil {
		return fmt.Errorf("decoding a %T: %w", v, err)
	}
	return nil
}
