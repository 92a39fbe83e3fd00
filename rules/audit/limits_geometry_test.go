package audit

import "testing"

func TestLimitsGeometry(t *testing.T) {
	chassis := func(limits, mount string) string {
		return "chassis: {limits: {" + limits + "}, layouts: [{id: below, mounts: [" + mount + "]}]}"
	}
	const space = "{id: slot, kind: MOUNT_KIND_CARD, space: {size_x_mm: 330, size_y_mm: 81, size_z_mm: 145}}"
	table(t, "audit.limits-geometry", []row{
		{"the card's space", chassis("card_length_mm: 330", space), []string{"PASS entry"}},
		{"longer than the card's space", chassis("card_length_mm: 345", space), []string{"MARGINAL entry margin -14 mm"}},
		{"far longer", chassis("card_length_mm: 3300", space), []string{"FAIL entry margin -2969 mm"}},
		{"a fan size that the mount does not take", chassis("fans: [{mount: rear, sizes_mm: [140]}]", "{id: rear, kind: MOUNT_KIND_FAN, sizes_mm: [120, 92]}"), []string{"FAIL entry"}},
		{"the same sizes", chassis("fans: [{mount: rear, sizes_mm: [120]}]", "{id: rear, kind: MOUNT_KIND_FAN, sizes_mm: [120, 92]}"), []string{"PASS entry"}},
		{"a radiator that the mount does not take", chassis("radiators: [{mount: side, nominal_mm: [280]}]", "{id: side, kind: MOUNT_KIND_RADIATOR, sizes_mm: [240]}"), []string{"FAIL entry"}},
		{"longer than its chamber", "chassis: {limits: {cooler_height_mm: 200}, compartments: [{id: main, extent: {size_x_mm: 150, size_y_mm: 150, size_z_mm: 150}}]}", []string{"FAIL entry margin -25 mm"}},
		{"limits alone", "chassis: {limits: {card_length_mm: 330}}", nil},
	})
}
