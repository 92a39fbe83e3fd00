package mounting

import (
	"slices"
	"strconv"
	"strings"

	"slipfit.example/rules/assembly"
	"slipfit.example/rules/kit"
)

// declared is one order that the build itself declares, between the tasks that put
// its items in.
type declared struct {
	index       int // in the build's list
	first, then []int
}

// declare lists the orders that the build declares. What names an item that is not
// there, or that is not put in, orders nothing.
func (s *scene) declare(tasks []task) (out []declared) {
	for i, d := range s.c.Build.Order {
		out = append(out, declared{i, puttingIn(tasks, d.GetFirst()), puttingIn(tasks, d.GetThen())})
	}
	return out
}

// puttingIn are the tasks that put an item in.
func puttingIn(tasks []task, id string) (at []int) {
	for i := range tasks {
		if tasks[i].item.ID == id && puts(tasks[i].stage) {
			at = append(at, i)
		}
	}
	return at
}

// declaredRelations are the relations of the orders that the build declares.
func (s *scene) declaredRelations(tasks []task) (out []assembly.Relation) {
	for _, d := range s.declare(tasks) {
		why := s.c.Build.Order[d.index].GetWhy()
		if why == "" {
			why = "the build says so"
		}
		for _, first := range d.first {
			for _, then := range d.then {
				out = append(out, assembly.Relation{First: first, Then: then, Why: strings.TrimRight(why, "."), Order: true})
			}
		}
	}
	return out
}

// strayOrders are the paths of declared orders that name no item that is put in.
func (s *scene) strayOrders(tasks []task) (paths []kit.Path) {
	for _, d := range s.declare(tasks) {
		at := "order[" + strconv.Itoa(d.index) + "]."
		if len(d.first) == 0 {
			paths = append(paths, kit.Path{Field: at + "first"})
		}
		if len(d.then) == 0 {
			paths = append(paths, kit.Path{Field: at + "then"})
		}
	}
	return paths
}

// declaredIn are the declared orders that take part in a circle, by their paths.
func (s *scene) declaredIn(tasks []task, circle []int) (values []kit.Value) {
	for _, d := range s.declare(tasks) {
		for i, step := range circle {
			if slices.Contains(d.first, step) && slices.Contains(d.then, circle[(i+1)%len(circle)]) {
				number := float64(d.index + 1)
				values = append(values, s.c.Given(kit.Path{Field: "order[" + strconv.Itoa(d.index) + "]"}, &number, ""))
			}
		}
	}
	return values
}
