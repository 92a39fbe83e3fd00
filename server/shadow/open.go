package shadow

import (
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Field numbers of slipfit.v1.CheckRequest.
const (
	requestBuild = 1
	requestPacks = 3
	requestHouse = 5
)

// opened is what a shadow reads of an encoded, validated CheckRequest.
type opened struct {
	build []byte
	own   bool // the request brings a version of a pack or house rules of its own
}

func openCheck(check []byte) (out opened) {
	for len(check) > 0 {
		number, kind, n := protowire.ConsumeTag(check)
		if n < 0 {
			return out
		}
		m := protowire.ConsumeFieldValue(number, kind, check[n:])
		if m < 0 {
			return out
		}
		if kind == protowire.BytesType {
			value, _ := protowire.ConsumeBytes(check[n:])
			out.field(number, value)
		}
		check = check[n+m:]
	}
	return out
}

func (o *opened) field(number protowire.Number, value []byte) {
	switch number {
	case requestBuild:
		// A message that comes twice is one message, its encodings joined.
		o.build = append(o.build[:len(o.build):len(o.build)], value...)
	case requestPacks:
		pin := new(v1.PackPin)
		o.own = o.own || pin.UnmarshalVT(value) != nil || pin.Version != nil
	case requestHouse:
		o.own = true
	}
}
