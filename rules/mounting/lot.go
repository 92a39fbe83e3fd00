package mounting

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
)

// lot is a number of like fasteners in one box.
type lot struct {
	item     *kit.Item
	index    int // in the box
	fastener *v1.Fastener
	kind     fastening.Fastener // the same for comparing
	count    int                // in all boxes of the item
	left     int
}

// kindOf is a fastener for comparing.
func kindOf(f *v1.Fastener) fastening.Fastener {
	return fastening.Fastener{
		Kind: f.GetKind(), Thread: f.GetThread(), LengthMM: f.GetLengthMm(), Head: f.GetHead(), Purpose: f.GetPurpose(),
	}
}

// lotFields are the paths of fasteners in a box, made once.
type lotFields struct{ thread, length, count string }

var lotPaths = func() (paths [64]lotFields) {
	for i := range paths {
		at := "kit.fasteners[" + strconv.Itoa(i) + "]."
		paths[i] = lotFields{at + "thread", at + "length_mm", at + "count"}
	}
	return paths
}()

func (l *lot) paths() lotFields { return lotPaths[min(l.index, len(lotPaths)-1)] }

// size is how many pieces the lot has, as a value.
func (l *lot) size(c *kit.Case) kit.Value {
	v := float64(l.count)
	return c.Given(l.item.At(l.paths().count), &v, "")
}

// unpack lists what fasteners lie in the boxes of all items.
func (s *scene) unpack() {
	for it := range s.c.AllItems() {
		for i, f := range it.Part.GetKit().GetFasteners() {
			n := int(f.GetCount()) * it.Count
			s.lots = append(s.lots, lot{item: it, index: i, fastener: f, kind: kindOf(f), count: n, left: n})
		}
	}
}

// provided is how many of an accessory lie in the boxes or stand in the build.
func (s *scene) provided(token string) (pieces int) {
	for it := range s.c.AllItems() {
		for _, p := range it.Part.GetKit().GetPieces() {
			if p.GetProvides() != token {
				continue
			}
			n := 1
			if p.Count != nil {
				n = int(*p.Count)
			}
			pieces += n * it.Count
		}
		for _, provides := range it.Part.GetAccessory().GetProvides() {
			if provides == token {
				pieces += it.Count
			}
		}
	}
	return pieces
}

// sameThread compares threads as the trade writes them, "M3" or "m3".
func sameThread(a, b string) bool { return fastening.Same(a, b) }
