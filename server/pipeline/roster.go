package pipeline

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/Masterminds/semver/v3"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// keptChoices bounds how many rulesets of other versions are kept ready.
const keptChoices = 64

// roster is all packs that could answer, several versions of a pack among them. It
// never changes; a pack that comes, goes or comes back as another version makes a
// new one.
type roster struct {
	names   []string            // of packs, in order
	members map[string][]member // by name, the newest first
	usual   map[string]int      // place of the version that answers by default, by name
	main    *ruleset            // what answers when a request pins no version

	mu     sync.Mutex
	others map[string]*ruleset // by the versions chosen
}

// member is one version of a pack. One that has never said what it is has no
// version and no description.
type member struct {
	version     *semver.Version
	description *packv1.DescribeResponse
	lane        *lane
}

// newRoster puts packs in order; by default the newest releases answer, or the
// versions that preferred names. It fails where the versions that answer by default
// cannot work together, where one version stands twice, or where a pack that has come
// up has no version that is preferred.
func newRoster(lanes []*lane, preferred map[string]string) (*roster, error) {
	r := &roster{members: map[string][]member{}, usual: map[string]int{}, others: map[string]*ruleset{}}
	for _, l := range lanes {
		name := l.source.Name()
		if r.members[name] == nil {
			r.names = append(r.names, name)
		}
		m := member{description: l.known, lane: l}
		if l.known != nil {
			version, err := semver.StrictNewVersion(l.known.GetVersion())
			if err != nil {
				version = semver.New(0, 0, 0, "unreadable", "")
			}
			m.version = version
		}
		r.members[name] = append(r.members[name], m)
	}
	slices.Sort(r.names)
	for _, name := range r.names {
		versions := r.members[name]
		slices.SortStableFunc(versions, newestFirst)
		for i := 1; i < len(versions); i++ {
			if v := versions[i].description.GetVersion(); v != "" && v == versions[i-1].description.GetVersion() {
				return nil, fmt.Errorf("pack %s stands twice in version %s; withdraw one of them", name, v)
			}
		}
		r.usual[name] = newestRelease(versions)
		if wanted := preferred[name]; wanted != "" && versions[0].version != nil {
			place, err := pick(versions, wanted)
			if err != nil {
				return nil, fmt.Errorf("pack %s %w", name, err)
			}
			r.usual[name] = place
		}
	}
	var err error
	r.main, err = r.ruleset(nil)
	return r, err
}

// newestFirst orders versions; what has none comes last.
func newestFirst(a, b member) int {
	switch {
	case a.version == nil || b.version == nil:
		return cmp.Compare(boolInt(a.version == nil), boolInt(b.version == nil))
	case a.version.Equal(b.version):
		// Build metadata has no order of its own, but some order has to be.
		return strings.Compare(b.version.Original(), a.version.Original())
	default:
		return b.version.Compare(a.version)
	}
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// newestRelease is the place of the version that answers by default: never a
// pre-release, unless there is nothing else.
func newestRelease(versions []member) int {
	return max(0, slices.IndexFunc(versions, func(m member) bool { return m.version != nil && m.version.Prerelease() == "" }))
}

// choose finds the version of each pack that is not the default one. The violation
// is about the first pin that cannot be followed.
func (r *roster) choose(pins []*v1.PackPin) (map[string]int, []Violation) {
	var chosen map[string]int
	var out []Violation
	for i, pin := range pins {
		at := "packs[" + strconv.Itoa(i) + "]."
		versions := r.members[pin.GetName()]
		if versions == nil {
			out = append(out, Violation{at + "name", fmt.Sprintf("no pack is called %q%s", pin.GetName(), suggestion(pin.GetName(), r.names))})
			continue
		}
		if pin.Version == nil {
			continue
		}
		place, err := pick(versions, pin.GetVersion())
		if err != nil {
			out = append(out, Violation{at + "version", fmt.Sprintf("pack %s %v", pin.GetName(), err)})
			continue
		}
		if place != r.usual[pin.GetName()] {
			if chosen == nil {
				chosen = map[string]int{}
			}
			chosen[pin.GetName()] = place
		}
	}
	return chosen, out
}

// pick finds the newest version that a pin allows: one version, or a range, which
// takes in pre-releases only where it names one.
func pick(versions []member, pin string) (int, error) {
	for i, m := range versions {
		if m.description.GetVersion() == pin {
			return i, nil
		}
	}
	allowed, err := semver.NewConstraint(pin)
	if err != nil {
		return 0, fmt.Errorf("cannot be asked for in version %q, which is neither a version nor a range, such as \"1.4.0\" or \">=1.4 <2\"", pin)
	}
	for i, m := range versions {
		if m.version != nil && allowed.Check(m.version) {
			return i, nil
		}
	}
	return 0, fmt.Errorf("serves in version %s, not %s", strings.Join(versionsOf(versions), ", "), pin)
}

func versionsOf(versions []member) (out []string) {
	for _, m := range versions {
		out = append(out, cmp.Or(m.description.GetVersion(), "unknown"))
	}
	return out
}

// rulesetOf returns the ruleset of other versions than the default ones, made once
// for each choice.
func (r *roster) rulesetOf(chosen map[string]int) (*ruleset, error) {
	if len(chosen) == 0 {
		return r.main, nil
	}
	var key strings.Builder
	for _, name := range r.names {
		if place, other := chosen[name]; other {
			fmt.Fprintf(&key, "%s %d;", name, place)
		}
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if rs := r.others[key.String()]; rs != nil {
		return rs, nil
	}
	rs, err := r.ruleset(chosen)
	if err != nil {
		return nil, err
	}
	if len(r.others) >= keptChoices {
		clear(r.others)
	}
	r.others[key.String()] = rs
	return rs, nil
}

// ruleset ties one version of each pack together.
func (r *roster) ruleset(chosen map[string]int) (*ruleset, error) {
	packs := make([]*rulesetPack, 0, len(r.names))
	for _, name := range r.names {
		versions := r.members[name]
		place, other := chosen[name]
		if !other {
			place = r.usual[name]
		}
		m := versions[place]
		pack := &rulesetPack{name: name, version: m.description.GetVersion(), description: m.description, lane: m.lane, rules: m.lane.rules}
		packs = append(packs, pack)
	}
	return newRuleset(packs)
}

// find returns the version of a pack that answers by default, or nil.
func (r *roster) find(name string) *rulesetPack { return r.main.find(name) }
