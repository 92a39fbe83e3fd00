package audit

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

var jointLengthsRule = kit.Rule{
	ID: "audit.joint-lengths", Title: "Screws' lengths and numbers in order", Since: "0.1.0",
	Why:     "A shortest length above the longest leaves no screw that fits, and a joint that holds with more screws than it has never holds.",
	Formula: "The shortest length of each joint stays at or below its longest, and the number that is enough, and the number covered, at or below all.",
	Sources: []source{arithmetic},
	Reads:   []string{"joints.shortest_mm", "joints.longest_mm", "joints.count", "joints.enough", "joints.covered", "chassis.layouts.mounts.joints"},
	Texts: texts("The joints of {part} are in order.",
		"Whether the joints of {part} are in order cannot be told without {missing}.",
		map[string]string{
			"lengths": "Joint {joint} of {part} takes screws of {shortest} at least and {longest} at most: no screw is both.",
			"numbers": "Joint {joint} of {part} has {count} screws, and says that {enough} are enough and {covered} covered.",
		}),
	Remedies: remedies(map[string]string{
		"swap":    "Put the shorter length first: the two look swapped.",
		"numbers": "Count the holes again and correct the numbers.",
	}),
	Judge: each(judgeJointLengths),
}

func judgeJointLengths(s *sheet) {
	for i, joint := range s.it.Part.Joints {
		holdJoint(s, "joints[", i, joint)
	}
	for _, layout := range s.it.Part.GetChassis().GetLayouts() {
		for _, mount := range layout.Mounts {
			for i, joint := range mount.Joints {
				holdJoint(s, mount.GetId()+".joints[", i, joint)
			}
		}
	}
}

func holdJoint(s *sheet, before string, i int, j *v1.Joint) {
	s.held++
	name := func() string {
		if id := j.GetId(); id != "" {
			return id
		}
		return before + strconv.Itoa(i) + "]"
	}
	if j.ShortestMm != nil && j.LongestMm != nil && *j.ShortestMm > *j.LongestMm {
		s.blame("lengths").Word("joint", name()).Number("shortest", kit.Constant(*j.ShortestMm, "mm")).
			Number("longest", kit.Constant(*j.LongestMm, "mm")).Remedy("swap")
	}
	if j.GetEnough() > j.GetCount() || j.GetCovered() > j.GetCount() {
		s.blame("numbers").Word("joint", name()).Word("count", strconv.Itoa(int(j.GetCount()))).
			Word("enough", strconv.Itoa(int(j.GetEnough()))).Word("covered", strconv.Itoa(int(j.GetCovered()))).Remedy("numbers")
	}
}
