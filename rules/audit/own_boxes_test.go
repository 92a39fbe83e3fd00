package audit

import "testing"

func TestOwnBoxes(t *testing.T) {
	card := func(box string) string {
		return "card: {length_mm: 267, height_mm: 120, thickness_mm: 40}, bodies: [" + box + "]"
	}
	table(t, "audit.own-boxes", []row{
		{"the same size", card("{extent: {size_x_mm: 40, size_y_mm: 267, size_z_mm: 120}}"), []string{"PASS entry"}},
		{"two boxes make it together", card("{extent: {size_x_mm: 40, size_y_mm: 200, size_z_mm: 120}}, {extent: {corner: {y_mm: 200}, size_x_mm: 20, size_y_mm: 67, size_z_mm: 100}}"), []string{"PASS entry"}},
		{"a longer box", card("{extent: {size_x_mm: 40, size_y_mm: 330, size_z_mm: 120}}"), []string{"FAIL entry"}},
		{"room for plugs does not count", card("{extent: {size_x_mm: 40, size_y_mm: 267, size_z_mm: 120}}, {purpose: PURPOSE_PLUG, extent: {corner: {z_mm: 120}, size_x_mm: 40, size_y_mm: 30, size_z_mm: 60}}"), []string{"PASS entry"}},
		{"no published size", "card: {slots: 2}, bodies: [{extent: {size_x_mm: 40, size_y_mm: 267, size_z_mm: 120}}]", nil},
		{"no boxes", "card: {length_mm: 267, height_mm: 120, thickness_mm: 40}", nil},
	})
}
