package mounting

import (
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
)

// stage is what kind of work a task is. The stages stand in the order that custom
// gives them; what must come before what is told by relations.
type stage int

const (
	stageSwitch stage = iota // switch and inlet leads that run behind the board
	stageBracket
	stageStandoffs
	stageProcessor
	stagePlate // the cooler's plate or frame round the socket
	stageMemory
	stageM2
	stageCooler
	stageRadiator
	stageFan
	stageBoard
	stageBlock // a liquid loop's block on the processor
	stageSupply
	stageDrive
	stageProcessorPlug
	stageBoardPlugs
	stageRiser
	stageFrontLeads
	stageCard
	stageCardPlug
	stageOther
	stageClose
)

// task is one step of assembly.
type task struct {
	stage   stage
	item    *kit.Item // what it is about
	itemAt  int       // its place among the items, where it is remembered
	name    string    // for sentences and circles
	action  string
	into    string   // what its screws go into, for their torque
	purpose string   // of the joints that are made in it; "" for none
	cables  []string // that are plugged in, in words
	more    []string // other items that go in with it
	caution string
}

// Cautions of the steps. They are in the words of the trade; local codes and
// licensed practice go before them.
const (
	cautionStatic = "Static: touch bare grounded metal or wear a wrist strap, and hold it by its edges."
	cautionMains  = "Leave the supply switched off and unplugged, and never open it: it holds mains and stored charge."
	cautionPinout = "Use only the cables of this very supply: others may fit the socket and destroy what they feed. The supply stays unplugged."
	cautionCooler = "Take the film off the cold plate. Turn the screws crosswise in small equal steps until they stop. Fins are sharp."
	cautionFins   = "Try every screw by hand first: one that is too long pierces the tubes. Fins are sharp."
	cautionEdges  = "Edges of sheet are sharp: wear gloves or keep your fingers off them."
	cautionHeavy  = "It is heavy: support it until its screws are in."
	cautionPlug   = "Push the plug in until it clicks and no gap is left, and do not bend the cable close behind it."
	cautionClose  = "Look once more that every plug is in, that no cable touches a fan, and that no screw is left over inside. Then plug in."
)

// listTasks lists what has to be done for a build, in the scene's memory.
func (s *scene) listTasks() []task {
	tasks := s.tasks[:0]
	defer func() { s.tasks = tasks }()
	add := func(t task) { tasks = append(tasks, t) }
	for it := range s.c.AllItems() {
		s.tasksOf(it, add)
	}
	if s.chassis != nil && len(tasks) > 0 {
		add(task{stage: stageClose, item: s.chassis, name: "the panels", action: "Close " + s.chassis.Name() + ".", caution: cautionClose, purpose: "panel"})
	}
	return tasks
}

// tasksOf are those of one item.
func (s *scene) tasksOf(it *kit.Item, add func(task)) {
	name := it.Name()
	if it.Count > 1 {
		name = kit.FormatNumber(float64(it.Count), "") + " x " + name
	}
	put := func(st stage, action, purpose, into, caution string) {
		t := task{stage: st, item: it, name: it.Name(), action: action, purpose: purpose, into: into, caution: caution}
		switch st {
		case stagePlate:
			t.name, t.more = "the plate of "+t.name, s.socketBrackets()
		case stageStandoffs:
			t.name = "the standoffs"
		case stageBlock:
			t.name = "the block of " + t.name
		case stageRadiator:
			t.more = s.fansOnRadiator(it)
		}
		add(t)
	}
	switch it.Kind {
	case kit.KindAccessory:
		if s.goesWithPlate(it) {
			return
		}
		if leads(it.Part.GetAccessory()) {
			put(stageSwitch, "Lay "+name+" and its lead where it will lie behind the board.", "", "", cautionMains)
		} else {
			put(stageBracket, "Put "+name+" in.", "", fastening.IntoSheet, cautionEdges)
		}
	case kit.KindBoard:
		s.boardTasks(it, put)
	case kit.KindProcessor:
		put(stageProcessor, "Open the socket, lay "+name+" in corner on corner without pressing, and close the lever.", "", "", cautionStatic)
	case kit.KindAirCooler:
		put(stagePlate, "Fasten the plate or frame of "+name+" round the socket.", "", "", "")
		put(stageCooler, "Put thermal compound on the processor and "+name+" over it, and plug its fan into the header of the processor's fan.",
			"cooler", "", cautionCooler)
	case kit.KindLiquidLoop:
		put(stagePlate, "Fasten the plate or frame of "+name+" round the socket.", "", "", "")
		put(stageRadiator, "Screw the fans to the radiator of "+name+" and the radiator into place"+s.whereOf(it)+", fittings where the tubes reach.", "radiator", "", cautionFins)
		put(stageBlock, "Put thermal compound on the processor and the block of "+name+" over it, and plug in pump and fans.", "cooler", "", cautionCooler)
	case kit.KindMemory:
		put(stageMemory, "Press "+name+" into the sockets that the board's manual names first, until both ends click.", "", "", cautionStatic)
	case kit.KindRadiator:
		put(stageRadiator, "Screw the fans to "+name+" and it into place"+s.whereOf(it)+".", "radiator", "", cautionFins)
	case kit.KindFan:
		if s.ridesOnRadiator(it) {
			return // it goes in with the radiator
		}
		put(stageFan, "Screw "+name+" into place"+s.blowing(it)+", and plug into a header.", "fan", fastening.IntoPlastic, "")
	case kit.KindSupply:
		put(stageSupply, "Put "+name+" in"+s.whereOf(it)+", its cables first where it is modular.", "supply", fastening.IntoSheet, cautionMains)
	case kit.KindDrive:
		s.driveTasks(it, name, put)
	case kit.KindRiser:
		put(stageRiser, "Plug "+name+" into the board's slot and fasten its other end.", "", fastening.IntoSheet, cautionStatic)
	case kit.KindCard:
		put(stageCard, "Push "+name+" into its slot until it clicks, and screw its bracket down.", "card", fastening.IntoSheet, s.cardCaution(it))
		s.plugTasks(it, add)
	}
	if it.Kind == kit.KindBoard {
		s.plugTasks(it, add)
	}
}

// whereOf tells the mounts that an item goes to: " at fans-rear and fans-top"; "" where
// they are not known.
func (s *scene) whereOf(it *kit.Item) string {
	var mounts []string
	for mount := range s.mountsOf(it) {
		mounts = append(mounts, mount)
	}
	if len(mounts) == 0 {
		return ""
	}
	return " at " + strings.Join(mounts, " and ")
}

// blowing tells where a fan's pieces go and which way they blow.
func (s *scene) blowing(it *kit.Item) string {
	ways := map[v1.Flow]string{v1.Flow_FLOW_INTAKE: ", blowing in", v1.Flow_FLOW_EXHAUST: ", blowing out"}
	var at []string
	for _, seat := range s.fact.Seats {
		if seat.GetItem() == it.ID && !s.onRadiator(seat.GetMount()) {
			at = append(at, seat.GetMount()+ways[seat.GetFlow()])
		}
	}
	if len(at) == 0 {
		return ", blowing the way that was planned"
	}
	return " at " + strings.Join(at, " and at ")
}

// goesWithPlate reports whether an accessory is a cooler's bracket for a socket, in a
// build with a cooler.
func (s *scene) goesWithPlate(it *kit.Item) bool {
	if s.c.First(kit.KindAirCooler) == nil && s.c.First(kit.KindLiquidLoop) == nil {
		return false
	}
	for _, p := range it.Part.GetAccessory().GetProvides() {
		if strings.HasPrefix(p, "bracket-") {
			return true
		}
	}
	return false
}

// socketBrackets are the accessories that go in with the cooler's plate.
func (s *scene) socketBrackets() (ids []string) {
	for it := range s.c.Items(kit.KindAccessory) {
		if s.goesWithPlate(it) {
			ids = append(ids, it.ID)
		}
	}
	return ids
}

// ridesOnRadiator reports whether all of a fan's pieces sit on a radiator.
func (s *scene) ridesOnRadiator(it *kit.Item) bool {
	seated := false
	for mount := range s.mountsOf(it) {
		if !s.onRadiator(mount) {
			return false
		}
		seated = true
	}
	return seated
}

// fansOnRadiator are the fans that go in with a radiator.
func (s *scene) fansOnRadiator(radiator *kit.Item) (ids []string) {
	for fan := range s.c.Items(kit.KindFan) {
		if !s.ridesOnRadiator(fan) {
			continue
		}
		for mount := range s.mountsOf(fan) {
			for at := range s.mountsOf(radiator) {
				if at == mount && !contains(ids, fan.ID) {
					ids = append(ids, fan.ID)
				}
			}
		}
	}
	return ids
}

// leads reports whether an accessory is a switch or a mains lead inside.
func leads(a *v1.Accessory) bool {
	return contains(a.GetProvides(), "power-switch") || contains(a.GetProvides(), "internal-mains-lead")
}

type putter func(st stage, action, purpose, into, caution string)

func (s *scene) boardTasks(it *kit.Item, put putter) {
	if s.joint(it, standoffsOfBoard) != nil {
		put(stageStandoffs, "Turn the standoffs into the tray, only under the holes of "+it.Name()+", and take out all others.", "standoff", "", "")
	}
	put(stageBoard, "Press the shield of the rear connectors in if it is loose, lay "+it.Name()+" on its standoffs and turn the screws in crosswise, all by hand first.",
		"board", fastening.IntoStandoff, cautionStatic+" "+cautionEdges)
}

func (s *scene) driveTasks(it *kit.Item, name string, put putter) {
	if it.Part.GetDrive().GetFormFactor() == "m2" {
		put(stageM2, "Slide "+name+" into its M.2 socket aslant, press it down and hold it with its screw, films off its heat pads.", "drive", fastening.IntoM2, cautionStatic)
		return
	}
	put(stageDrive, "Screw "+name+" into place"+s.whereOf(it)+" and plug in data and power cables.", "drive", fastening.IntoSheet, "")
}

// heavyCardG is from which mass on a card is held until its screws are in.
const heavyCardG = 800

func (s *scene) cardCaution(it *kit.Item) string {
	if it.Part.GetMassG() >= heavyCardG {
		return cautionStatic + " " + cautionHeavy
	}
	return cautionStatic
}

// plugTasks are the cables of a board or a card.
func (s *scene) plugTasks(it *kit.Item, add func(task)) {
	if it.Kind == kit.KindCard {
		if plugs := s.powerPlugs(it, it.Part.GetCard().PowerSockets, ""); len(plugs) > 0 {
			add(task{stage: stageCardPlug, item: it, name: "the power plug of " + it.Name(), action: "Plug the supply's cables into " + it.Name() + ".",
				cables: plugs, caution: cautionPlug + " " + cautionPinout})
		}
		return
	}
	sockets := it.Part.GetBoard().PowerSockets
	if plugs := s.powerPlugs(it, sockets, "cpu"); len(plugs) > 0 {
		add(task{stage: stageProcessorPlug, item: it, name: "the processor's power plug", action: "Plug in the processor's power.", cables: plugs, caution: cautionPinout})
	}
	if plugs := s.powerPlugs(it, sockets, "main"); len(plugs) > 0 {
		add(task{stage: stageBoardPlugs, item: it, name: "the board's power plug", action: "Plug in the board's power.", cables: plugs, caution: cautionPinout})
	}
	if plugs := s.frontLeads(); len(plugs) > 0 {
		add(task{stage: stageFrontLeads, item: it, name: "the leads of the front panel", action: "Plug in the leads of the front panel.", cables: plugs})
	}
}

// joint is the item's joint of a rule, nil where it asks for nothing.
func (s *scene) joint(it *kit.Item, rule string) *joint {
	for i := range s.joints {
		if j := &s.joints[i]; j.item == it && j.rule == rule && j.need > 0 {
			return j
		}
	}
	return nil
}
