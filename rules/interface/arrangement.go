package mating

import (
	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// Field numbers of slipfit.v1, from fact.proto and arrangement.proto.
const (
	factArrangementField = 2
	arrangementLayout    = 1
	arrangementSeats     = 2
)

// seatedIn reads the layout and the seats of the arrangement, and leaves its
// boxes, gaps and routes aside: they are most of it, and no rule here looks at
// them. ok is false where there is no such fact or its bytes are damaged.
func seatedIn(c *kit.Case) (layout string, seats []*v1.Seat, ok bool) {
	fact, ok := c.FactBytes(factArrangement)
	if !ok {
		return "", nil, false
	}
	ok = eachBytes(fact, func(field protowire.Number, arrangement []byte) bool {
		return field != factArrangementField || eachBytes(arrangement, func(field protowire.Number, value []byte) bool {
			switch field {
			case arrangementLayout:
				layout = string(value)
			case arrangementSeats:
				seat := new(v1.Seat)
				if seat.UnmarshalVT(value) != nil {
					return false
				}
				seats = append(seats, seat)
			}
			return true
		})
	})
	return layout, seats, ok
}

// eachBytes calls do for each field of a message that holds bytes, and reports
// whether the message could be read and do was content to the end.
func eachBytes(message []byte, do func(field protowire.Number, value []byte) bool) bool {
	for len(message) > 0 {
		field, kind, n := protowire.ConsumeTag(message)
		if n < 0 {
			return false
		}
		message = message[n:]
		if kind != protowire.BytesType {
			if n = protowire.ConsumeFieldValue(field, kind, message); n < 0 {
				return false
			}
			message = message[n:]
			continue
		}
		value, n := protowire.ConsumeBytes(message)
		if n < 0 || !do(field, value) {
			return false
		}
		message = message[n:]
	}
	return true
}
