package power

import (
	"strings"

	"google.golang.org/protobuf/encoding/protowire"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/quantity"
	"slipfit.example/rules/standards"
)

// factArrangement is the fact of the clearance pack that says what room is left
// beside the plugs. Without it, or without geometry, nothing is said about bends.
const factArrangement = "clearance.arrangement"

var plugBend = kit.Rule{
	ID: "power.plug-bend", Title: "Room for a straight cable behind a 12V-2x6 plug", Since: "0.1.0",
	Why: "A cable that is bent close behind a 12V-2x6 plug pulls its contacts aside, so that a few of them carry most of the current.",
	Formula: "The gap beside the card's plug in the arrangement that the build is judged in, less the straight length that makers of plugs ask for. " +
		"The figure is known from memory only, so that missing it never fails a build.",
	Sources:   []standards.Source{standards.HighPowerBend.Source},
	Reads:     []string{"card.power_sockets"},
	UsesFacts: []string{factArrangement},
	Texts: map[string]string{
		"pass":     "The plug of {card} has {measured} of room and its cable wants {required} of straight way.",
		"marginal": "The plug of {card} has {measured} of room, and its cable wants {required} of straight way before it bends.",
		"fail":     "The plug of {card} has only {measured} of room, and its cable wants {required} of straight way before it bends.",
		"unknown":  "Whether the cable of {card} has room behind its plug cannot be told for want of {missing}.",
	},
	Remedies: map[string]string{
		"angle": "Use a cable whose plug leaves sideways, made for this supply, or a layout that leaves {shortfall} more.",
	},
	Cautions: map[string]string{
		"bend": "A plug that is pulled aside can get hot enough to melt. Push it in until it latches, leave no gap, and let nothing press on the cable.",
	},
	Judge: judgePlugBend,
}

func judgePlugBend(c *kit.Case) {
	var gaps []*v1.Gap
	read := false
	for it := range c.Items(kit.KindCard) {
		if highPowerSockets(it) == 0 {
			continue
		}
		if !read {
			gaps, read = plugGaps(c), true
		}
		tightest := -1
		for i, gap := range gaps {
			if plugOf(gap, it.ID) && (tightest < 0 || gap.GetNominalMm() < gaps[tightest].GetNominalMm()) {
				tightest = i
			}
		}
		if tightest >= 0 {
			reportBend(c, it, gaps[tightest])
		}
	}
}

func reportBend(c *kit.Case, it *kit.Item, gap *v1.Gap) {
	r := quantity.Exact(gap.GetNominalMm())
	if gap.LowMm != nil {
		r.Low = min(r.Nominal, gap.GetLowMm())
	}
	if gap.HighMm != nil {
		r.High = max(r.Nominal, gap.GetHighMm())
	}
	f := c.AtLeast(kit.Constant(0, "mm").With(r, "mm"), kit.Constant(standards.HighPowerBend.Value, "mm")).AtWorst(kit.Marginal)
	f.About(it).Word("card", it.Name()).RemedyOf("angle", f.Shortfall()).CautionWhen("bend")
}

// plugOf reports whether a gap lies beside a plug of an item: shapes are named by
// the item, the piece and the box.
func plugOf(gap *v1.Gap, item string) bool {
	for _, shape := range [2]string{gap.GetFirst(), gap.GetSecond()} {
		if rest, ok := strings.CutPrefix(shape, item+"-"); ok && strings.Contains(rest, "plug") {
			return true
		}
	}
	return false
}

// Field numbers of slipfit.v1.Fact and slipfit.v1.Arrangement.
const (
	factContent     = 2
	arrangementGaps = 7
)

// plugGaps reads the gaps beside plugs out of the fact, and nothing else of it:
// its boxes are many.
func plugGaps(c *kit.Case) (out []*v1.Gap) {
	encoded, ok := c.FactBytes(factArrangement)
	if !ok {
		return nil
	}
	each(encoded, factContent, func(arrangement []byte) {
		each(arrangement, arrangementGaps, func(value []byte) {
			gap := new(v1.Gap)
			if gap.UnmarshalVT(value) == nil && gap.GetReason() == "plug" && gap.NominalMm != nil {
				out = append(out, gap)
			}
		})
	})
	return out
}

// each calls f for every message in a field.
func each(b []byte, field protowire.Number, f func(value []byte)) {
	for len(b) > 0 {
		number, kind, tag := protowire.ConsumeTag(b)
		if tag < 0 {
			return
		}
		n := protowire.ConsumeFieldValue(number, kind, b[tag:])
		if n < 0 {
			return
		}
		if number == field && kind == protowire.BytesType {
			value, _ := protowire.ConsumeBytes(b[tag : tag+n])
			f(value)
		}
		b = b[tag+n:]
	}
}
