package power

import (
	"encoding/binary"
	"math"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// circuitKey is written while builds are told apart by their wiring.
type circuitKey []byte

// appendKey appends what tells builds apart whose wiring differs: of every item that
// draws, feeds or connects, in their order, what it is, how many there are, and all that
// plan and circuit are made from. What parts draw is no part of it, but for cards that
// want the plug which announces most.
func appendKey(key []byte, items []*kit.Item) []byte {
	k := circuitKey(key)
	several := 0
	for _, it := range items {
		if it.Kind == kit.KindCard && highPowerSockets(it) > 0 {
			several++
		}
	}
	for _, it := range items {
		k = append(k, byte(it.Kind))
		k.number(uint64(it.Count))
		k.shares(demandOf(it))
		switch it.Kind {
		case kit.KindBoard:
			k.sockets(it.Part.GetBoard().PowerSockets)
		case kit.KindDrive:
			k.sockets(it.Part.GetDrive().PowerSockets)
		case kit.KindCard:
			k.sockets(it.Part.GetCard().PowerSockets)
			if several > 1 {
				k.figure(it.Part.GetCard().GetDemand().GetSustainedW())
			}
		case kit.KindCable:
			k.cable(it.Part.GetCable())
		case kit.KindSupply:
			k.supply(it)
		}
	}
	return k
}

func (k *circuitKey) number(n uint64) { *k = binary.AppendUvarint(*k, n) }
func (k *circuitKey) figure(f float64) {
	*k = binary.LittleEndian.AppendUint64(*k, math.Float64bits(f))
}

func (k *circuitKey) word(s string) {
	k.number(uint64(len(s)))
	*k = append(*k, s...)
}

func (k *circuitKey) flag(set bool) {
	if set {
		*k = append(*k, 1)
	} else {
		*k = append(*k, 0)
	}
}

// counted takes a number that may be missing.
func (k *circuitKey) counted(n *uint32) {
	if k.flag(n != nil); n != nil {
		k.number(uint64(*n))
	}
}

// named takes a word that may be missing.
func (k *circuitKey) named(s *string) {
	if k.flag(s != nil); s != nil {
		k.word(*s)
	}
}

func (k *circuitKey) shares(demand *v1.Demand) {
	k.number(uint64(len(demand.GetRails())))
	for _, share := range demand.GetRails() {
		k.word(share.GetRail())
		k.figure(share.GetShare())
	}
}

func (k *circuitKey) sockets(sockets []*v1.PowerSocket) {
	k.number(uint64(len(sockets)))
	for _, s := range sockets {
		k.word(s.GetConnector())
		k.number(uint64(counted(s.Count)))
		k.flag(s.GetDispensable())
	}
}

func (k *circuitKey) supply(it *kit.Item) {
	part := it.Part.GetSupply()
	k.flag(olderGuide(it))
	k.named(part.Pinout)
	k.number(uint64(len(part.Outlets)))
	for _, o := range part.Outlets {
		k.word(o.GetSocket())
		k.number(uint64(counted(o.Count)))
	}
	k.number(uint64(len(part.Cables)))
	for _, cable := range part.Cables {
		k.cable(cable)
	}
}

func (k *circuitKey) cable(cable *v1.Cable) {
	k.word(cable.GetFrom())
	k.flag(cable.GetCaptive())
	k.number(uint64(counted(cable.Count)))
	k.named(cable.Pinout)
	k.counted(cable.GaugeAwg)
	k.counted(cable.PowerWires)
	k.number(uint64(len(cable.Ends)))
	for _, end := range cable.Ends {
		k.word(end.GetConnector())
		k.figure(end.GetLengthMm())
		k.figure(end.GetSenseW())
	}
}
