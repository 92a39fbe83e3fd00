package standards

import (
	"fmt"
	"slices"
)

var (
	srcDriveSmall = register("sff-8201-bottom", "SFF-8201, form factor of 2.5 in drives", "bottom mounting holes A28, A29, A50 to A52", Memory)
	srcDriveLarge = register("sff-8301-bottom", "SFF-8301, form factor of 3.5 in drives", "bottom mounting holes A4 to A7", Memory)
)

// DriveForm is a form factor of drives that lie in a bay.
type DriveForm struct {
	// Token is the form factor as documents write it.
	Token string
	// LengthMM and WidthMM are the outline.
	LengthMM, WidthMM float64
	// Holes are the four threads in the underside, x along the length from the end
	// with the plugs, y across.
	Holes []Point
	// Thread is theirs.
	Thread string
	// Source is that of the holes.
	Source Source
}

var driveForms = []DriveForm{
	{"2.5-inch", 100.45, 69.85, []Point{{14, 4.07}, {14, 65.79}, {90.6, 4.07}, {90.6, 65.79}}, ThreadM3, srcDriveSmall},
	{"3.5-inch", 147, 101.6, []Point{{41.28, 3.18}, {41.28, 98.43}, {85.73, 3.18}, {85.73, 98.43}}, Thread632, srcDriveLarge},
}

// DriveForms returns the form factors of drives with their holes.
func DriveForms() []DriveForm {
	out := slices.Clone(driveForms)
	for i := range out {
		out[i].Holes = slices.Clone(out[i].Holes)
	}
	return out
}

// DriveFormByToken returns one form factor; an error names those that there are.
func DriveFormByToken(token string) (DriveForm, error) {
	for _, f := range driveForms {
		if f.Token == token {
			f.Holes = slices.Clone(f.Holes)
			return f, nil
		}
	}
	return DriveForm{}, fmt.Errorf("the holes of a %q drive are not in the tables; there are %s and %s, or give the drive's own",
		token, driveForms[0].Token, driveForms[1].Token)
}
