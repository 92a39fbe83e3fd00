package clearance

import (
	"math"

	"slipfit.example/rules/kit"
)

// boundFanPlace bounds fans by the places that take their size, and by how thick a fan
// may be there. Fans on radiators are left to the search.
func boundFanPlace(c *kit.Case) {
	d := boundDesk(c)
	if d == nil || len(d.radiators) > 0 {
		return
	}
	for i := range d.fans {
		p := &d.fans[i]
		if !c.Sought(p.item) {
			continue
		}
		most, takes := d.thickestFor(p)
		if !takes || p.size == 0 {
			c.Unfit()
			return
		}
		d.capAt(p.thickness, most)
	}
}

// thickestFor is the thickest fan that a place of an open layout takes which a fan may
// go to, -Inf where none says, and whether there is such a place.
func (d *desk) thickestFor(p *party) (most float64, takes bool) {
	most = math.Inf(-1)
	for _, index := range d.layouts {
		var l limits
		l.open(d.c, d.chassis, index)
		d.fanPlaces = l.fanPlaces(d.fanPlaces[:0])
		for k := range d.fanPlaces {
			at := &d.fanPlaces[k]
			if fits, stated := at.takes(p.size); stated && !fits || !d.mayGo(p, at.mount) {
				continue
			}
			if takes = true; at.owner >= 0 && at.thickness != nil {
				most = max(most, *at.thickness)
			}
		}
	}
	return most, takes
}
