package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/solids"
	"slipfit.example/rules/standards"
)

// Short names of the rules that report joints.
const (
	standoffsOfBoard = "board-standoffs"
	screwsOfBoard    = "board-screws"
	screwsOfSupply   = "supply-screws"
	screwsOfFan      = "fan-screws"
	screwsOfRadiator = "radiator-screws"
	screwsOfDrive    = "drive-screws"
	screwOfM2        = "m2-screw"
	otherJoint       = "other-screws"
)

// listJoints lists what every item asks of the boxes, in the order in which the
// boxes are dealt out.
func (s *scene) listJoints() {
	for it := range s.c.AllItems() {
		switch kind := it.Part.GetKind().(type) {
		case *v1.Part_Board:
			s.boardJoints(it, kind.Board)
		case *v1.Part_Supply:
			s.supplyJoint(it, kind.Supply)
		case *v1.Part_LiquidLoop:
			s.radiatorJoint(it, kind.LiquidLoop.GetRadiator(), kind.LiquidLoop.Fans)
		case *v1.Part_Radiator:
			s.radiatorJoint(it, kind.Radiator, nil)
		case *v1.Part_Fan:
			s.fanJoint(it)
		case *v1.Part_Drive:
			s.driveJoint(it, kind.Drive)
		}
		s.otherJoints(it)
	}
}

// screwFor is a joint that takes screws for a purpose.
func screwFor(purpose string) fastening.Joint {
	return fastening.Joint{Kind: "screw", Purpose: purpose}
}

// boardHoles are the holes that a board of a form factor needs screwed, by
// token: four for Mini-ITX.
var boardHoles = func() map[string]int {
	out := map[string]int{}
	for _, b := range standards.Boards() {
		n := 0
		for _, h := range b.Holes {
			if !h.Optional {
				n++
			}
		}
		if n > 0 {
			out[b.Token] = n
		}
	}
	return out
}()

// holesOf is how many holes a board needs screwed; 0 where it is not known.
func holesOf(b *v1.Board) int {
	if len(b.Holes) > 0 {
		return len(b.Holes)
	}
	return boardHoles[b.GetFormFactor()]
}

func (s *scene) boardJoints(it *kit.Item, board *v1.Board) {
	n := holesOf(board) * it.Count
	mount := s.boardMount(it)
	standoffs := joint{
		Joint: fastening.Joint{Kind: "standoff", Purpose: "board", AnyThread: true}, item: it, rule: standoffsOfBoard, need: n,
	}
	screws := joint{Joint: screwFor("board"), item: it, rule: screwsOfBoard, need: n}
	screws.Threads, screws.open = s.standoffThreads()
	screws.isOpen = screws.open != (kit.Path{})
	if t := fixedThread(mount); t != "" {
		screws.Threads, screws.isOpen = []string{t}, false
		screws.byHoles(mount.Holes, standards.BoardThickness.Value)
	}
	if d := stated(mount, it.Part, "board", "standoff"); d != nil {
		standoffs.by(d, it.Count)
	} else if len(mount.GetJoints()) > 0 {
		standoffs.need = 0 // the mount describes its joints and asks for none
	}
	if d := stated(mount, it.Part, "board", "screw"); d != nil {
		screws.by(d, it.Count)
	}
	s.joints = append(s.joints, standoffs, screws)
}

// fixedThread is the thread of a mount's own holes, "" where it does not say.
func fixedThread(mount *v1.Mount) string {
	for _, h := range mount.GetHoles() {
		if h.GetThread() != "" {
			return h.GetThread()
		}
	}
	return ""
}

// countersunkOnly are the heads that a countersunk rim takes.
var countersunkOnly = []string{"countersunk"}

// headsOfRim are the heads that a mount's panel takes: countersunk ones where its
// holes are countersunk. None: any.
func headsOfRim(mount *v1.Mount) []string {
	for _, h := range mount.GetHoles() {
		if h.GetCountersunk() {
			return countersunkOnly
		}
	}
	return nil
}

// boardMount is the mount that the board sits on, or the layout's only one for
// boards.
func (s *scene) boardMount(it *kit.Item) *v1.Mount {
	if m := s.mount(s.sole(it)); m != nil {
		return m
	}
	for _, m := range s.layout.GetMounts() {
		if m.GetKind() == v1.MountKind_MOUNT_KIND_BOARD {
			return m
		}
	}
	return nil
}

// standoffThreads are the threads of the standoffs in the boxes; open is what is
// not known about them. Which screw a board takes follows from the standoff, and
// is never assumed.
func (s *scene) standoffThreads() (threads []string, open kit.Path) {
	found := false
	for i := range s.lots {
		l := &s.lots[i]
		if p := l.fastener.GetPurpose(); l.fastener.GetKind() != "standoff" || p != "" && p != "board" {
			continue
		}
		found = true
		thread := l.fastener.GetThread()
		if thread == "" {
			return nil, l.item.At(l.paths().thread)
		}
		if !containsThread(threads, thread) {
			threads = append(threads, thread)
		}
	}
	if found {
		return threads, open
	}
	if s.chassis != nil {
		return nil, s.chassis.At("kit.fasteners")
	}
	return nil, noItem
}

// supplyScrews is the number of screws of the form factors whose rear is drawn
// with four.
const supplyScrews = 4

// threadsOfSupply are the threads of supplies' screws by form factor, for those
// with four screws in the rear.
var threadsOfSupply = func() map[string][]string {
	out := map[string][]string{}
	for _, token := range []string{
		standards.SupplyATXPS2, standards.SupplyATXPS3, standards.SupplySFX, standards.SupplySFXL, standards.SupplySFXLowProfile,
	} {
		if form, err := standards.SupplyFormByToken(token); err == nil {
			out[token] = []string{form.Screw}
		}
	}
	return out
}()

func (s *scene) supplyJoint(it *kit.Item, supply *v1.Supply) {
	j := joint{Joint: screwFor("supply"), item: it, rule: screwsOfSupply}
	if threads := threadsOfSupply[supply.GetFormFactor()]; threads != nil {
		j.need, j.Threads = supplyScrews*it.Count, threads
	}
	j.Heads = headsOfRim(s.mount(s.sole(it)))
	if d := stated(s.mount(s.sole(it)), it.Part, "supply", "screw"); d != nil {
		j.by(d, it.Count)
	}
	s.joints = append(s.joints, j)
}

// screwsPerFan is the number of holes in a fan's frame.
const screwsPerFan = 4

func (s *scene) fanJoint(it *kit.Item) {
	j := joint{Joint: screwFor("fan"), item: it, rule: screwsOfFan}
	j.AnyThread, j.Tagged = true, true
	j.factual = s.fansMaySitOnRadiators()
	if !s.arrange {
		j.need = screwsPerFan * it.Count
		s.addFanJoint(j, nil, it.Count)
		return
	}
	for mount, pieces := range s.mountsOf(it) {
		if s.onRadiator(mount) {
			continue // held by the radiator's screws
		}
		at := j
		at.need = screwsPerFan*pieces - s.coveredOf(it, mount, pieces)
		s.addFanJoint(at, s.mount(mount), pieces)
	}
}

func (s *scene) addFanJoint(j joint, mount *v1.Mount, pieces int) {
	j.Heads = headsOfRim(mount)
	if d := stated(mount, j.item.Part, "fan", "screw"); d != nil {
		j.by(d, pieces)
	}
	s.joints = append(s.joints, j)
}

// fansMaySitOnRadiators reports whether a radiator of the build has no fans of
// its own.
func (s *scene) fansMaySitOnRadiators() bool {
	if s.c.First(kit.KindRadiator) != nil {
		return true
	}
	for it := range s.c.Items(kit.KindLiquidLoop) {
		if len(it.Part.GetLiquidLoop().Fans) == 0 {
			return true
		}
	}
	return false
}

// threadsOf are the threads that the trade uses in a joint, by its name in the
// standards' table.
func threadsOf(where string) []string {
	for _, u := range standards.ThreadUses() {
		if u.Where == where {
			return u.Threads
		}
	}
	return nil
}

var (
	threadsSmallDrive = threadsOf("2.5 in drive")
	threadsLargeDrive = threadsOf("3.5 in drive")
	threadsM2         = threadsOf("M.2 module")
)

// screwsPerDrive is the number of screws of a drive in a bay.
const screwsPerDrive = 4

func (s *scene) driveJoint(it *kit.Item, drive *v1.Drive) {
	j := joint{Joint: screwFor("drive"), item: it, rule: screwsOfDrive}
	mount := s.mount(s.sole(it))
	switch drive.GetFormFactor() {
	case "m2":
		j.rule, j.need, j.Threads = screwOfM2, it.Count, threadsM2
	case "2.5-inch":
		j.need, j.Threads = screwsPerDrive*it.Count, threadsSmallDrive
	case "3.5-inch":
		j.need, j.Threads = screwsPerDrive*it.Count, threadsLargeDrive
	}
	j.byHoles(it.Part.Holes, s.plateMM(mount))
	j.Heads = headsOfRim(mount)
	if d := stated(mount, it.Part, "drive", "screw"); d != nil {
		j.by(d, it.Count)
	}
	s.joints = append(s.joints, j)
}

// plateMM is how thick a mount's panel is, or what the sheet of a bay usually is.
func (s *scene) plateMM(mount *v1.Mount) float64 {
	if s.chassis != nil && mount.GetPanel() != "" {
		for _, p := range s.chassis.Part.GetChassis().GetPanels() {
			extent, err := solids.BoxOf(p.GetExtent())
			if f := solids.FaceOf(p.GetFaces()); p.GetId() == mount.GetPanel() && err == nil && f.Valid() {
				return lengthways(extent, f.Axis())
			}
		}
	}
	return s.c.Parameter(&baySheet).Nominal
}
