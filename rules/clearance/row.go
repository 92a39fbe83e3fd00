package clearance

import "slipfit.example/rules/standards"

// rowOfFans is the row that a nominal radiator names.
type rowOfFans struct{ size, fans uint32 }

// rows are the rows of all radiators that the trade names, by nominal size.
var rows = func() map[uint32]rowOfFans {
	out := map[uint32]rowOfFans{}
	for _, r := range standards.RadiatorSizes() {
		out[uint32(r.NominalMM)] = rowOfFans{uint32(r.FanMM), uint32(r.Fans)}
	}
	return out
}()
