// Package mating tells whether each thing of a build plugs into the next, and at
// what rate it runs there: processor and socket, memory, drives, cards and
// risers, displays, the front panel's leads, fans and pumps on their headers.
//
// Drives, cards and fans are dealt out to sockets, slots and headers by an exact
// search, so that a shortage is reported only where no way of plugging would do.
// What a socket's older generation or shared lanes cost is a finding, too.
//
// The folder bears the pack's name, interface, which Go keeps for itself.
package mating

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// LinksFact is the name of the fact that the pack provides: what is plugged into
// what and at which rate, as slipfit.v1.Links.
const LinksFact = "interface.links"

// factArrangement is the fact of the clearance pack that says which card stands
// where. Without it a build's risers tell which cards stand on one.
const factArrangement = "clearance.arrangement"

// Pack returns the rules on interfaces in the order that people read them.
func Pack() *kit.Pack {
	return &kit.Pack{
		Name: "interface", Version: "0.1.0",
		Purpose:  "It tells whether each part plugs into the next, and what rate it reaches there.",
		Needs:    []string{factArrangement},
		Provides: []string{LinksFact},
		Rules: []kit.Rule{
			socketRule, firmwareRule,
			memoryKindRule, memoryCountRule, memoryModuleRule, memoryTotalRule, memoryRateRule,
			m2SocketRule, sataPortsRule, driveRateRule, driveFigureRule,
			cardSlotRule, cardLinkRule, displaysRule,
			frontPanelRule, fanHeadersRule, headerCurrentRule, lightHeadersRule, antennasRule,
		},
		// The hook-up is read and worked out before the first rule is judged.
		Alternatives: func(c *kit.Case) int {
			hookupOf(c).open(c)
			return 1
		},
		Conclude: provideLinks,
	}
}

// sourceOf is where a requirement comes from.
type sourceOf = standards.Source

// sourceByID returns a source of the standards by its name; a name that is not
// there shows in the catalogue's check.
func sourceByID(id string) sourceOf {
	s, _ := standards.Lookup(id)
	return s
}

// noItem is the path of what a build leaves out as a whole.
var noItem = kit.Path{Field: "items"}

// textNoBoard is said where a part has nothing to plug into.
const textNoBoard = "The build names no single board, so that it cannot be told where {part} plugs in; keep one board in the build."
