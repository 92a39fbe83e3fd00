package mounting

import (
	"slipfit.example/rules/assembly"
	"slipfit.example/rules/kit"
)

// What it costs to break a custom: how much has to be opened again.
const (
	undoLittle = 1 // it is merely awkward
	undoPart   = 3 // one part comes out again
	undoBoard  = 6 // the board comes out again
)

// order is a relation between stages that custom or matter gives. Same asks that
// both tasks are about one item.
type order struct {
	first, then stage
	undo        int
	work        bool // only about the work; the later one need not come out to reach the earlier
	same        bool
	why         string
}

var orders = []order{
	{first: stageSwitch, then: stageBoard, undo: undoBoard, why: "its lead lies behind the board and cannot be reached later"},
	{first: stageStandoffs, then: stageBoard, why: "the board lies on them"},
	{first: stageProcessor, then: stageCooler, why: "the cooler lies on the processor"},
	{first: stageProcessor, then: stageBlock, why: "the block lies on the processor"},
	{first: stagePlate, then: stageCooler, same: true, why: "the cooler is screwed to it"},
	{first: stagePlate, then: stageBlock, same: true, why: "the block is screwed to it"},
	{first: stagePlate, then: stageBoard, undo: undoBoard, why: "the plate lies behind the board"},
	{first: stageProcessor, then: stageBoard, undo: undoLittle, work: true, why: "there is light and room on the bench"},
	{first: stageMemory, then: stageBoard, undo: undoLittle, work: true, why: "there is light and room on the bench"},
	{first: stageM2, then: stageBoard, undo: undoLittle, work: true, why: "there is light and room on the bench"},
	{first: stageCooler, then: stageBoard, undo: undoLittle, work: true, why: "there is room round the cooler's screws on the bench"},
	{first: stageM2, then: stageCard, undo: undoPart, why: "the card lies over the M.2 sockets"},
	{first: stageRadiator, then: stageBoard, undo: undoLittle, work: true, why: "its screws are reached from inside"},
	{first: stageRadiator, then: stageBlock, same: true, why: "the tubes tie them together"},
	{first: stageBoard, then: stageBlock, undo: undoPart, work: true, why: "the radiator hangs in the enclosure already"},
	{first: stageBoard, then: stageRiser, why: "it is plugged into the board"},
	{first: stageBoard, then: stageCard, why: "it is plugged into the board"},
	{first: stageRiser, then: stageCard, why: "the card is plugged into it"},
	{first: stageSupply, then: stageCard, undo: undoLittle, work: true, why: "the cables pass where the card will lie"},
	{first: stageBoard, then: stageProcessorPlug, why: "its socket is on the board"},
	{first: stageBoard, then: stageBoardPlugs, why: "its socket is on the board"},
	{first: stageBoard, then: stageFrontLeads, why: "their headers are on the board"},
	{first: stageSupply, then: stageProcessorPlug, why: "the cable comes from the supply"},
	{first: stageSupply, then: stageBoardPlugs, why: "the cable comes from the supply"},
	{first: stageSupply, then: stageCardPlug, why: "the cable comes from the supply"},
	{first: stageCard, then: stageCardPlug, same: true, why: "its socket is on the card"},
	{first: stageFrontLeads, then: stageCard, undo: undoPart, work: true, why: "the card lies over their headers"},
	{first: stageBracket, then: stageSupply, undo: undoPart, work: true, why: "brackets hold what comes after them"},
	{first: stageBracket, then: stageRadiator, undo: undoPart, work: true, why: "brackets hold what comes after them"},
	{first: stageBracket, then: stageFan, undo: undoPart, work: true, why: "brackets hold what comes after them"},
	{first: stageBracket, then: stageCard, undo: undoPart, work: true, why: "brackets hold what comes after them"},
	{first: stageFan, then: stageCard, undo: undoLittle, work: true, why: "its screws are reached more easily"},
}

// relate lists the relations of the tasks by custom, by what lies on what, and by what
// the build declares.
func (s *scene) relate(tasks []task) []assembly.Relation {
	out := make([]assembly.Relation, 0, 4*len(tasks))
	add := func(first, then int, o order) {
		out = append(out, assembly.Relation{First: first, Then: then, Why: o.why, Undo: o.undo, Order: o.work})
	}
	var of [stageClose + 1][]int // tasks by their stages
	for i := range tasks {
		of[tasks[i].stage] = append(of[tasks[i].stage], i)
	}
	for _, o := range orders {
		for _, i := range of[o.first] {
			for _, k := range of[o.then] {
				if !o.same || tasks[i].item == tasks[k].item {
					add(i, k, o)
				}
			}
		}
	}
	for i := range tasks {
		for k := range tasks {
			if o, ok := s.special(&tasks[i], &tasks[k]); ok {
				add(i, k, o)
			}
		}
	}
	return append(out, s.declaredRelations(tasks)...)
}

// special are relations that depend on what the parts are like.
func (s *scene) special(first, then *task) (o order, ok bool) {
	switch {
	case then.stage == stageClose && first.stage != stageClose:
		return order{work: true, why: "everything is done before the panels go on"}, true
	case then.stage == stageCooler && (first.stage == stageMemory || first.stage == stageM2) && large(then.item):
		return order{undo: undoPart, why: then.item.Name() + " lies over it"}, true
	case first.stage == stageSupply && then.stage == stageBoard && captive(first.item):
		return order{undo: undoLittle, work: true, why: "its cables are fixed to it and have to be laid first"}, true
	case first.stage == stageM2 && then.stage == stageBoard && s.onBack(first.item):
		return order{undo: undoBoard, why: "its socket is on the board's back"}, true
	}
	return order{}, false
}

// tallMM is from which height on a cooler lies over what is beside the socket
// (common practice, no source).
const tallMM = 100

// large reports whether a cooler lies over memory and M.2 sockets.
func large(it *kit.Item) bool {
	c := it.Part.GetAirCooler()
	return c.GetTower() || c.GetOverMemory() || c.GetHeightMm() >= tallMM
}

// captive reports whether a supply's cables are fixed to it.
func captive(it *kit.Item) bool {
	supply := it.Part.GetSupply()
	for _, c := range supply.GetCables() {
		if c.GetCaptive() {
			return true
		}
	}
	return false
}

// onBack reports whether an M.2 drive has to go to the board's back: the sockets on
// the front are taken by the drives before it.
func (s *scene) onBack(it *kit.Item) bool {
	board := s.c.First(kit.KindBoard)
	if board == nil {
		return false
	}
	front, back := 0, 0
	for _, slot := range board.Part.GetBoard().M2Slots {
		if slot.GetBack() {
			back++
		} else {
			front++
		}
	}
	for drive := range s.c.Items(kit.KindDrive) {
		if drive.Part.GetDrive().GetFormFactor() != "m2" {
			continue
		}
		if front -= drive.Count; drive == it {
			break
		}
	}
	return back > 0 && front < 0
}
