package pipeline

import (
	"errors"
	"fmt"

	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Field numbers of slipfit.v1.Build and Item.
const (
	buildItems = 3
	itemPart   = 2
)

// frame is an encoded CheckRequest with one item's part cut out, so that checks of
// one candidate after the other are put together without encoding anything anew.
type frame struct {
	before, build, item, behind []byte // of the request, the build up to the item, the item, the build after it
}

// newFrame cuts the part of one item out.
func newFrame(request *v1.CheckRequest, item int) (*frame, error) {
	items := request.GetBuild().GetItems()
	if item < 0 || item >= len(items) {
		return nil, fmt.Errorf("the build has %d items and no item %d", len(items), item)
	}
	rest := proto.CloneOf(request)
	behind := rest.Build
	build, own := &v1.Build{Items: behind.Items[:item]}, behind.Items[item]
	behind.Items, own.Part, rest.Build = behind.Items[item+1:], nil, nil
	f := &frame{}
	var errs [4]error
	f.before, errs[0] = rest.MarshalVT()
	f.build, errs[1] = build.MarshalVT()
	f.item, errs[2] = own.MarshalVT()
	f.behind, errs[3] = behind.MarshalVT()
	return f, errors.Join(errs[:]...)
}

// with is the encoded check with a part in the frame's item.
func (f *frame) with(part []byte) []byte {
	item := len(f.item) + 1 + protowire.SizeBytes(len(part))
	build := len(f.build) + 1 + protowire.SizeBytes(item) + len(f.behind)
	b := make([]byte, 0, len(f.before)+1+protowire.SizeBytes(build))
	b = append(b, f.before...)
	b = protowire.AppendTag(b, requestBuild, protowire.BytesType)
	b = protowire.AppendVarint(b, uint64(build))
	b = append(b, f.build...)
	b = protowire.AppendTag(b, buildItems, protowire.BytesType)
	b = protowire.AppendVarint(b, uint64(item))
	b = append(b, f.item...)
	b = protowire.AppendTag(b, itemPart, protowire.BytesType)
	b = protowire.AppendBytes(b, part)
	return append(b, f.behind...)
}
