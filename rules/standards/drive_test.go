package standards

import (
	"math"
	"testing"
)

// SFF-8201 and SFF-8301, from memory: 61.72 mm across and 76.6 mm along a small
// drive, 95.25 mm across and 44.45 mm along a large one, the same to both edges.
func TestDriveHoles(t *testing.T) {
	for token, want := range map[string]struct{ across, along, edge float64 }{
		"2.5-inch": {61.72, 76.6, 4.07}, "3.5-inch": {95.25, 44.45, 3.18},
	} {
		form, err := DriveFormByToken(token)
		if err != nil || len(form.Holes) != 4 {
			t.Fatalf("%s: %v, %v", token, form, err)
		}
		near := func(what string, got, want float64) {
			if math.Abs(got-want) > 0.011 {
				t.Errorf("%s: %s %g, want %g", token, what, got, want)
			}
		}
		near("across", form.Holes[0].Distance(form.Holes[1]), want.across)
		near("along", form.Holes[0].Distance(form.Holes[2]), want.along)
		near("to the first edge", form.Holes[0].YMM, want.edge)
		near("to the other edge", form.WidthMM-form.Holes[1].YMM, want.edge)
	}
	if _, err := DriveFormByToken("5-inch"); err == nil ||
		err.Error() != `the holes of a "5-inch" drive are not in the tables; there are 2.5-inch and 3.5-inch, or give the drive's own` {
		t.Errorf("error %v", err)
	}
}
