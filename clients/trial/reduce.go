package trial

import (
	"strconv"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Keeps reports whether what matters about a build is still there. An error ends
// the reduction.
type Keeps func(*v1.Build) (bool, error)

// Reduce takes out of a build what can be taken out while keeps holds: items,
// entries of lists and fields, from the outermost to the innermost, in halves first
// and one by one at last (delta debugging, after Zeller and Hildebrandt,
// "Simplifying and isolating failure-inducing input", 2002, and its hierarchical
// form). What is left is minimal: no single further removal keeps it. Where that
// takes more than budget questions, minimal is false. The build itself is not
// changed.
func Reduce(build *v1.Build, keeps Keeps, budget int) (least *v1.Build, minimal bool, err error) {
	r := &reducer{build: proto.CloneOf(build), keeps: keeps, budget: budget}
	for depth := 1; depth <= r.deepest() && r.going(); depth++ {
		r.level(depth, len(r.sites(depth)))
	}
	for removed := true; removed && r.going(); {
		removed = false
		for depth := 1; depth <= r.deepest() && r.going(); depth++ {
			removed = r.level(depth, 1) || removed
		}
	}
	return r.build, r.going(), r.err
}

type reducer struct {
	build  *v1.Build
	keeps  Keeps
	budget int
	err    error
}

func (r *reducer) going() bool { return r.err == nil && r.budget > 0 }

// level tries to remove the places of one depth, so many together at first.
func (r *reducer) level(depth, together int) (removed bool) {
	for ; together >= 1; together /= 2 {
		sites := r.sites(depth)
		for from := 0; from < len(sites) && r.going(); {
			chunk := sites[from:min(from+together, len(sites))]
			if !r.try(chunk) {
				from += len(chunk)
				continue
			}
			removed = true
			// What is left of this depth is the same in the same order, but places in
			// lists have moved up.
			sites = r.sites(depth)
		}
	}
	return removed
}

// try removes places and stays with it if what matters is still there.
func (r *reducer) try(sites []string) bool {
	r.budget--
	smaller := Without(r.build, sites...)
	kept, err := r.keeps(smaller)
	if err != nil {
		r.err = err
		return false
	}
	if kept {
		r.build = smaller
	}
	return kept
}

func (r *reducer) deepest() (deepest int) {
	for _, s := range allSites(r.build) {
		deepest = max(deepest, s.depth)
	}
	return deepest
}

func (r *reducer) sites(depth int) (paths []string) {
	for _, s := range allSites(r.build) {
		if s.depth == depth {
			paths = append(paths, s.path)
		}
	}
	return paths
}

// site is one place that could be removed: a field or an entry of a list.
type site struct {
	path  string
	depth int
}

// Sites are the paths of all places of a build that could be removed one by one,
// such as "items[2]" and "items[2].part.fan.size_mm".
func Sites(build *v1.Build) (paths []string) {
	for _, s := range allSites(build) {
		paths = append(paths, s.path)
	}
	return paths
}

func allSites(build *v1.Build) (out []site) {
	visit(build.ProtoReflect(), "", 1, func(path string, depth int) { out = append(out, site{path, depth}) })
	return out
}

// visit calls f for every place of a message in the order of the fields' numbers.
func visit(m protoreflect.Message, prefix string, depth int, f func(path string, depth int)) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		field := fields.Get(i)
		if !m.Has(field) {
			continue
		}
		path := prefix + string(field.Name())
		if !field.IsList() {
			f(path, depth)
			if field.Message() != nil && !field.IsMap() {
				visit(m.Get(field).Message(), path+".", depth+1, f)
			}
			continue
		}
		list := m.Get(field).List()
		for j := range list.Len() {
			entry := path + "[" + strconv.Itoa(j) + "]"
			f(entry, depth)
			if field.Message() != nil {
				visit(list.Get(j).Message(), entry+".", depth+1, f)
			}
		}
	}
}

// Without returns a copy of a build without some of its places.
func Without(build *v1.Build, paths ...string) *v1.Build {
	drop := make(map[string]bool, len(paths))
	for _, p := range paths {
		drop[p] = true
	}
	out := proto.CloneOf(build)
	remove(out.ProtoReflect(), "", drop)
	return out
}

// remove walks a message by its old places while it takes the dropped ones out.
func remove(m protoreflect.Message, prefix string, drop map[string]bool) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		field := fields.Get(i)
		path := prefix + string(field.Name())
		switch {
		case !m.Has(field):
		case drop[path]:
			m.Clear(field)
		case field.IsList():
			removeEntries(m, field, path, drop)
		case field.Message() != nil && !field.IsMap():
			remove(m.Mutable(field).Message(), path+".", drop)
		}
	}
}

func removeEntries(m protoreflect.Message, field protoreflect.FieldDescriptor, path string, drop map[string]bool) {
	list := m.Mutable(field).List()
	kept := 0
	for j := range list.Len() {
		entry := path + "[" + strconv.Itoa(j) + "]"
		if drop[entry] {
			continue
		}
		value := list.Get(j)
		if field.Message() != nil {
			remove(value.Message(), entry+".", drop)
		}
		list.Set(kept, value)
		kept++
	}
	list.Truncate(kept)
}
