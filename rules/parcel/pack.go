// Package parcel tells whether a finished machine can be sent by post: how large and
// how heavy it is once it is packed.
package parcel

import (
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

// factAssembly is the fact of the mounting pack that knows what the whole weighs, as
// slipfit.v1.Assembly.
const factAssembly = "mounting.assembly"

// Pack returns the rules of parcels.
func Pack() *kit.Pack {
	return &kit.Pack{
		Name: "parcel", Version: "1.0.0",
		Purpose: "It tells whether the finished machine can be sent by post once it is packed.",
		Needs:   []string{factAssembly},
		Wants:   []string{factAssembly},
		Rules:   []kit.Rule{girthRule, massRule},
	}
}

// postal is what the parcels of all postal services that belong to the Universal
// Postal Union may be. A carrier may set other limits: they are parameters.
var postal = standards.Source{
	ID: "upu-parcels", Title: "Universal Postal Union, parcel post regulations, limits of size and weight",
	Standing: standards.Memory, Witnesses: 1,
}
