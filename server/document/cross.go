package document

import (
	"fmt"
	"strconv"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// crossCheck holds a document against what field rules cannot say, and gathers
// what is wrong. It passes over what is missing: field rules tell that.
type crossCheck struct {
	found []Violation
}

func (c *crossCheck) addf(path, format string, args ...any) {
	c.found = append(c.found, Violation{Path: path, Reason: fmt.Sprintf(format, args...)})
}

func at(path string, index int) string { return path + "[" + strconv.Itoa(index) + "]" }

func (c *crossCheck) request(r *slipfitv1.CheckRequest) {
	if r.Build != nil {
		c.build(r.Build, "build")
	}
	unique(c, "policy", "parameter", r.Policy, (*slipfitv1.PolicyValue).GetParameter)
	unique(c, "packs", "name", r.Packs, (*slipfitv1.PackPin).GetName)
}

func (c *crossCheck) build(b *slipfitv1.Build, path string) {
	items := join(path, "items")
	unique(c, items, "id", b.Items, (*slipfitv1.Item).GetId)
	chassis := c.chassisOf(b, items)
	for i, item := range b.Items {
		if item.GetPart() != nil {
			c.part(item.Part, join(at(items, i), "part"))
		}
	}
	ids := make([]string, len(b.Items))
	for i, item := range b.Items {
		ids[i] = item.GetId()
	}
	if b.Use != nil {
		use := join(path, "use")
		refer(c, join(use, "loads"), b.Use.Loads, ids, (*slipfitv1.Load).GetItem)
		unique(c, join(use, "loads"), "item", b.Use.Loads, (*slipfitv1.Load).GetItem)
		refer(c, join(use, "fans"), b.Use.Fans, ids, (*slipfitv1.FanSetting).GetItem)
		unique(c, join(use, "fans"), "item", b.Use.Fans, (*slipfitv1.FanSetting).GetItem)
	}
	if b.Arrangement != nil {
		arrangement := join(path, "arrangement")
		refer(c, join(arrangement, "placements"), b.Arrangement.Placements, ids, (*slipfitv1.Placement).GetItem)
		c.arrangement(b.Arrangement, chassis, arrangement)
		c.placed(b, join(arrangement, "placements"))
	}
}

// chassisOf gives the chassis of a build, nil where there is none, and refuses a
// second one.
func (c *crossCheck) chassisOf(b *slipfitv1.Build, items string) *slipfitv1.Chassis {
	var chassis *slipfitv1.Chassis
	first := -1
	for i, item := range b.Items {
		candidate := item.GetPart().GetChassis()
		if candidate == nil {
			continue
		}
		if chassis != nil {
			c.addf(at(items, i), "a build has one chassis, and %s is one already; take one of the two out", at("items", first))
			continue
		}
		chassis, first = candidate, i
		if item.GetCount() > 1 {
			c.addf(join(at(items, i), "count"), "a build has one chassis; count is %d, make it 1 or leave it out", item.GetCount())
		}
	}
	return chassis
}

// unique refuses a key that two elements of a list bear.
func unique[T any](c *crossCheck, path, field string, list []T, key func(T) string) {
	first := make(map[string]int, len(list))
	for i, element := range list {
		k := key(element)
		if k == "" {
			continue
		}
		if before, ok := first[k]; ok {
			c.addf(join(at(path, i), field), "%s %s is that of %s already; give each its own", field, quoteShort(k), at(lastName(path), before))
			continue
		}
		first[k] = i
	}
}

// refer refuses an element that names no item of the build.
func refer[T any](c *crossCheck, path string, list []T, ids []string, item func(T) string) {
	for i, element := range list {
		c.oneOf(join(at(path, i), "item"), item(element), ids, "item", "the build")
	}
}

// oneOf refuses a name that is not among others.
func (c *crossCheck) oneOf(path, name string, names []string, what, where string) {
	if name == "" {
		return
	}
	for _, n := range names {
		if n == name {
			return
		}
	}
	hint := didYouMean(name, names)
	if hint == "" {
		hint = "; name one that is there or leave this out"
	}
	c.addf(path, "%s has no %s %s%s", where, what, quoteShort(name), hint)
}

// arrangement holds choices against the layouts and mounts of the chassis.
func (c *crossCheck) arrangement(a *slipfitv1.ArrangementChoice, chassis *slipfitv1.Chassis, path string) {
	if chassis == nil {
		c.noChassis(a, path)
		return
	}
	layouts := make([]string, len(chassis.GetLayouts()))
	for i, layout := range chassis.GetLayouts() {
		layouts[i] = layout.GetId()
	}
	c.oneOf(join(path, "layout"), a.GetLayout(), layouts, "layout", "the chassis")
	mounts, poses := mountsOf(chassis, a.Layout)
	for i, placement := range a.Placements {
		at := at(join(path, "placements"), i)
		c.oneOf(join(at, "mount"), placement.GetMount(), mounts, "mount", "the chassis")
		if most, ok := poses[placement.GetMount()]; ok && placement.Pose != nil && placement.GetPose() >= uint32(most) {
			c.addf(join(at, "pose"), "the mount %s has %d poses, counted from 0; pose is %d", quoteShort(placement.GetMount()), most, placement.GetPose())
		}
	}
}

// placed refuses placements that count more pieces of an item than there are.
func (c *crossCheck) placed(b *slipfitv1.Build, path string) {
	left := make(map[string]int, len(b.Items))
	for _, item := range b.Items {
		left[item.GetId()] = max(1, int(item.GetCount()))
	}
	for i, placement := range b.Arrangement.Placements {
		have, known := left[placement.GetItem()]
		if !known || placement.GetItem() == "" || placement.Count == nil {
			continue
		}
		if n := int(placement.GetCount()); n > have {
			c.addf(join(at(path, i), "count"), "the placements of %s count more pieces than the build has, by %d; lower this count, or raise that of the item",
				quoteShort(placement.GetItem()), n-have)
			left[placement.GetItem()] = 0
		} else {
			left[placement.GetItem()] = have - n
		}
	}
}

// noChassis refuses choices that only a chassis could offer.
func (c *crossCheck) noChassis(a *slipfitv1.ArrangementChoice, path string) {
	const words = "the build has no chassis to look for the %s %s in; add one or leave this out"
	if a.GetLayout() != "" {
		c.addf(join(path, "layout"), words, "layout", quoteShort(a.GetLayout()))
	}
	for i, placement := range a.Placements {
		if placement.GetMount() != "" {
			c.addf(join(at(join(path, "placements"), i), "mount"), words, "mount", quoteShort(placement.GetMount()))
		}
	}
}

// mountsOf gives the names of the mounts of the layout that was chosen, or of
// all where none was, with those of the published limits; and the number of
// poses of each mount that lists any. Of mounts that bear one name in several
// layouts the one with the most poses counts.
func mountsOf(chassis *slipfitv1.Chassis, chosen *string) (names []string, poses map[string]int) {
	poses = map[string]int{}
	limits := func(l *slipfitv1.ChassisLimits) {
		for _, r := range l.GetRadiators() {
			names = append(names, r.GetMount())
		}
		for _, f := range l.GetFans() {
			names = append(names, f.GetMount())
		}
		for _, d := range l.GetDrives() {
			names = append(names, d.GetMount())
		}
	}
	limits(chassis.GetLimits())
	for _, layout := range chassis.GetLayouts() {
		if chosen != nil && layout.GetId() != *chosen {
			continue
		}
		limits(layout.GetLimits())
		for _, mount := range layout.GetMounts() {
			names = append(names, mount.GetId())
			if n := len(mount.GetPoses()); n > 0 {
				poses[mount.GetId()] = max(n, poses[mount.GetId()])
			}
		}
	}
	return names, poses
}
