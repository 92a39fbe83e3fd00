package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
)

// scene is what the rules of one case share: the enclosure and the layout that
// the build was judged in, what lies in the boxes, and which joint gets what of
// it. Its memory serves the next case again.
type scene struct {
	c       *kit.Case
	chassis *kit.Item
	layout  *v1.Layout      // nil where it is not known or there is none
	fact    *v1.Arrangement // empty where the fact is not there; without boxes and gaps
	arrange bool            // the fact is there
	extents []placedBox     // its boxes
	plain   []byte          // what else it is read from

	lots   []lot
	joints []joint

	boxes  *bodies // of the arrangement, once sorted
	sorted bool
	order  *ordering   // of assembly, once worked out
	tasks  []task      // of it
	masses []kit.Value // of the parts, while they are added up
	sat    []seating   // patterns over what carries them, once worked out
	seated bool
	near   near // the screws of the pattern in hand

	memory *memory // of the pack
	known  *known  // about this build from before, nil for nothing
	items  []*kit.Item
	key    []byte // what the items are told apart by

	dealer fastening.Dealer
	counts []int
	needs  []fastening.Need
	dealt  []fastening.Suit
}

// open lays out the scene for a new case, with what is remembered of it. The pack
// knows one way of judging.
func (m *memory) open(c *kit.Case) int {
	s, _ := c.Workspace.(*scene)
	if s == nil {
		s = new(scene)
		c.Workspace = s
	}
	s.memory = m
	s.c, s.chassis, s.layout = c, c.First(kit.KindChassis), nil
	s.lots, s.joints = s.lots[:0], s.joints[:0]
	s.boxes, s.sorted, s.order, s.seated = nil, false, nil, false
	if c.JudgesAlone() {
		return 1
	}
	s.readArrangement()
	s.unpack()
	s.listJoints()
	s.share()
	return 1
}

func sceneOf(c *kit.Case) *scene { return c.Workspace.(*scene) }

// readArrangement takes the layout from the fact, or else the enclosure's only
// one.
func (s *scene) readArrangement() {
	arranged, there := s.c.FactBytes(factArrangement)
	s.arrange, s.extents = there, s.extents[:0]
	if !s.recall(arranged) {
		s.readFact(arranged)
	}
	if s.chassis == nil {
		return
	}
	layouts := s.chassis.Part.GetChassis().Layouts
	for _, l := range layouts {
		if l.GetId() == s.fact.GetLayout() || !there && len(layouts) == 1 {
			s.layout = l
		}
	}
}

// mountsOf yields the mounts that an item sits on and how many of it, by the
// fact.
func (s *scene) mountsOf(it *kit.Item) func(yield func(mount string, pieces int) bool) {
	return func(yield func(string, int) bool) {
		for _, seat := range s.fact.Seats {
			if seat.GetItem() == it.ID && !yield(seat.GetMount(), int(seat.GetCount())) {
				return
			}
		}
	}
}

// mount returns a mount of the layout, nil where it has none of that name.
func (s *scene) mount(id string) *v1.Mount {
	for _, m := range s.layout.GetMounts() {
		if m.GetId() == id {
			return m
		}
	}
	return nil
}

// onRadiator reports whether a mount bears a radiator.
func (s *scene) onRadiator(mount string) bool {
	for _, seat := range s.fact.Seats {
		if seat.GetMount() != mount {
			continue
		}
		if it := s.c.ItemByID(seat.GetItem()); it != nil && (it.Kind == kit.KindRadiator || it.Kind == kit.KindLiquidLoop) {
			return true
		}
	}
	return false
}

// sole returns the item's one mount, "" where it has none or several.
func (s *scene) sole(it *kit.Item) (id string) {
	for mount := range s.mountsOf(it) {
		if id != "" && id != mount {
			return ""
		}
		id = mount
	}
	return id
}
