package clearance

import (
	"sync"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/geometry"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/route"
)

// laying keeps what was found out about the cables of one plan: the free space,
// and of each run its ends, its bounds and, where it was looked for, its exact
// way. It belongs to the plan, whose key holds everything that decides them, and
// knows no case.
type laying struct {
	sync.Mutex
	room   route.Room
	isRoom bool
	isRead bool
	runs   []laid
	power  []float64 // estimates of the ways of the supply's cables
	data   []float64 // and of the data cables
}

// ways are those that the cables of all plans take: most of them stay when one part is
// changed for another.
var ways = route.NewMemory(waysKept)

// waysKept of one generation: a way takes some 5 kB.
const waysKept = 512

// usualRuns is how many cables and leads a build has room for at first.
const usualRuns = 16

// laid is one run without its case.
type laid struct {
	done      bool
	from, end route.Terminal
	mouths    [2]geometry.Vec // where the sockets are, if the ends lie beside them
	extra     float64         // of the cable between those and the ends
	lower     float64         // no way is shorter
	upper     float64         // there is a way no longer; 0 where none is at hand

	sought bool
	way    *route.Route
	failed error
}

// space is the free space round the parts of an arrangement; false where the
// enclosure has no compartments.
func (l *laying) space(c *kit.Case, a *v1.Arrangement) (*route.Room, bool) {
	l.Lock()
	defer l.Unlock()
	if chassis := c.First(kit.KindChassis); !l.isRead && chassis != nil {
		l.room, l.isRoom = roomOf(chassis, a)
		l.isRead = true
	}
	return &l.room, l.isRoom
}

// bound gives a run its bounds.
func (l *laying) bound(r *run) {
	l.Lock()
	defer l.Unlock()
	if l.runs == nil {
		l.runs = make([]laid, 0, max(usualRuns, r.number+1))
	}
	if n := r.number + 1 - len(l.runs); n > 0 {
		l.runs = append(l.runs, make([]laid, n)...)
	}
	if kept := &l.runs[r.number]; !kept.done {
		r.laid.bound(&l.room, r.kind(), r.ribbon != nil)
		*kept = r.laid
	}
	r.laid = l.runs[r.number]
}

// seek gives a run its exact way.
func (l *laying) seek(r *run) {
	l.bound(r)
	l.Lock()
	defer l.Unlock()
	if kept := &l.runs[r.number]; !kept.sought {
		kept.way, kept.failed = ways.Find(&l.room, r.kind(), kept.from, kept.end)
		kept.sought = true
	}
	r.laid = l.runs[r.number]
}

// bound finds the bounds of a way between two ends. A riser's length is counted
// without its connectors.
func (r *laid) bound(room *route.Room, cable route.Cable, isRibbon bool) {
	radius := cable.Diameter / 2
	r.done, r.mouths = true, [2]geometry.Vec{r.from.At, r.end.At}
	leave(room, &r.from, radius)
	leave(room, &r.end, radius)
	r.extra = sidestep(room, &r.from, radius) + sidestep(room, &r.end, radius)
	r.lower, r.upper = bounds(room, cable, r.from, r.end)
	if isRibbon {
		r.extra -= r.from.Straight + r.end.Straight
	}
	r.lower += r.extra
	if r.upper > 0 {
		r.upper += r.extra
	}
}
