package fastening

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"slipfit.example/rules/geometry"
	"slipfit.example/rules/standards"
)

// Hole is one fastening hole, of a part or of its mount.
type Hole struct {
	// ID names the hole in sentences; it may be empty.
	ID string
	// At is its centre on the face that the screw's head lies on.
	At geometry.Vec
	// From is the side that the screw is put in from: the outward normal of that
	// face.
	From geometry.Face
	// Thread is the thread cut into it, "" for a clearance hole.
	Thread string
	// DiameterMM is that of a clearance hole, 0 where it is not known.
	DiameterMM float64
}

// sameSpotMM is how near two holes of one pattern lie to be the same hole twice.
const sameSpotMM = 0.1

// DuplicateError tells that a pattern names one hole twice.
type DuplicateError struct {
	// First and Second are places in the pattern.
	First, Second int
	// At is where they lie.
	At geometry.Vec
}

// Error says which holes they are and what to do.
func (e *DuplicateError) Error() string {
	return fmt.Sprintf("holes %d and %d of the pattern lie at one place (%g, %g, %g) mm; take one of them out or mend its place",
		e.First+1, e.Second+1, e.At[0], e.At[1], e.At[2])
}

// CheckPattern returns an error for the first hole that is no place at all, and a
// DuplicateError for the first that is there twice.
func CheckPattern(holes []Hole) error {
	for i := range holes {
		if err := holes[i].At.Check(); err != nil {
			return fmt.Errorf("hole %d of the pattern has no place: %w", i+1, err)
		}
		for k := range i {
			if holes[k].At.Dist(holes[i].At) < sameSpotMM {
				return &DuplicateError{k, i, holes[i].At}
			}
		}
	}
	return nil
}

// Place puts holes of a part's own frame where a pose says.
func Place(p geometry.Pose, holes []Hole) []Hole {
	out := slices.Clone(holes)
	for i := range out {
		out[i].At = p.Point(out[i].At)
		out[i].From = p.Rotation().Face(out[i].From)
	}
	return out
}

// Outside lists the holes that lie off a face, given as a box: seen along the
// screw, they are beyond its edges.
func Outside(holes []Hole, face geometry.Box) (off []int) {
	low, high := face.Min(), face.Max()
	for i, h := range holes {
		for _, a := range [...]geometry.Axis{geometry.X, geometry.Y, geometry.Z} {
			if h.From.Valid() && a == h.From.Axis() {
				continue
			}
			if h.At[a] < low[a]-sameSpotMM || h.At[a] > high[a]+sameSpotMM {
				off = append(off, i)
				break
			}
		}
	}
	return off
}

// Pair is a hole of the part over a hole of the mount.
type Pair struct {
	// Part and Mount are places in the two patterns.
	Part, Mount int
	// OffMM is how far their axes are apart.
	OffMM float64
}

// Match is a part's pattern over its mount's.
type Match struct {
	// Pairs are the holes that meet, in the order of the part's.
	Pairs []Pair
	// Lone are holes of the part without one of the mount, Spare those of the
	// mount without one of the part.
	Lone, Spare []int
}

// MatchPatterns lays a part's pattern over its mount's. Two holes meet where their
// axes are no farther apart than the tolerance, seen along the screw: how deep the
// mount lies behind the part is the standoff's matter. Nearest ones are taken
// first, each hole once. It returns the errors of CheckPattern, and one where the
// tolerance is no length.
func MatchPatterns(part, mount []Hole, toleranceMM float64) (Match, error) {
	if !(toleranceMM >= 0 && toleranceMM <= 50) {
		return Match{}, fmt.Errorf("a tolerance of %g mm between holes makes no sense; give 0 to 50 mm", toleranceMM)
	}
	if err := CheckPattern(part); err != nil {
		return Match{}, fmt.Errorf("the part: %w", err)
	}
	if err := CheckPattern(mount); err != nil {
		return Match{}, fmt.Errorf("the mount: %w", err)
	}
	var near []Pair
	for i := range part {
		for k := range mount {
			if off := apart(&part[i], &mount[k]); off <= toleranceMM {
				near = append(near, Pair{i, k, off})
			}
		}
	}
	slices.SortStableFunc(near, func(a, b Pair) int { return cmp.Compare(a.OffMM, b.OffMM) })
	return pick(near, len(part), len(mount)), nil
}

// pick takes the nearest pairs, each hole once.
func pick(near []Pair, parts, mounts int) (m Match) {
	usedPart, usedMount := make([]bool, parts), make([]bool, mounts)
	for _, p := range near {
		if !usedPart[p.Part] && !usedMount[p.Mount] {
			usedPart[p.Part], usedMount[p.Mount] = true, true
			m.Pairs = append(m.Pairs, p)
		}
	}
	slices.SortFunc(m.Pairs, func(a, b Pair) int { return cmp.Compare(a.Part, b.Part) })
	for i, used := range usedPart {
		if !used {
			m.Lone = append(m.Lone, i)
		}
	}
	for i, used := range usedMount {
		if !used {
			m.Spare = append(m.Spare, i)
		}
	}
	return m
}

// apart is the distance of two holes' axes, seen along the part's screw.
func apart(part, mount *Hole) float64 {
	d := part.At.Sub(mount.At)
	if part.From.Valid() {
		d[part.From.Axis()] = 0
	}
	return d.Norm()
}

// BoardPattern is the pattern of a board's form factor in the board's frame: x
// along the rear edge, y away from it, screws from above. Optional holes are left
// out. The error is that of an unknown form factor.
func BoardPattern(form string) ([]Hole, error) {
	b, err := standards.BoardByToken(form)
	if err != nil {
		return nil, fmt.Errorf("the holes of the board are not known: %w", err)
	}
	var out []Hole
	for _, h := range b.Holes {
		if !h.Optional {
			out = append(out, Hole{
				ID: h.Letter, At: geometry.Vec{h.At.XMM, h.At.YMM, standards.BoardThickness.Value},
				From: geometry.MaxZ, DiameterMM: standards.MountingHoleDiameter.Value,
			})
		}
	}
	return out, nil
}

// FanPattern is the pattern of a fan's frame, from the frame's first corner: x and
// y along its edges, screws from below (the face that lies on the plate). pitchMM
// is the distance of the holes, 0 for that of the frame size.
func FanPattern(sizeMM int, pitchMM float64) ([]Hole, error) {
	if pitchMM == 0 {
		f, err := standards.FanSizeByNominal(sizeMM)
		if err != nil {
			return nil, fmt.Errorf("the holes of the fan are not known: %w", err)
		}
		pitchMM = f.PitchMM
	}
	if !(pitchMM > 0 && pitchMM < float64(sizeMM)) {
		return nil, fmt.Errorf("holes %g mm apart do not lie on a frame of %d mm; mend the hole pitch", pitchMM, sizeMM)
	}
	first := (float64(sizeMM) - pitchMM) / 2
	var out []Hole
	for _, x := range [...]float64{first, first + pitchMM} {
		for _, y := range [...]float64{first, first + pitchMM} {
			out = append(out, Hole{At: geometry.Vec{x, y, 0}, From: geometry.MinZ, DiameterMM: standards.FanHole.Value})
		}
	}
	return out, nil
}

// RadiatorPattern is the pattern of a nominal radiator whose fans abut, from the
// first corner of the row of fans, screws from below.
func RadiatorPattern(nominalMM int) ([]Hole, error) {
	size, _, err := standards.RadiatorFans(nominalMM)
	if err != nil {
		return nil, err
	}
	points, err := standards.RadiatorHoles(nominalMM, 0)
	if err != nil {
		return nil, err
	}
	fan, err := standards.FanSizeByNominal(size)
	if err != nil {
		return nil, err
	}
	first := (float64(size) - fan.PitchMM) / 2
	out := make([]Hole, len(points))
	for i, p := range points {
		out[i] = Hole{At: geometry.Vec{first + p.XMM, first + p.YMM, 0}, From: geometry.MinZ}
	}
	return out, nil
}

// DrivePattern is the pattern of a drive's underside in the drive's frame: x along
// its length, y across, screws from below. The error names the form factors that
// are known.
func DrivePattern(form string) ([]Hole, error) {
	f, err := standards.DriveFormByToken(form)
	if err != nil {
		return nil, err
	}
	out := make([]Hole, len(f.Holes))
	for i, p := range f.Holes {
		out[i] = Hole{At: geometry.Vec{p.XMM, p.YMM, 0}, From: geometry.MinZ, Thread: f.Thread}
	}
	return out, nil
}

// PlayMM is how far a screw can be moved in a clearance hole to either side, 0
// for a tapped hole or where diameter or thread are not known.
func PlayMM(h Hole, screw string) float64 {
	t, err := standards.ThreadByToken(Token(screw))
	if err != nil || h.DiameterMM == 0 || h.Thread != "" {
		return 0
	}
	return math.Max(0, (h.DiameterMM-t.MajorMM)/2)
}

// SupplyPattern is the pattern of a supply's rear face in the supply's frame: x
// its width, z its height, screws from behind. The error is that of an unknown
// form factor, or says that its holes are not known.
func SupplyPattern(form string) ([]Hole, error) {
	f, err := standards.SupplyFormByToken(form)
	if err != nil {
		return nil, fmt.Errorf("the holes of the supply are not known: %w", err)
	}
	if len(f.Holes) == 0 {
		return nil, fmt.Errorf("the holes of a %s supply are not in the tables; give the supply's own", f.Name)
	}
	out := make([]Hole, len(f.Holes))
	for i, p := range f.Holes {
		out[i] = Hole{At: geometry.Vec{p.XMM, 0, p.YMM}, From: geometry.MinY, Thread: f.Screw}
	}
	return out, nil
}

// SocketPattern is the pattern of a cooler round a processor's socket, from the
// socket's centre, the shorter distance along x, screws from above. The holes of
// sockets are known from memory only.
func SocketPattern(socket string) ([]Hole, error) {
	s, err := standards.SocketByToken(socket)
	if err != nil {
		return nil, fmt.Errorf("the cooler's holes are not known: %w", err)
	}
	if !s.HolesKnown() {
		return nil, fmt.Errorf("the cooler's holes round a %s socket are not in the tables; give the bracket's own", socket)
	}
	var out []Hole
	for _, x := range [...]float64{-s.HoleXMM / 2, s.HoleXMM / 2} {
		for _, y := range [...]float64{-s.HoleYMM / 2, s.HoleYMM / 2} {
			out = append(out, Hole{At: geometry.Vec{x, y, 0}, From: geometry.MaxZ})
		}
	}
	return out, nil
}
