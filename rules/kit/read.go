package kit

import (
	"fmt"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Field numbers of slipfit.v1.CheckRequest, Build and Item.
const (
	requestBuild = 1
	buildItems   = 3
	itemPart     = 2
)

// readCheck decodes an encoded, validated CheckRequest into request, which is
// empty. Parts come from the store, where the same bytes are decoded once: they
// are most of a document, and the same few chassis and boards come again and
// again. They are shared and must not be changed.
func readCheck(check []byte, request *v1.CheckRequest, parts *partStore) error {
	return eachField(check, func(number protowire.Number, whole, value []byte) error {
		if number != requestBuild || request.Build != nil {
			return request.UnmarshalVTUnsafe(whole)
		}
		request.Build = v1.BuildFromVTPool()
		return readBuild(value, request.Build, parts)
	})
}

func readBuild(encoded []byte, build *v1.Build, parts *partStore) error {
	return eachField(encoded, func(number protowire.Number, whole, value []byte) error {
		if number != buildItems {
			return build.UnmarshalVTUnsafe(whole)
		}
		item := v1.ItemFromVTPool()
		build.Items = append(build.Items, item)
		return readItem(value, item, parts)
	})
}

func readItem(encoded []byte, item *v1.Item, parts *partStore) error {
	return eachField(encoded, func(number protowire.Number, whole, value []byte) (err error) {
		if number != itemPart {
			return item.UnmarshalVTUnsafe(whole)
		}
		if item.Part != nil {
			return fmt.Errorf("an item has two parts")
		}
		item.Part, err = parts.get(value)
		return err
	})
}

// putBack gives the pooled messages back, and leaves the store its parts.
func putBack(request *v1.CheckRequest) {
	for _, item := range request.GetBuild().GetItems() {
		item.Part = nil
	}
	request.ReturnToVTPool()
}

// eachField calls f for every field: its number, its bytes with the tag, and the
// bytes of its value where it is length-delimited.
func eachField(b []byte, f func(number protowire.Number, whole, value []byte) error) error {
	for len(b) > 0 {
		number, kind, tag := protowire.ConsumeTag(b)
		if tag < 0 {
			return protowire.ParseError(tag)
		}
		n := protowire.ConsumeFieldValue(number, kind, b[tag:])
		if n < 0 {
			return protowire.ParseError(n)
		}
		whole := b[:tag+n]
		var value []byte
		if kind == protowire.BytesType {
			value, _ = protowire.ConsumeBytes(b[tag:])
		}
		if err := f(number, whole, value); err != nil {
			return err
		}
		b = b[tag+n:]
	}
	return nil
}
