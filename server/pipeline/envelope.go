package pipeline

import (
	"fmt"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Field numbers of slipfit.v1.
const (
	requestBuild  = 1
	requestPolicy = 2
	requestPacks  = 3
	requestWants  = 4
	requestHouse  = 5
	buildID       = 1

	findingsTag = 1<<3 | byte(protowire.BytesType)
)

// envelope is what the host itself reads of a check; the build stays encoded.
type envelope struct {
	buildID []byte
	policy  []*v1.PolicyValue
	packs   []*v1.PackPin
	wants   []string
	house   []byte // house rules of the request's own; nil: none
	added   []byte // encoded policy of the service and facts that packs want, to go behind the check
}

// openEnvelope reads the few fields of an encoded CheckRequest that the host
// needs, in one pass over its outermost fields.
func openEnvelope(check []byte) (envelope, error) {
	var e envelope
	err := eachField(check, func(number protowire.Number, value []byte) error {
		switch number {
		case requestBuild:
			return eachField(value, func(number protowire.Number, value []byte) error {
				if number == buildID {
					e.buildID = value
				}
				return nil
			})
		case requestPolicy:
			v := new(v1.PolicyValue)
			e.policy = append(e.policy, v)
			return v.UnmarshalVT(value)
		case requestPacks:
			pin := new(v1.PackPin)
			e.packs = append(e.packs, pin)
			return pin.UnmarshalVT(value)
		case requestWants:
			e.wants = append(e.wants, string(value))
		case requestHouse:
			e.house = append([]byte{}, value...)
		}
		return nil
	})
	return e, err
}

// eachField calls f for each length-delimited field and skips all others.
func eachField(b []byte, f func(protowire.Number, []byte) error) error {
	for len(b) > 0 {
		number, kind, n := protowire.ConsumeTag(b)
		if n < 0 {
			return fmt.Errorf("check cannot be read: %w", protowire.ParseError(n))
		}
		b = b[n:]
		if kind != protowire.BytesType {
			if n = protowire.ConsumeFieldValue(number, kind, b); n < 0 {
				return fmt.Errorf("check cannot be read: %w", protowire.ParseError(n))
			}
			b = b[n:]
			continue
		}
		value, n := protowire.ConsumeBytes(b)
		if n < 0 {
			return fmt.Errorf("check cannot be read: %w", protowire.ParseError(n))
		}
		if err := f(number, value); err != nil {
			return err
		}
		b = b[n:]
	}
	return nil
}
