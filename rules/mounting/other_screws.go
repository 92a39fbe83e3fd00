package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var otherScrewsRule = kit.Rule{
	ID: "mounting.other-screws", Title: "Screws of card, cooler, frame and other joints", Since: "0.1.0",
	Why: "A joint that a part describes asks for screws of its own thread, length and head; one that lies in no box stops the build on the table.",
	Formula: "Margin is the number of fasteners in the boxes that have the joint's thread, a length within its range and a head that it takes, less how many it takes. " +
		"Where the part says how many are enough, fewer than all are doubtful.",
	Sources: []sourceOf{sourceByID("screw-uses"), kit.CommonPractice},
	Reads:   []string{"joints", "kit.fasteners"},
	Texts: map[string]string{
		"pass":    "Joint {joint} of {part} takes {required} fasteners, and the boxes hold them.",
		"fail":    "Joint {joint} of {part} takes {required} fasteners and the boxes hold {measured}.",
		"unknown": "Whether there are fasteners for joint {joint} of {part} cannot be told without {missing}; look into the boxes of the part and the enclosure.",
	},
	Remedies: map[string]string{"buy": "Buy {lacking} fasteners of the joint's thread, length and head."},
	Cautions: map[string]string{
		"cooler": "Turn the screws of a cooler crosswise in small equal steps until they stop: a cooler that is pulled down on one side cracks the processor.",
	},
	Judge: judgeOtherScrews,
}

func judgeOtherScrews(c *kit.Case) {
	s := sceneOf(c)
	for i := range s.joints {
		j := &s.joints[i]
		if j.rule != otherJoint || j.need == 0 {
			continue
		}
		f := s.judge(j, "other-screws", j.item, s.chassis).Word("joint", j.name)
		if j.Purpose == "cooler" && j.item.Kind == kit.KindAirCooler {
			f.Caution("cooler")
		}
	}
}

// otherJoints lists the joints that a part describes and no rule of its kind
// speaks for.
func (s *scene) otherJoints(it *kit.Item) {
	own := ownPurpose[it.Kind]
	for _, d := range it.Part.GetJoints() {
		p := d.GetPurpose()
		if p == own || p == "" || it.Kind == kit.KindChassis && spokenFor[p] || len(s.joints) >= mostJoints {
			continue
		}
		j := joint{Joint: screwFor(d.GetPurpose()), item: it, rule: otherJoint, name: nameOf(d)}
		if d.GetKind() != "" {
			j.Kind = d.GetKind()
		}
		if j.by(d, it.Count); d.GetThread() == "" {
			j.open, j.isOpen = it.At("joints"), true
		}
		s.joints = append(s.joints, j)
	}
}

// ownPurpose is what the rule of a kind of part speaks for.
var ownPurpose = map[kit.Kind]string{
	kit.KindBoard: "board", kit.KindSupply: "supply", kit.KindFan: "fan", kit.KindRadiator: "radiator",
	kit.KindLiquidLoop: "radiator", kit.KindDrive: "drive",
}

// spokenFor are the purposes of those rules: what an enclosure says of them is for
// the parts that it holds.
var spokenFor = func() map[string]bool {
	out := map[string]bool{}
	for _, p := range ownPurpose {
		out[p] = true
	}
	return out
}()

func nameOf(d *v1.Joint) string {
	if d.GetId() != "" {
		return d.GetId()
	}
	return d.GetPurpose()
}
