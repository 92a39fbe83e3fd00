package thermal

import (
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// Field numbers of slipfit.v1, from fact.proto and arrangement.proto.
const (
	factArrangement   = 2
	arrangementLayout = 1
	arrangementSeats  = 2
	arrangementBoxes  = 6
	boxItem           = 1
	boxPurpose        = 4
)

// arrangementOf reads the layout, the seats, and of the parts' boxes those that air does
// not pass or has to pass, out of the arrangement; the rest is most of it and not looked
// at. It is nil where there is no such fact, or its bytes are damaged. Its texts lie in
// the fact's own bytes.
func arrangementOf(c *kit.Case) *v1.Arrangement {
	fact, ok := c.FactBytes(ArrangementFact)
	if !ok {
		return nil
	}
	var out *v1.Arrangement
	ok = eachField(fact, func(number protowire.Number, _, arrangement []byte) bool {
		if number != factArrangement || arrangement == nil {
			return true
		}
		if out == nil {
			out = new(v1.Arrangement)
		}
		return eachField(arrangement, func(number protowire.Number, whole, value []byte) bool {
			switch number {
			case arrangementLayout, arrangementSeats:
			case arrangementBoxes:
				if !minded(value) {
					return true
				}
			default:
				return true
			}
			return out.UnmarshalVTUnsafe(whole) == nil
		})
	})
	if !ok {
		return nil
	}
	return out
}

// minded tells whether the network minds a box: matter of a part, or room for its breath.
func minded(box []byte) bool {
	owned, purpose := false, v1.Purpose_PURPOSE_UNSPECIFIED
	readable := eachField(box, func(number protowire.Number, whole, value []byte) bool {
		switch number {
		case boxItem:
			owned = len(value) > 0
		case boxPurpose:
			_, _, tag := protowire.ConsumeTag(whole)
			bits, _ := protowire.ConsumeVarint(whole[tag:])
			purpose = v1.Purpose(bits)
		}
		return true
	})
	// One that cannot be read shows itself when it is.
	return !readable || owned && (purpose <= v1.Purpose_PURPOSE_SOLID || purpose == v1.Purpose_PURPOSE_BREATH)
}

// eachField calls do for each field of a message: its bytes with the tag, and of its
// value where it holds bytes. It reports whether the message could be read and do was
// content to the end.
func eachField(message []byte, do func(number protowire.Number, whole, value []byte) bool) bool {
	for len(message) > 0 {
		number, kind, tag := protowire.ConsumeTag(message)
		if tag < 0 {
			return false
		}
		n := protowire.ConsumeFieldValue(number, kind, message[tag:])
		if n < 0 {
			return false
		}
		whole := message[:tag+n]
		var value []byte
		if kind == protowire.BytesType {
			value, _ = protowire.ConsumeBytes(whole[tag:])
		}
		if !do(number, whole, value) {
			return false
		}
		message = message[tag+n:]
	}
	return true
}
