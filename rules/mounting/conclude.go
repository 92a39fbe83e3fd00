package mounting

import (
	"errors"
	"strconv"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/assembly"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
)

// FactAssembly is the name of the fact that says how the build is put together,
// as slipfit.v1.Assembly. It is worked out only when wanted.
const FactAssembly = "mounting.assembly"

// conclude provides the assembly, and remembers what it took.
func conclude(c *kit.Case) {
	s := sceneOf(c)
	s.remember()
	if !c.Wants(FactAssembly) {
		return
	}
	a := new(v1.Assembly)
	s.writeJoints(a)
	s.writePurchases(a)
	s.writeMass(a)
	s.writeSteps(a)
	name := FactAssembly
	c.Provide(&v1.Fact{Name: &name, Content: &v1.Fact_Assembly{Assembly: a}})
}

func (s *scene) writeMass(a *v1.Assembly) {
	if s.chassis == nil {
		return
	}
	if mass := s.wholeMass(); mass.Known() {
		grams := rounded(1000*mass.Nominal, 0)
		a.MassG = &grams
	}
	if at, known := s.centre(); known {
		room := s.placed().room
		middle := room.Center()
		x, y, z := rounded(middle[0]+at[0], 1), rounded(middle[1]+at[1], 1), rounded(room.Min()[2]+at[2], 1)
		a.CentreOfMass = &v1.Point{XMm: &x, YMm: &y, ZMm: &z}
	}
}

// writeJoints tells what holds every joint, and what is left over of the boxes.
func (s *scene) writeJoints(a *v1.Assembly) {
	for i := range s.joints {
		j := &s.joints[i]
		if j.need == 0 {
			continue
		}
		name, rule, count := j.title(s), "mounting."+j.rule, uint32(j.need)
		out := &v1.FastenedJoint{Joint: &name, Items: []string{j.item.ID}, Count: &count, Rule: &rule, Fasteners: s.given(j)}
		if to := s.partner(j); to != nil {
			out.Items = append(out.Items, to.ID)
		}
		if len(j.Threads) == 1 && !j.AnyThread {
			thread := j.Threads[0]
			if strings.HasPrefix(thread, "m") {
				thread = "M" + thread[1:]
			}
			out.Thread = &thread
		}
		if j.ShortestMM > 0 {
			out.ShortestMm = &j.ShortestMM
		}
		if j.LongestMM > 0 {
			out.LongestMm = &j.LongestMM
		}
		if short := uint32(max(0, j.need-j.sure-j.possible)); short > 0 {
			out.Short = &short
		}
		a.Joints = append(a.Joints, out)
	}
	for i := range s.lots {
		if l := &s.lots[i]; l.left > 0 {
			a.LeftOver = gather(a.LeftOver, counted(l, l.left))
		}
	}
}

// partner is what a joint's item is fastened to: the board for what sits on it, the
// enclosure for the rest; nil where the build has none.
func (s *scene) partner(j *joint) *kit.Item {
	if j.Purpose == "cooler" || j.rule == screwOfM2 {
		return s.c.First(kit.KindBoard)
	}
	if j.item == s.chassis {
		return nil
	}
	return s.chassis
}

// gather adds to a list, like to like.
func gather(list []*v1.FastenerCount, more *v1.FastenerCount) []*v1.FastenerCount {
	for _, f := range list {
		if f.GetFastener() == more.GetFastener() && f.GetFrom() == more.GetFrom() {
			*f.Count += more.GetCount()
			return list
		}
	}
	return append(list, more)
}

// title names a joint by its two sides.
func (j *joint) title(s *scene) string {
	name := j.item.ID
	if to := s.partner(j); to != nil {
		name += "/" + to.ID
	}
	switch {
	case j.name != "":
		name += " (" + j.name + ")"
	case j.rule == standoffsOfBoard:
		name += " (standoffs)"
	}
	return name
}

// given are the fasteners that the boxes give to a joint.
func (s *scene) given(j *joint) (out []*v1.FastenerCount) {
	for _, d := range s.dealt[j.first:j.end] {
		if d.Given > 0 {
			out = append(out, counted(&s.lots[d.Lot], d.Given))
		}
	}
	return out
}

func counted(l *lot, n int) *v1.FastenerCount {
	words, count := inWords(&l.kind), uint32(n)
	return &v1.FastenerCount{Fastener: &words, From: &l.item.ID, Count: &count}
}

// inWords tells a fastener: "screw M3 x 6 countersunk".
func inWords(f *fastening.Fastener) string {
	words := f.Kind
	if f.Thread != "" {
		words += " " + f.Thread
	}
	if f.LengthMM > 0 {
		words += " x " + strconv.FormatFloat(f.LengthMM, 'f', -1, 64)
	}
	if f.Head != "" {
		words += " " + f.Head
	}
	return words
}

// writeSteps tells the order of assembly, or what bars it, and what comes out again
// to reach each item.
func (s *scene) writeSteps(a *v1.Assembly) {
	o := s.ordered()
	var circle *assembly.CycleError
	if errors.As(o.err, &circle) {
		words := circleInWords(circle)
		a.Barred = &words
		return
	}
	if o.err != nil || len(o.tasks) == 0 {
		return
	}
	a.Least = &o.sequence.Exact
	for _, i := range o.sequence.Order {
		a.Steps = append(a.Steps, s.step(o, i))
	}
	s.writeReaches(a, o)
}

func (s *scene) step(o *ordering, i int) *v1.Step {
	t := &o.tasks[i]
	out := &v1.Step{Action: &t.action, Items: append([]string{t.item.ID}, t.more...), Cables: t.cables}
	if t.caution != "" {
		out.Caution = &t.caution
	}
	for k := range s.joints {
		if j := &s.joints[k]; j.need > 0 && j.madeIn(t) {
			s.fasten(out, t, j)
		}
	}
	for _, r := range o.plan.Relations {
		if r.Then == i && t.stage != stageClose && !contains(out.After, o.tasks[r.First].name) {
			out.After = append(out.After, o.tasks[r.First].name)
		}
	}
	for _, broken := range o.sequence.Reopened {
		if r := o.plan.Relations[broken]; r.First == i && r.Undo >= undoPart && !contains(out.Reopens, o.tasks[r.Then].item.ID) {
			out.Reopens = append(out.Reopens, o.tasks[r.Then].item.ID)
		}
	}
	return out
}

// madeIn reports whether a joint is made in a task.
func (j *joint) madeIn(t *task) bool {
	switch {
	case j.item != t.item:
		return false
	case j.item.Kind == kit.KindChassis:
		return t.stage == stageClose
	case j.rule == standoffsOfBoard:
		return t.stage == stageStandoffs
	default:
		return j.Purpose == t.purpose
	}
}

// fasten adds a joint's fasteners to a step, with driver and torque.
func (s *scene) fasten(out *v1.Step, t *task, j *joint) {
	out.Fasteners = append(out.Fasteners, s.given(j)...)
	if short := j.need - j.sure - j.possible; short > 0 {
		words, count := j.wanted(), uint32(short)
		out.Fasteners = append(out.Fasteners, &v1.FastenerCount{Fastener: &words, Count: &count})
	}
	for _, d := range s.dealt[j.first:j.end] {
		if d.Given == 0 {
			continue
		}
		f := s.lots[d.Lot].fastener
		if out.Driver == nil {
			out.Driver = f.Drive
		}
		if torque, known := torqueOf(f, t); known && out.TorqueLowNm == nil {
			out.TorqueLowNm, out.TorqueHighNm = &torque.LowNm, &torque.HighNm
		}
	}
}

// torqueOf is how hard a fastener is turned in a task: by what it goes into, else
// as into sheet steel. Screws of coolers are turned until they stop.
func torqueOf(f *v1.Fastener, t *task) (fastening.Torque, bool) {
	if t.purpose == "cooler" || t.stage == stageStandoffs {
		return fastening.Torque{}, false
	}
	torque, err := fastening.TorqueFor(f.GetThread(), f.GetGrade(), t.into)
	if err != nil {
		torque, err = fastening.TorqueFor(f.GetThread(), f.GetGrade(), fastening.IntoSheet)
	}
	return torque, err == nil
}

// wanted tells what a joint takes, in words for a shop: "screw M3, 4 to 7 mm, pan".
func (j *joint) wanted() string {
	words := j.Kind
	for i, t := range j.Threads {
		if i > 0 {
			words += " or"
		}
		if strings.HasPrefix(t, "m") {
			t = "M" + t[1:]
		}
		words += " " + t
	}
	number := func(mm float64) string { return strconv.FormatFloat(mm, 'f', -1, 64) }
	switch {
	case j.ShortestMM > 0 && j.LongestMM > 0:
		words += ", " + number(j.ShortestMM) + " to " + number(j.LongestMM) + " mm"
	case j.ShortestMM > 0:
		words += ", from " + number(j.ShortestMM) + " mm"
	case j.LongestMM > 0:
		words += ", up to " + number(j.LongestMM) + " mm"
	}
	if len(j.Heads) > 0 {
		words += ", " + strings.Join(j.Heads, " or ")
	}
	return words + " for " + j.Purpose
}

// writeReaches tells what has to come out to reach each item later. What is behind
// a panel only is reached by taking the panel off, and is left out.
func (s *scene) writeReaches(a *v1.Assembly, o *ordering) {
	inPlace := s.planOf(o.tasks, true)
	for i := range o.tasks {
		t := &o.tasks[i]
		if !puts(t.stage) {
			continue
		}
		reach := &v1.Reach{Item: &t.item.ID}
		for _, out := range inPlace.Reach(i, o.sequence) {
			if id := o.tasks[out].item.ID; (puts(o.tasks[out].stage) || o.tasks[out].stage == stageBlock) && id != t.item.ID && !contains(reach.FirstOut, id) {
				reach.FirstOut = append(reach.FirstOut, id)
			}
		}
		a.Reaches = append(a.Reaches, reach)
	}
}
