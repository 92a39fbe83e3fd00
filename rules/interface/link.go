package mating

import (
	"slipfit.example/rules/standards"
)

// link is a PCI Express link: a generation and a number of lanes, 0 where it is
// not known.
type link struct{ generation, lanes int }

// linkRow is what the tables of PCI Express say about one link.
type linkRow struct {
	gbs  float64 // after line coding; 0 for links that the standard does not have
	name string
}

// linkRows holds the rate and the name of each link, so that none is worked out
// or printed while a build is judged.
var linkRows = func() (rows [16][33]linkRow) {
	for _, g := range standards.LinkGenerations() {
		for lanes := 1; lanes < len(rows[0]); lanes++ {
			l := standards.Link{Generation: g.Generation, Lanes: lanes}
			if rate, err := l.GigabytesPerS(); err == nil {
				rows[g.Generation][lanes] = linkRow{rate, l.String()}
			}
		}
	}
	return rows
}()

// row is the link's row in the tables, empty where there is none.
func (l link) row() linkRow {
	if l.generation < 1 || l.generation >= len(linkRows) || l.lanes < 1 || l.lanes >= len(linkRows[0]) {
		return linkRow{}
	}
	return linkRows[l.generation][l.lanes]
}

// rate is the link's rate in GB/s after line coding, 0 where it is not known.
func (l link) rate() float64 { return l.row().gbs }

// through is the link that two ends, or an end and what lies between, train to:
// the smaller generation and the smaller number of lanes.
func (l link) through(o link) link {
	return link{min(l.generation, o.generation), min(l.lanes, o.lanes)}
}

// sataRate is the rate of a SATA link in GB/s after line coding.
var sataRate = standards.SATAMegabytesPerS() / 1000
