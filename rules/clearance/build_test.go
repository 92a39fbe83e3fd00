package clearance

import "strings"

// limited is a build of an enclosure with limits alone, and of other items.
func limited(limits string, items ...string) string { return laidOut(limits, "", items...) }

// laidOut is a build of an enclosure with limits and layouts, and of other items.
func laidOut(limits, layouts string, items ...string) string {
	return "items:\n- {id: case, part: {name: Reed Bed, chassis: {limits: {" + limits + "}, layouts: [" + layouts + "]}}}\n" +
		joined(items)
}

// arranged is a build of an enclosure with limits, and of other items, with fixed
// choices.
func arranged(limits, choices string, items ...string) string {
	return limited(limits, items...) + "arrangement: {" + choices + "}\n"
}

func joined(items []string) string {
	if len(items) == 0 {
		return ""
	}
	return "- " + strings.Join(items, "\n- ") + "\n"
}
