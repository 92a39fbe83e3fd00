package audit

import "testing"

func TestJointLengths(t *testing.T) {
	joint := func(text string) string { return "fan: {size_mm: 120}, joints: [{purpose: fan, " + text + "}]" }
	table(t, "audit.joint-lengths", []row{
		{"in order", joint("shortest_mm: 8, longest_mm: 12, count: 4, enough: 3"), []string{"PASS entry"}},
		{"swapped", joint("shortest_mm: 12, longest_mm: 8, count: 4"), []string{"FAIL entry"}},
		{"more are enough than there are", joint("count: 4, enough: 6"), []string{"FAIL entry"}},
		{"more are covered than there are", joint("count: 4, covered: 5"), []string{"FAIL entry"}},
		{"on a mount of an enclosure", "chassis: {layouts: [{id: a, mounts: [{id: rear, kind: MOUNT_KIND_FAN, joints: [{purpose: fan, shortest_mm: 9, longest_mm: 7, count: 4}]}]}]}", []string{"FAIL entry"}},
		{"no joints", "fan: {size_mm: 120}", nil},
	})
}
