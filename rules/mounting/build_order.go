package mounting

import (
	"errors"
	"strings"

	"slipfit.example/rules/assembly"
	"slipfit.example/rules/kit"
)

var buildOrderRule = kit.Rule{
	ID: "mounting.build-order", Title: "Whether the build can be put together at all", Since: "0.1.0",
	Why: "Parts that all have room can still bar each other's way in: then the build stops half way, on the table.",
	Formula: "Every part is drawn out of its place straight through each side of the enclosure that opens; what it would pass through has to go in later. Together with " +
		"what lies on what, and what the build declares, an order is sought. Turning and tilting a part in is not seen: one that has no straight way at all is taken to get in.",
	Sources:   []sourceOf{kit.CommonPractice},
	Reads:     []string{"chassis.panels", "chassis.obstructions", "order"},
	UsesFacts: []string{factArrangement},
	Texts: map[string]string{
		"pass":     "The parts can be put together, in {steps} steps.",
		"marginal": "The parts can be put together, but something has to be opened again: {why}.",
		"fail":     "The parts cannot be put together by straight ways: {why}.",
		"declared": "The orders that the build declares cannot all be kept: {why}.",
		"unknown":  "Whether the parts can be put together as the build declares cannot be told: {missing} names no item that is put in.",
	},
	Remedies: map[string]string{
		"tilt":  "See whether one of them can be tilted in, or choose another mount for it.",
		"mend":  "Take one of these orders out of the build.",
		"later": "Plan for opening it again, or choose another mount for one of them.",
	},
	Judge: judgeBuildOrder,
}

func judgeBuildOrder(c *kit.Case) {
	s := sceneOf(c)
	if s.chassis == nil || s.placed() == nil && len(c.Build.Order) == 0 {
		return // without boxes nothing bars anything
	}
	o := s.ordered()
	if len(o.tasks) == 0 {
		return
	}
	for _, path := range s.strayOrders(o.tasks) {
		c.Judged(kit.Unknown, c.Absent(path, "")).About(s.chassis)
	}
	steps := kit.Constant(float64(len(o.tasks)), "")
	var circle *assembly.CycleError
	switch {
	case errors.As(o.err, &circle):
		f := c.Judged(kit.Fail, s.declaredIn(o.tasks, circle.Steps)...).About(s.itemsOf(o.tasks, circle.Steps)...).
			Word("why", circleInWords(circle)).Number("steps", steps)
		if len(s.declaredIn(o.tasks, circle.Steps)) > 0 {
			f.Say("declared").Remedy("mend")
		} else {
			f.Remedy("tilt")
		}
	case o.err != nil:
		panic(o.err)
	case len(o.sequence.Reopened) > 0 && o.sequence.Cost >= undoPart:
		first := o.plan.Relations[o.sequence.Reopened[0]]
		c.Judged(kit.Marginal).About(s.itemsOf(o.tasks, []int{first.First, first.Then})...).
			Word("why", o.tasks[first.First].name+" would better come before "+o.tasks[first.Then].name+", because "+first.Why).Number("steps", steps).Remedy("later")
	default:
		c.Judged(kit.Pass).About(s.chassis).Number("steps", steps)
	}
}

// circleInWords tells a circle without the advice of the error.
func circleInWords(e *assembly.CycleError) string {
	parts := make([]string, len(e.Names))
	for i, name := range e.Names {
		parts[i] = name + " goes in before " + e.Names[(i+1)%len(e.Names)] + ", because " + e.Whys[i]
	}
	return strings.Join(parts, "; ")
}

// itemsOf are the items of some tasks, each once.
func (s *scene) itemsOf(tasks []task, steps []int) (items []*kit.Item) {
	for _, i := range steps {
		known := false
		for _, it := range items {
			known = known || it == tasks[i].item
		}
		if !known {
			items = append(items, tasks[i].item)
		}
	}
	return items
}

// ordering is the work of a build put in order.
type ordering struct {
	tasks    []task
	plan     assembly.Plan
	sequence assembly.Sequence
	err      error
}

// ordered puts the build in order, once for all rules of a case.
func (s *scene) ordered() *ordering {
	if s.order == nil {
		o := &ordering{tasks: s.listTasks()}
		if len(o.tasks) > assembly.MaxSteps {
			o.tasks = nil
		}
		o.plan = s.planOf(o.tasks, false)
		o.sequence, o.err = o.plan.Order()
		s.order = o
	}
	return s.order
}

// planOf is the plan of some tasks.
func (s *scene) planOf(tasks []task, inPlace bool) assembly.Plan {
	plan := assembly.Plan{Steps: make([]assembly.Step, len(tasks)), Relations: s.relate(tasks)}
	for i := range tasks {
		plan.Steps[i] = assembly.Step{Name: tasks[i].name, Rank: int(tasks[i].stage)}
	}
	s.addWays(tasks, &plan, inPlace)
	return plan
}
