package clearance

import (
	"slices"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// desk is what the rules of one case share: the layouts that are open, and for
// the one being judged its limits and who sits where. Its memory serves the next
// case again.
type desk struct {
	limits
	layouts []int // open ones, by their place in the document; -1 for none
	planned int   // alternative that limits and seats hold for

	radiators, fans, drives             []party
	radiatorPlaces, fanPlaces, driveBay []place
	radiatorSeats, fanSeats, driveSeats []seat

	flow    seating
	search  radiatorSearch
	fanCost int64 // of the seating of fans that was tried last
	slots   [maxSlots]slot
	answer  answer

	spot *plan // what geometry tells about the layout, nil for nothing
	key  planKey

	seated []seatedItem // that a plan was asked for last

	out    bool  // a cable has ruled a candidate out, and nobody asks what else does
	runs   []run // of the cables in an arrangement
	runsOf *v1.Arrangement
}

// party is an item that wants places: loose fans, drives, a loose radiator, or
// that of a loop.
type party struct {
	item      *kit.Item
	pieces    int
	size      uint32 // frame or nominal; 0 where it is not stated
	form      string // of a drive
	thickness *float64
	radiator  *v1.Radiator
	inLoop    bool
	ownFans   []*v1.FanSeat
	pinned    bool     // to one mount or more
	seen      []string // mounts that geometry gives it, where its limits name them too
}

// seat is so many pieces of a party at one place.
type seat struct {
	party     *party
	place     *place
	pieces    int
	stretched bool // more than the place's published number, on a row long enough
}

// deskOf returns the desk of the case, laid out for the alternative that is
// being judged; nil where the build has no enclosure.
func deskOf(c *kit.Case) *desk {
	d := c.Workspace.(*desk)
	if d.chassis == nil {
		return nil
	}
	if d.planned != c.Alternative() {
		d.planned = c.Alternative()
		d.plan()
	}
	return d
}

// alternatives opens the desk for a new case and says how many layouts the build
// leaves open.
func alternatives(c *kit.Case) int {
	d, _ := c.Workspace.(*desk)
	if d == nil {
		d = new(desk)
		c.Workspace = d
	}
	d.planned, d.layouts = -1, d.layouts[:0]
	d.runs, d.runsOf, d.out = nil, nil, false
	d.limits = limits{c: c, chassis: c.First(kit.KindChassis)}
	if d.chassis == nil {
		return 1
	}
	wanted := c.Build.GetArrangement().GetLayout()
	for i, layout := range d.chassis.Part.GetChassis().Layouts {
		if wanted == "" || wanted == layout.GetId() {
			d.layouts = append(d.layouts, i)
		}
	}
	if len(d.layouts) == 0 {
		d.layouts = append(d.layouts, -1)
	}
	d.gather()
	return len(d.layouts)
}

// gather lists who wants a place.
func (d *desk) gather() {
	d.radiators, d.fans, d.drives = d.radiators[:0], d.fans[:0], d.drives[:0]
	for it := range d.c.AllItems() {
		p := party{item: it, pieces: it.Count, pinned: d.isPinned(it)}
		switch kind := it.Part.GetKind().(type) {
		case *v1.Part_Radiator:
			p.ofRadiator(kind.Radiator)
			d.radiators = append(d.radiators, p)
		case *v1.Part_LiquidLoop:
			p.inLoop, p.ownFans = true, kind.LiquidLoop.GetFans()
			p.ofRadiator(kind.LiquidLoop.GetRadiator())
			d.radiators = append(d.radiators, p)
		case *v1.Part_Fan:
			p.size, p.thickness = kind.Fan.GetSizeMm(), kind.Fan.ThicknessMm
			d.fans = append(d.fans, p)
		case *v1.Part_Drive:
			if p.form, p.thickness = kind.Drive.GetFormFactor(), kind.Drive.HeightMm; p.form != driveOnBoard {
				d.drives = append(d.drives, p)
			}
		}
	}
}

// driveOnBoard is the form factor of drives that sit on the board and so need no
// place of the enclosure.
const driveOnBoard = "m2"

func (p *party) ofRadiator(r *v1.Radiator) {
	p.radiator, p.size = r, r.GetNominalMm()
	if r != nil {
		p.thickness = r.ThicknessMm
	}
}

// isPinned reports whether the build names the mounts of all pieces of an item.
func (d *desk) isPinned(it *kit.Item) bool {
	named, counted, rest := false, 0, false
	for _, p := range d.c.Build.GetArrangement().GetPlacements() {
		if p.GetItem() == it.ID {
			named = named || p.Mount != nil
			counted += int(p.GetCount())
			rest = rest || p.Count == nil
		}
	}
	return named && (rest || counted >= it.Count)
}

// followGeometry keeps parties to the mounts where geometry puts all parts
// together, so that what limits say is said of the same places. Mounts that the
// limits do not name say nothing.
func (d *desk) followGeometry(parties []party, places []place) {
	p := d.geometry()
	for i := range parties {
		parties[i].seen = parties[i].seen[:0]
		if p == nil || !p.found {
			continue
		}
		pieces := 0
		for k := range p.chosen.seats {
			s := &p.chosen.seats[k]
			if s.mount < 0 || d.itemAt(s.item) != parties[i].item {
				continue
			}
			id := p.scene.shape.mounts[s.mount].mount.GetId()
			if !slices.ContainsFunc(places, func(at place) bool { return at.mount == id }) {
				pieces = 0
				break
			}
			pieces++
			if !contains(parties[i].seen, id) {
				parties[i].seen = append(parties[i].seen, id)
			}
		}
		if pieces != parties[i].pieces {
			parties[i].seen = parties[i].seen[:0]
		}
	}
}

// mayGo reports whether the build's fixed choices leave an item a mount.
func (d *desk) mayGo(p *party, mount string) bool {
	if len(p.seen) > 0 {
		return contains(p.seen, mount)
	}
	if !p.pinned {
		return true
	}
	for _, choice := range d.c.Build.GetArrangement().GetPlacements() {
		if choice.GetItem() == p.item.ID && choice.GetMount() == mount {
			return true
		}
	}
	return false
}

// plan reads the layout's limits and seats everybody.
func (d *desk) plan() {
	d.limits.open(d.c, d.chassis, d.layouts[d.planned])
	d.radiatorPlaces = d.limits.radiatorPlaces(d.radiatorPlaces[:0])
	d.fanPlaces = d.limits.fanPlaces(d.fanPlaces[:0])
	d.driveBay = d.limits.drivePlaces(d.driveBay[:0])
	d.look()
	d.followGeometry(d.radiators, d.radiatorPlaces)
	d.followGeometry(d.fans, d.fanPlaces)
	d.followGeometry(d.drives, d.driveBay)
	d.seatRadiatorsAndFans()
	d.seatDrives()
}

// tolerance is how far a published length may be off, by the policy.
func (d *desk) tolerance() float64 { return d.c.Parameter(&kit.LengthTolerance).Nominal }

// fitCost grades how a thickness suits a limit; an unstated one cannot be told.
func fitCost(thickness, limit *float64, tolerance float64) int64 {
	switch {
	case thickness == nil || limit == nil:
		return costUnknown
	case *thickness > *limit:
		return costFail
	case *limit-*thickness < 2*tolerance:
		return costMarginal
	default:
		return 0
	}
}
