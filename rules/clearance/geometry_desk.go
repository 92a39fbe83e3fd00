package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// geometry is what boxes tell of the layout that is being judged, nil where it has
// none.
func (d *desk) geometry() *plan {
	if d.spot == nil || !d.spot.seen {
		return nil
	}
	return d.spot
}

// shown is the arrangement in boxes, nil where there is none.
func (d *desk) shown() *arrangement {
	if p := d.geometry(); p != nil && p.shown {
		return &p.chosen
	}
	return nil
}

// look searches the geometry of the layout.
func (d *desk) look() {
	d.spot = d.planOf(d.limits.index, d.c.Build.GetArrangement())
}

// planOf searches a layout under some fixed choices.
func (d *desk) planOf(layout int, choices *v1.ArrangementChoice) *plan {
	return d.planWithout(nil, layout, choices)
}

// planWithout searches a layout for a build that lacks an item, nil for none.
func (d *desk) planWithout(left *kit.Item, layout int, choices *v1.ArrangementChoice) *plan {
	if layout < 0 || len(d.chassis.Part.GetChassis().Compartments) == 0 {
		return nil
	}
	k := &d.key
	*k = planKey{chassis: d.chassis.Part, layout: layout, keep: d.keeps()}
	if len(choices.GetPlacements()) > 0 {
		if pins, err := choices.MarshalVT(); err == nil {
			k.pins = string(pins)
		}
	}
	d.seated = d.seated[:0]
	for it := range d.c.AllItems() {
		if it == left {
			continue
		}
		n := len(d.seated)
		if n == keptItems {
			return nil
		}
		k.items[n] = itemKey{kept.firstLike(it.Part), it.ID, it.Count}
		d.seated = append(d.seated, seatedItem{id: it.ID, name: it.Name(), count: it.Count, part: it.Part})
	}
	return kept.planOf(k, d.seated, d.c.Terse())
}

// keeps reads the policy's gaps.
func (d *desk) keeps() keep {
	return keep{
		tolerance: d.tolerance(),
		touch:     d.c.Parameter(&touchGap).Nominal,
		vibration: d.c.Parameter(&vibrationGap).Nominal,
		plug:      d.c.Parameter(&plugGap).Nominal,
		hand:      d.c.Parameter(&handGap).Nominal,
		breath:    d.c.Parameter(&breathRoom).Nominal,
		play:      d.c.Parameter(&riserPlay).Nominal,
	}
}

// itemAt is the item of the case that a thing of the arrangement is; nil for a
// part of the enclosure.
func (d *desk) itemAt(index int) *kit.Item {
	n := 0
	for it := range d.c.AllItems() {
		if n == index {
			return it
		}
		n++
	}
	return nil
}

// roomFor is what geometry leaves an item in the direction of a limit, else the
// published limit.
func (d *desk) roomFor(f figure, it *kit.Item) kit.Value {
	if r := d.roomIn(f, it); r != nil {
		return d.c.Figure(d.chassis, d.placesPath(), &r.mm, "mm", r.off)
	}
	return d.length(f)
}

// hasRoom reports whether geometry tells what room an item has.
func (d *desk) hasRoom(f figure, it *kit.Item) bool { return d.roomIn(f, it) != nil }

func (d *desk) roomIn(f figure, it *kit.Item) *room {
	p := d.geometry()
	if p == nil {
		return nil
	}
	for i := range p.rooms {
		if r := &p.rooms[i]; r.figure == f && d.itemAt(r.item) == it && r.mm < roomReach {
			return r
		}
	}
	return nil
}

// placesPath is where the places of the layout stand.
func (d *desk) placesPath() string {
	if d.limits.index < maxLayouts {
		return mountPaths[d.limits.index]
	}
	return layoutPath(d.limits.index) + "mounts"
}

// mountPaths are the paths of the mounts of all layouts, made once.
var mountPaths = func() (paths [maxLayouts]string) {
	for i := range paths {
		paths[i] = layoutPath(i) + "mounts"
	}
	return paths
}()
