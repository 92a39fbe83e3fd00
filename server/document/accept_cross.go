package document

import (
	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// settle looks up the references to a list that is complete now, and forgets
// those that it found.
func (w *walker) settle(f *frame, scope scope) bool {
	kept := w.names[:f.names]
	for _, name := range w.names[f.names:] {
		if name.ref != scope.ref {
			kept = append(kept, name)
			continue
		}
		if !w.listed(f, scope.list, w.at(name.span)) {
			return false
		}
	}
	w.names = kept
	return true
}

func (w *walker) listed(f *frame, list uint8, key []byte) bool {
	for _, k := range w.keys[f.keys:] {
		if k.list == list && string(w.at(k.span)) == string(key) {
			return true
		}
	}
	return false
}

// closeSpecially looks at the messages that have a rule of their own.
func (w *walker) closeSpecially(f *frame) bool {
	switch f.shape.closing {
	case closePose:
		x := line(slipfitv1.Axis(f.value[0]), slipfitv1.Axis_AXIS_X_PLUS)
		z := line(slipfitv1.Axis(f.value[1]), slipfitv1.Axis_AXIS_Z_PLUS)
		return x != z
	case closeItem:
		w.items = append(w.items, pieces{item: f.key, count: max(1, f.value[0])})
		isChassis := w.hasChassis && !f.hadChassis
		return !isChassis || f.value[0] <= 1
	case closeMount:
		for _, name := range w.names[f.names:] {
			if name.ref == w.table.excludesRef && string(w.at(name.span)) == string(w.at(f.key)) {
				return false
			}
		}
		w.places = append(w.places, place{id: f.key, everyOne: true, poses: f.counts[w.table.posesSlot]})
		return true
	case closePart:
		return w.figures(f)
	case closePlace:
		w.places = append(w.places, place{id: f.key, everyOne: true})
		return true
	case closeLayout:
		for i := range w.places[f.places:] {
			w.places[int(f.places)+i].layout, w.places[int(f.places)+i].everyOne = f.key, false
		}
		w.places = append(w.places, place{layout: f.key})
		return true
	case closePlacement:
		if n := len(w.wishes); f.seen&w.table.mountBit != 0 {
			w.wishes[n-1].pose = f.value[0]
		}
		if names := w.names[f.names:]; f.value[1] > 0 && len(names) > 0 {
			w.counts = append(w.counts, pieces{item: names[0].span, count: f.value[1]})
		}
		return true
	case closeBuild:
		return w.choices()
	default:
		return true
	}
}

// figures follows the paths of the figures of a part, and forgets them.
func (w *walker) figures(f *frame) bool {
	kind := f.seen & f.shape.choices[0]
	kept := w.names[:f.names]
	for _, name := range w.names[f.names:] {
		if name.ref != pathRef {
			kept = append(kept, name)
		} else if !w.table.leads(kind, w.at(name.span)) {
			return false
		}
	}
	w.names = kept
	return true
}

// curveState is the last point of the list of points that is being walked.
type curveState struct {
	rule   *curveRule
	owner  uint32
	groups [4]struct{ group, x float64 }
	used   int
	y      float64
}

// next takes one more point of a list and reports whether it stands in order.
// The owner is the message that has the list. Lists whose points come mixed with
// those of another list are not followed.
func (c *curveState) next(owner uint32, rule *curveRule, count uint8, point [3]float64) bool {
	x, y, group := point[0], point[1], point[2]
	if c.rule != rule || c.owner != owner {
		if count > 1 {
			return false
		}
		c.rule, c.owner, c.used = rule, owner, 0
	} else if (rule.slope < 0 && y > c.y) || (rule.slope > 0 && y < c.y) {
		return false
	}
	c.y = y
	for i := range c.used {
		if c.groups[i].group == group {
			rises := x > c.groups[i].x
			c.groups[i].x = x
			return rises
		}
	}
	if c.used == len(c.groups) {
		return false
	}
	c.groups[c.used].group, c.groups[c.used].x = group, x
	c.used++
	return true
}

// leads reports whether a path leads from a part of a kind to a field of it.
func (t *table) leads(kind uint64, path []byte) bool {
	s := t.part
	for {
		name, rest := path, []byte(nil)
		more := false
		for i, c := range path {
			if c == '.' {
				name, rest, more = path[:i], path[i+1:], true
				break
			}
		}
		index := len(name)
		for i, c := range name {
			if c == '[' {
				index = i
				break
			}
		}
		number := s.byName[string(name[:index])]
		if number == 0 {
			return false
		}
		st := &s.steps[number]
		if index < len(name) && (!st.list || !isIndex(string(name[index+1:]))) {
			return false
		}
		if s == t.part && bit(number)&t.part.choices[0]&^kind != 0 {
			return false
		}
		if !more {
			return true
		}
		if st.child == nil {
			return false
		}
		s, path = st.child, rest
	}
}

// place is a mount of the chassis, or a place of its published limits.
type place struct {
	id span
	// layout is the one that it belongs to; places of the chassis's own limits
	// belong to every layout.
	layout   span
	everyOne bool
	poses    uint8
}

// wish is a mount that a placement names, and the pose that it asks for there.
type wish struct {
	mount span
	pose  float64
}

// pieces are so many of an item.
type pieces struct {
	item  span
	count float64
}

// spares reports whether no more pieces of an item are counted than it has.
func (w *walker) spares() bool {
	for _, c := range w.counts {
		for i := range w.items {
			if it := &w.items[i]; string(w.at(it.item)) == string(w.at(c.item)) {
				it.count -= c.count
				if it.count < 0 {
					return false
				}
			}
		}
	}
	return true
}

// choices holds the arrangement that was chosen against the chassis, and the
// layouts' own ids, which stand among the places.
func (w *walker) choices() bool {
	var chosen []byte
	if w.hasLayout {
		chosen = w.at(w.layout)
	}
	if len(chosen) > 0 && !w.layoutExists(chosen) {
		return false
	}
	for _, wish := range w.wishes {
		if wish.mount.start < wish.mount.end && !w.granted(wish, chosen) {
			return false
		}
	}
	return w.spares()
}

// layoutExists looks for a layout among the places; each layout leaves one that
// has no id of its own.
func (w *walker) layoutExists(id []byte) bool {
	for _, p := range w.places {
		if !p.everyOne && string(w.at(p.layout)) == string(id) {
			return true
		}
	}
	return false
}

// granted reports whether a mount is in the layout that was chosen, or in any
// where none was, and has the pose. Where several bear its name, the one with
// the most poses counts.
func (w *walker) granted(wish wish, chosen []byte) bool {
	found, poses := false, uint8(0)
	for _, p := range w.places {
		if string(w.at(p.id)) != string(w.at(wish.mount)) {
			continue
		}
		if p.everyOne || !w.hasLayout || string(w.at(p.layout)) == string(chosen) {
			found, poses = true, max(poses, p.poses)
		}
	}
	return found && (poses == 0 || wish.pose < float64(poses))
}
