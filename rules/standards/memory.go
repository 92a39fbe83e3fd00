package standards

import (
	"fmt"
	"slices"
)

// Tokens of the memory module kinds.
const (
	MemoryDDR4UDIMM  = "ddr4-udimm"
	MemoryDDR5UDIMM  = "ddr5-udimm"
	MemoryDDR4SODIMM = "ddr4-sodimm"
	MemoryDDR5SODIMM = "ddr5-sodimm"
)

var (
	srcMO309      = register("jedec-mo-309", "JEDEC MO-309", "height and pins, in a module data sheet", Published)
	srcMO309Len   = drawings("jedec-mo-309-length", "drawing after JEDEC MO-309", "length", 1)
	srcMO329      = register("jedec-mo-329", "JEDEC MO-329", "DDR5 module", Memory)
	srcMO310      = register("jedec-mo-310", "JEDEC MO-310", "DDR4 small-outline module", Memory)
	srcMO337      = register("jedec-mo-337", "JEDEC MO-337", "DDR5 small-outline module", Memory)
	srcModuleSeat = register("module-seat", "seated height of memory modules", "", Memory)
)

// MemoryKind is a kind of memory module with a bare circuit board.
type MemoryKind struct {
	// Token and Name are the document's token and the trade's name.
	Token, Name string
	// LengthMM runs along the contacts, HeightMM from their edge to the top.
	LengthMM, HeightMM float64
	// Pins counts the contacts.
	Pins int
	// Upright is true for modules that stand on the board.
	Upright bool
	// Source is that of height and pins, LengthSource of the length.
	Source, LengthSource Source
}

var memoryKinds = []MemoryKind{
	{MemoryDDR4UDIMM, "DDR4 UDIMM", 133.35, 31.25, 288, true, srcMO309, srcMO309Len},
	{MemoryDDR5UDIMM, "DDR5 UDIMM", 133.35, 31.25, 288, true, srcMO329, srcMO329},
	{MemoryDDR4SODIMM, "DDR4 SODIMM", 69.6, 30.0, 260, false, srcMO310, srcMO310},
	{MemoryDDR5SODIMM, "DDR5 SODIMM", 69.6, 30.0, 262, false, srcMO337, srcMO337},
}

// Figures of seated memory modules.
var (
	// ModuleSeat is what the socket adds to an upright module's height.
	ModuleSeat = figure("memory module seat over the board", 3, "mm", srcModuleSeat)
	// HeatSpreaderLow and HeatSpreaderHigh bound the total height of modules
	// that are sold with heat spreaders.
	HeatSpreaderLow  = figure("memory module with heat spreader, lowest", 33, "mm", srcModuleSeat)
	HeatSpreaderHigh = figure("memory module with heat spreader, tallest", 55, "mm", srcModuleSeat)
)

// MemoryKinds returns the module kinds.
func MemoryKinds() []MemoryKind { return slices.Clone(memoryKinds) }

// MemoryKindByToken returns one module kind, or an [UnknownTokenError].
func MemoryKindByToken(token string) (MemoryKind, error) {
	i := slices.IndexFunc(memoryKinds, func(m MemoryKind) bool { return m.Token == token })
	if i < 0 {
		return MemoryKind{}, unknown(VocabMemory, token)
	}
	return memoryKinds[i], nil
}

// SeatedHeightMM returns the height over the board of a bare upright module.
func (m MemoryKind) SeatedHeightMM() (float64, error) {
	if !m.Upright {
		return 0, fmt.Errorf("a %s lies along the board, so its seated height depends on its socket; give the socket's height", m.Name)
	}
	return m.HeightMM + ModuleSeat.Value, nil
}

// Answer is a yes or no with its reason and source.
type Answer struct {
	// Yes is the answer.
	Yes bool
	// Reason is a sentence for a finding.
	Reason string
	// Source tells what the answer rests on.
	Source Source
}

// MemoryFits tells whether a module kind goes into sockets of another. The
// kinds differ in size, pins or key, so only equal ones do. Equal unknown
// tokens compare as text; an unknown token beside another is an
// [UnknownTokenError].
func MemoryFits(module, socket string) (Answer, error) {
	if module == socket {
		return Answer{true, fmt.Sprintf("module and socket are both %s", module), srcSameToken}, nil
	}
	m, err := MemoryKindByToken(module)
	if err != nil {
		return Answer{}, fmt.Errorf("the module cannot be compared with the socket: %w", err)
	}
	s, err := MemoryKindByToken(socket)
	if err != nil {
		return Answer{}, fmt.Errorf("the socket cannot be compared with the module: %w", err)
	}
	reason := fmt.Sprintf("a %s has %d pins and a %s socket %d", m.Name, m.Pins, s.Name, s.Pins)
	if m.Pins == s.Pins {
		reason = fmt.Sprintf("%s and %s have their keys in different places", m.Name, s.Name)
	}
	return Answer{false, reason, Weaker(m.Source, s.Source)}, nil
}
