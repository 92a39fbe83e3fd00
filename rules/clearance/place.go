package clearance

import (
	"strconv"

	v1 "slipfit.example/proto/slipfit/v1"
)

// placeField is a figure of one place for radiators, fans or drives.
type placeField int

const (
	placeSizes placeField = iota
	placeCount
	placeThickness
	placeLength
	placeFields // how many there are
)

// placeNames are the contract's names of the fields by list: radiators, fans,
// drives. A list without the field has an empty name.
var placeNames = [3][placeFields]string{
	{"nominal_mm", "", "thickness_mm", "length_mm"},
	{"sizes_mm", "count", "thickness_mm", ""},
	{"form_factor", "count", "height_mm", ""},
}

// pathsKept is how many places of a list have their paths made once.
const pathsKept = 8

// placePaths are the paths of all figures of places from the enclosure's part.
var placePaths = func() (paths [maxLayouts + 1][3][pathsKept][placeFields]string) {
	for owner := range paths {
		for list := range paths[owner] {
			for i := range paths[owner][list] {
				for f := range placeFields {
					paths[owner][list][i][f] = placePath(owner, list, i, f)
				}
			}
		}
	}
	return paths
}()

func placePath(owner, list, index int, f placeField) string {
	return limitsPath(owner) + figureNames[int(radiatorList)+list] + "[" + strconv.Itoa(index) + "]." + placeNames[list][f]
}

// place is one place for radiators, fans or drives, from the limits, with what a
// mount of the same name adds, or from a mount alone.
type place struct {
	mount     string
	list      int // 0 radiators, 1 fans, 2 drives
	owner     int // 0 the enclosure, k+1 layout k, -1 a mount
	index     int // in its list
	sizes     []uint32
	forms     []string // of drives
	form      string   // of drives, by the limits
	count     *uint32
	thickness *float64 // of a drive: its height
	length    *float64
	needs     []string
	excludes  []string
	inLayout  int    // of the layout that has the mount
	radiator  *party // whose own row of fans this place is
}

// path is where a figure of the place stands, from the enclosure's part.
func (p *place) path(f placeField) string {
	switch {
	case p.owner < 0:
		name := "sizes_mm"
		if f == placeCount {
			name = "count"
		} else if p.list == 2 {
			name = "form_factors"
		}
		return layoutPath(p.inLayout) + "mounts[" + strconv.Itoa(p.index) + "]." + name
	case p.owner <= maxLayouts && p.index < pathsKept:
		return placePaths[p.owner][p.list][p.index][f]
	default:
		return placePath(p.owner, p.list, p.index, f)
	}
}

// takes reports whether the place lists a size; stated is false where it lists none.
func (p *place) takes(size uint32) (yes, stated bool) {
	for _, s := range p.sizes {
		if s == size {
			return true, true
		}
	}
	return false, len(p.sizes) > 0
}

// room is how many pieces the place takes for certain: a place whose count is
// not stated takes one.
func (p *place) room() int {
	if p.count == nil {
		return 1
	}
	return int(*p.count)
}

// row is the length that the published number of largest fans takes, 0 where it
// is not stated.
func (p *place) row() uint32 {
	if p.count == nil {
		return 0
	}
	var largest uint32
	for _, s := range p.sizes {
		largest = max(largest, s)
	}
	return largest * *p.count
}

// clashes reports whether two places cannot be used at once: they are the same
// mount, or one excludes the other.
func (p *place) clashes(o *place) bool {
	return p.mount == o.mount || contains(p.excludes, o.mount) || contains(o.excludes, p.mount)
}

var one uint32 = 1

// radiatorPlaces appends the places for radiators.
func (l *limits) radiatorPlaces(out []place) []place {
	owner, list := l.index+1, l.own.Radiators
	if len(list) == 0 {
		owner, list = 0, l.common.Radiators
	}
	for i, r := range list {
		out = append(out, place{
			mount: r.GetMount(), owner: owner, index: i, sizes: r.NominalMm, count: &one,
			thickness: r.ThicknessMm, length: r.LengthMm, needs: r.Needs,
		})
	}
	return l.withMounts(out, v1.MountKind_MOUNT_KIND_RADIATOR, 0)
}

// fanPlaces appends the places for fans.
func (l *limits) fanPlaces(out []place) []place {
	owner, list := l.index+1, l.own.Fans
	if len(list) == 0 {
		owner, list = 0, l.common.Fans
	}
	for i, f := range list {
		out = append(out, place{
			mount: f.GetMount(), list: 1, owner: owner, index: i, sizes: f.SizesMm, count: f.Count,
			thickness: f.ThicknessMm, needs: f.Needs,
		})
	}
	return l.withMounts(out, v1.MountKind_MOUNT_KIND_FAN, 1)
}

// drivePlaces appends the places for drives that do not sit on the board.
func (l *limits) drivePlaces(out []place) []place {
	owner, list := l.index+1, l.own.Drives
	if len(list) == 0 {
		owner, list = 0, l.common.Drives
	}
	for i, d := range list {
		out = append(out, place{
			mount: d.GetMount(), list: 2, owner: owner, index: i, form: d.GetFormFactor(), count: d.Count,
			thickness: d.HeightMm, needs: d.Needs,
		})
	}
	return l.withMounts(out, v1.MountKind_MOUNT_KIND_DRIVE, 2)
}

// withMounts lets the layout's mounts speak where the limits are silent: mounts
// add what an entry of the same name leaves out, and stand in for a list that is
// empty.
func (l *limits) withMounts(places []place, kind v1.MountKind, list int) []place {
	alone := len(places) == 0
	for i, m := range l.layout.GetMounts() {
		if m.GetKind() != kind {
			continue
		}
		if alone {
			p := place{mount: m.GetId(), list: list, owner: -1, index: i, inLayout: l.index,
				sizes: m.SizesMm, forms: m.FormFactors, count: m.Count, needs: m.Needs, excludes: m.Excludes}
			if p.count == nil {
				p.count = &one
			}
			places = append(places, p)
			continue
		}
		for j := range places {
			if p := &places[j]; p.mount == m.GetId() {
				p.excludes = m.Excludes
				p.addFrom(m)
			}
		}
	}
	return places
}

func (p *place) addFrom(m *v1.Mount) {
	if len(p.sizes) == 0 {
		p.sizes = m.SizesMm
	}
	if p.count == nil {
		p.count = m.Count
	}
	if len(p.needs) == 0 {
		p.needs = m.Needs
	}
	if p.form == "" {
		p.forms = m.FormFactors
	}
}
