package threeways

import (
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Verdicts are those of the rules by their place in Names; VERDICT_UNSPECIFIED stands
// for a rule that has nothing to say.
type Verdicts [25]v1.Verdict

// Names are the rules' names in the order of the house rules file.
var Names = [25]string{
	"fan-size", "fan-thickness", "card-reach", "card-height", "card-thickness", "supply-length", "supply-power",
	"supply-form", "supply-mark", "cooler-height", "drive-capacity", "drive-bus", "memory-capacity", "memory-height",
	"processor-heat", "processor-cores", "board-sockets", "board-sata", "one-supply", "two-copies", "cooled", "few-fans",
	"thick-fans", "enough-memory", "cool-room",
}

const (
	pass    = v1.Verdict_VERDICT_PASS
	unknown = v1.Verdict_VERDICT_UNKNOWN
	fail    = v1.Verdict_VERDICT_FAIL
)

// Judge judges a build by all rules in plain Go, the worst verdict of each rule's items.
func Judge(b *v1.Build, out *Verdicts) {
	*out = Verdicts{}
	var c counts
	for _, item := range b.GetItems() {
		judgePart(item, out, &c)
	}
	out[18] = whether(c.supplies == 1)
	out[19] = whether(c.several || c.drives > 1)
	out[20] = whether(c.cooled)
	out[21] = whether(c.fans <= 3)
	out[22] = every(c.thin, c.thicknessAbsent)
	out[23] = either(c.enoughMemory, c.memoryAbsent)
	out[24] = pass
	if b.GetRoom() != nil {
		out[24] = atMost(b.Room.TemperatureC, 30)
	}
	if len(b.GetItems()) == 0 {
		// An empty list is absent on the wire, so that rules over it have no answer.
		for _, i := range []int{18, 19, 20, 21, 22, 23} {
			out[i] = unknown
		}
	}
}

// counts are what rules about the build need of its items.
type counts struct {
	supplies, drives, fans        int
	several, cooled, enoughMemory bool
	thin, thicknessAbsent         bool
	memoryAbsent                  bool
}

func judgePart(item *v1.Item, out *Verdicts, c *counts) {
	worst := func(rule int, v v1.Verdict) { out[rule] = max(out[rule], v) }
	switch kind := item.GetPart().GetKind().(type) {
	case *v1.Part_Fan:
		f := kind.Fan
		worst(0, atLeast(f.SizeMm, 120))
		worst(1, atMost(f.ThicknessMm, 30))
		c.fans++
		c.thicknessAbsent = c.thicknessAbsent || f.ThicknessMm == nil
		c.thin = c.thin || f.ThicknessMm != nil && *f.ThicknessMm < 15
	case *v1.Part_Card:
		worst(2, atMost(kind.Card.LengthMm, 300))
		worst(3, atMost(kind.Card.HeightMm, 140))
		worst(4, atMost(kind.Card.ThicknessMm, 60))
	case *v1.Part_Supply:
		s := kind.Supply
		c.supplies++
		worst(5, atMost(s.LengthMm, 180))
		worst(6, atLeast(s.RatedW, 450))
		worst(7, among(s.FormFactor, "ATX", "SFX", "SFX-L"))
		worst(8, among(s.EfficiencyMark, "gold", "platinum", "titanium"))
	case *v1.Part_AirCooler:
		c.cooled = true
		worst(9, atMost(kind.AirCooler.HeightMm, 155))
	case *v1.Part_LiquidLoop:
		c.cooled = true
	case *v1.Part_Drive:
		d := kind.Drive
		c.drives++
		c.several = c.several || item.Count != nil && *item.Count > 1
		worst(10, atLeast(d.CapacityGb, 1000))
		worst(11, either(d.Bus != nil && *d.Bus == "nvme" || d.FormFactor != nil && *d.FormFactor == "2.5in", d.Bus == nil || d.FormFactor == nil))
	case *v1.Part_Memory:
		m := kind.Memory
		worst(12, atLeast(m.CapacityGb, 16))
		worst(13, atMost(m.HeightMm, 44))
		c.memoryAbsent = c.memoryAbsent || m.CapacityGb == nil
		c.enoughMemory = c.enoughMemory || m.CapacityGb != nil && *m.CapacityGb >= 32
	case *v1.Part_Processor:
		worst(14, atMost(kind.Processor.RatedHeatW, 125))
		worst(15, atLeast(kind.Processor.Cores, 6))
	case *v1.Part_Board:
		worst(16, either(len(kind.Board.M2Slots) > 0, true))
		worst(17, atLeast(kind.Board.SataPorts, 2))
	}
}

func whether(ok bool) v1.Verdict {
	if ok {
		return pass
	}
	return fail
}

// either is whether one of several holds, by strong three-valued logic (Kleene's).
func either(one, absent bool) v1.Verdict {
	switch {
	case one:
		return pass
	case absent:
		return unknown
	}
	return fail
}

// every is whether none of several fails, by the same.
func every(one, absent bool) v1.Verdict {
	switch {
	case one:
		return fail
	case absent:
		return unknown
	}
	return pass
}

func atMost[N float64 | uint32](have *N, most N) v1.Verdict {
	if have == nil {
		return unknown
	}
	return whether(*have <= most)
}

func atLeast[N float64 | uint32](have *N, least N) v1.Verdict {
	if have == nil {
		return unknown
	}
	return whether(*have >= least)
}

func among(have *string, allowed ...string) v1.Verdict {
	if have == nil {
		return unknown
	}
	return whether(slices.Contains(allowed, *have))
}
