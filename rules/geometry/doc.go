// Package geometry measures between axis-aligned boxes: signed gaps with their tolerance ranges, distances, volumes,
// free space and straight insertion paths.
//
// All lengths are millimetres in one right-handed frame. A value of one of the guarded types (Box, Pose, Rotation,
// Deviation) can only be made by a constructor that refuses what is not finite or has no extent, so that no function
// here ever returns a NaN or an infinity. The zero Box is a point at the origin, the zero Pose leaves things where they
// are, the zero Deviation is an exact face.
//
// The package knows nothing of computers, rules or verdicts.
package geometry
