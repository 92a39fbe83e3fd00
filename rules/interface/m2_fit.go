package mating

import (
	"slices"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// fit is how a piece goes into a place.
type fit struct {
	grade grade
	flaw  flaw // what keeps it out, or is tight
}

// grade is how well.
type grade uint8

const (
	noFit   grade = iota
	maybe         // something that matters is not stated
	tight         // only the unfavourable end of the figures keeps it out
	goodFit       // sure
)

// flaw is what keeps a piece out. A later one means that it comes nearer.
type flaw uint8

const (
	noFlaw flaw = iota
	flawKey
	flawSize
	flawBus
	flawHeight
	flawWidth
	flawTaken
)

// m2Fit tells how a drive goes into an M.2 socket: its key, its size, what it
// speaks, and its height.
func (h *hookup) m2Fit(it *kit.Item, number int) fit {
	drive, slot := it.Part.GetDrive(), h.theBoard().GetM2Slots()[number]
	unstated := false
	for _, check := range [...]struct {
		answer answer
		flaw   flaw
	}{
		{keyFits(drive.GetM2Key(), slot.GetKey()), flawKey},
		{sizeFits(drive.GetM2Size(), slot.Sizes), flawSize},
		{busFits(drive, slot), flawBus},
	} {
		if check.answer == no {
			return fit{noFit, check.flaw}
		}
		unstated = unstated || check.answer == unsaid
	}
	if drive.HeightMm == nil || slot.HeightMm == nil {
		return fit{maybe, noFlaw}
	}
	room := h.m2Room(it, number)
	switch {
	case room.Nominal < 0:
		return fit{noFit, flawHeight}
	case unstated:
		return fit{maybe, noFlaw}
	case room.Low < 0:
		return fit{tight, flawHeight}
	}
	return fit{goodFit, noFlaw}
}

// m2Room is the height that an M.2 socket leaves free above a drive.
func (h *hookup) m2Room(it *kit.Item, number int) kit.Value {
	high, free := h.m2Heights(it, number)
	return kit.Value{Range: free.Sub(high.Range), Unit: "mm"}
}

func (h *hookup) m2Heights(it *kit.Item, number int) (drive, free kit.Value) {
	return h.c.Length(it, "drive.height_mm", it.Part.GetDrive().HeightMm),
		h.c.Length(h.board, m2Height.at(number), h.theBoard().GetM2Slots()[number].HeightMm)
}

// m2Values are what the fit of a drive in a socket is judged by.
func (h *hookup) m2Values(it *kit.Item, number int) []kit.Value {
	c, drive, slot := h.c, it.Part.GetDrive(), h.theBoard().GetM2Slots()[number]
	high, free := h.m2Heights(it, number)
	out := append(h.scratch[:0],
		c.Word(it, "drive.m2_key", drive.M2Key), c.Word(h.board, m2Key.at(number), slot.Key),
		c.Word(it, "drive.m2_size", drive.M2Size), c.Words(h.board, m2Sizes.at(number), slot.Sizes),
		high, free)
	switch busOf(drive) {
	case "":
		out = append(out, c.Absent(it.At("drive.bus"), ""))
	case "sata":
		if slot.Sata == nil {
			out = append(out, c.Absent(h.board.At(m2SATA.at(number)), ""))
		}
	}
	h.scratch = out
	return out
}

// answer is a yes, a no, or that something is not stated.
type answer uint8

const (
	unsaid answer = iota
	yes
	no
)

func said(b bool) answer {
	if b {
		return yes
	}
	return no
}

// keyFits tells whether one of a module's notches is the socket's key (PCI Express
// M.2 specification, key positions). Letters outside the standard compare as text.
func keyFits(notches, key string) answer {
	if notches == "" || key == "" {
		return unsaid
	}
	for rest := notches; rest != ""; {
		var one string
		one, rest, _ = strings.Cut(rest, "+")
		if strings.EqualFold(one, key) {
			return yes
		}
	}
	return no
}

// sizeFits tells whether a socket takes a size code: width and length must both
// be listed, since the standoff stands where the module ends.
func sizeFits(size string, sizes []string) answer {
	if size == "" || len(sizes) == 0 {
		return unsaid
	}
	return said(slices.Contains(sizes, size))
}

// busFits tells whether a socket carries what a drive speaks. Keys M and B always
// carry PCI Express where they have lanes; SATA only where the board says so.
func busFits(drive *v1.Drive, slot *v1.M2Slot) answer {
	switch busOf(drive) {
	case "":
		return unsaid
	case "sata":
		if slot.Sata == nil {
			return unsaid
		}
		return said(slot.GetSata())
	}
	return yes
}

// busOf is what a drive speaks; a drive with a PCI Express generation speaks that.
func busOf(drive *v1.Drive) string {
	if drive.GetBus() == "" && drive.Generation != nil {
		return "pcie"
	}
	return drive.GetBus()
}

// isM2 reports whether a drive goes into an M.2 socket.
func isM2(drive *v1.Drive) bool {
	return drive.GetFormFactor() == "m2" || drive.FormFactor == nil && drive.M2Size != nil
}
