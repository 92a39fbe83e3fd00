package pipeline

import (
	"slices"

	"google.golang.org/protobuf/encoding/protowire"
)

// wantFacts has the check want what its packs want worked out for them. The answer
// holds what the asker wants, and no more.
func (rs *ruleset) wantFacts(e *envelope) {
	if !rs.wanting {
		return
	}
	var added []string
	for i, p := range rs.packs {
		if !rs.takesPart(i, e) {
			continue
		}
		for _, fact := range p.description.GetWants() {
			_, known := rs.provider[fact]
			if !known || slices.Contains(e.wants, fact) || slices.Contains(added, fact) {
				continue
			}
			added = append(added, fact)
			e.added = protowire.AppendTag(e.added, requestWants, protowire.BytesType)
			e.added = protowire.AppendString(e.added, fact)
		}
	}
}

// takesPart tells whether a pack is asked about a check.
func (rs *ruleset) takesPart(pack int, e *envelope) bool {
	p := rs.packs[pack]
	if len(e.packs) == 0 {
		return !p.onRequest
	}
	for _, pin := range e.packs {
		if pin.GetName() == p.name {
			return true
		}
	}
	return false
}
