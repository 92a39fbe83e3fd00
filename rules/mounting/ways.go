package mounting

import (
	"slipfit.example/rules/assembly"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
)

// Sides of an enclosure by their faces, as one says them standing behind it.
var sideNames = [6]string{
	geometry.MinX: "through the rear", geometry.MaxX: "through the front",
	geometry.MinY: "through the right side", geometry.MaxY: "through the left side",
	geometry.MinZ: "through the bottom", geometry.MaxZ: "through the top",
}

// outMM is how far a part goes until it is out of any desktop enclosure.
const outMM = 1000

// exits are the sides that something can pass through.
func (b *bodies) exits() (out []assembly.Exit) {
	for f, open := range b.open {
		if open {
			out = append(out, assembly.Exit{Name: sideNames[f], Out: geometry.Face(f), TravelMM: outMM})
		}
	}
	return out
}

// aboard are the stages that are done on the board before it goes in.
func aboard(st stage) bool {
	return st == stageProcessor || st == stageMemory || st == stageM2 || st == stageCooler
}

// puts reports whether a task puts the item's boxes in.
func puts(st stage) bool {
	switch st {
	case stageBracket, stageRadiator, stageFan, stageBoard, stageSupply, stageDrive, stageRiser, stageCard:
		return true
	}
	return aboard(st)
}

// addWays derives from the arrangement's boxes what bars what: the ways in of
// everything that goes into the enclosure, the driver over the board's holes, and
// the hand at its plugs. inPlace takes what is on the board as in the enclosure
// already, to tell what has to come out later.
func (s *scene) addWays(tasks []task, plan *assembly.Plan, inPlace bool) {
	b := s.placed()
	if b == nil {
		return
	}
	things, board := s.thingsOf(tasks, b), boardOf(tasks)
	exits := b.exits()
	var boxes []geometry.Box
	others := make([]assembly.Thing, 0, len(things))
	for i := range tasks {
		t := &tasks[i]
		if !puts(t.stage) || aboard(t.stage) && !inPlace {
			continue
		}
		own := assembly.Thing{Step: i, Boxes: boxes[:0]}
		others = others[:0]
		for _, other := range things {
			switch with := !inPlace && t.stage == stageBoard && aboard(tasks[other.Step].stage); {
			case other.Step == i || with:
				own.Boxes = append(own.Boxes, other.Boxes...)
			case inPlace && carries(tasks[other.Step].stage, t.stage):
			default:
				if !inPlace && board >= 0 && aboard(tasks[other.Step].stage) {
					other.Step = board // it comes in with the board
				}
				others = append(others, other)
			}
		}
		boxes = own.Boxes
		ways, straight, err := assembly.StraightWays(own, exits, others, b.fixed)
		if err == nil && straight && len(own.Boxes) > 0 {
			plan.Steps[i].Ways = ways
		}
	}
	if !inPlace {
		s.addTools(tasks, plan, things, b)
	}
}

// boardOf is the task that puts the board in, -1 without one.
func boardOf(tasks []task) int {
	for i := range tasks {
		if tasks[i].stage == stageBoard {
			return i
		}
	}
	return -1
}

// carries reports whether a thing of one stage is what another lies on or in, which
// is no obstacle to taking it off.
func carries(under, on stage) bool {
	return under == stageBoard && (aboard(on) || on == stageCard || on == stageRiser) || under == stageProcessor && on == stageCooler
}

// thingsOf are the boxes of the tasks that put something in.
func (s *scene) thingsOf(tasks []task, b *bodies) (things []assembly.Thing) {
	for i := range tasks {
		if !puts(tasks[i].stage) {
			continue
		}
		boxes := b.of(tasks[i].item.ID).matter()
		for _, id := range tasks[i].more {
			boxes = append(boxes[:len(boxes):len(boxes)], b.of(id).matter()...)
		}
		if len(boxes) > 0 {
			things = append(things, assembly.Thing{Step: i, Boxes: boxes})
		}
	}
	return things
}

// handMM is the room that fingers need round a plug (common practice, no source).
const handMM = 15

// addTools puts the board before what would bar the driver over its holes, and its
// plugs before what would bar the hand.
func (s *scene) addTools(tasks []task, plan *assembly.Plan, things []assembly.Thing, b *bodies) {
	for i := range tasks {
		switch tasks[i].stage {
		case stageBoard:
			for _, k := range assembly.BarredBy(s.driverRoom(tasks[i].item), things) {
				if k != i && !aboard(tasks[k].stage) {
					plan.Relations = append(plan.Relations, assembly.Relation{First: i, Then: k, Undo: undoPart, Why: tasks[k].name + " bars the driver over the board's screws"})
				}
			}
		case stageProcessorPlug, stageBoardPlugs, stageFrontLeads, stageCardPlug:
			for _, k := range assembly.BarredBy(handRoom(b.of(tasks[i].item.ID), tasks[i].stage), things) {
				if tasks[k].item != tasks[i].item && !aboard(tasks[k].stage) && tasks[k].stage != stageSupply {
					plan.Relations = append(plan.Relations, assembly.Relation{First: i, Then: k, Undo: undoPart, Order: true, Why: tasks[k].name + " bars the hand at the plug"})
				}
			}
		}
	}
}

// driverRoom is the room of a driver over the board's holes.
func (s *scene) driverRoom(board *kit.Item) (room []geometry.Box) {
	pose, known := s.poseOf(board)
	p, ok := patternOf(board)
	if !known || !ok {
		return nil
	}
	for _, hole := range fastening.Place(pose, p.holes) {
		if shaft, _, err := fastening.LongDriver.Access(hole); err == nil {
			room = append(room, shaft)
		}
	}
	return room
}

// handRoom is the room of fingers round the plugs of a task.
func handRoom(t *body, st stage) (room []geometry.Box) {
	if t == nil {
		return nil
	}
	for _, p := range t.plugs {
		if !plugOfStage(p.name, st) {
			continue
		}
		if box, err := p.box.Inflated(handMM); err == nil {
			room = append(room, box)
		}
	}
	return room
}
