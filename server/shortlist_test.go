package server_test

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/server"
)

// plain is a shortlist made the plain way: every candidate is checked as any build is,
// and the answers are held against the contract's words.
type plain struct {
	items    []string        // that are sought
	prefixes []string        // of their paths
	standing []*v1.Finding   // without the candidate
	alone    map[string]bool // rules that judge by the build alone
	level    map[string]int  // of packs
	order    v1.ShortlistOrder
}

type plainCandidate struct {
	place   int
	part    *v1.Part
	verdict v1.Verdict
	finding *v1.Finding
	share   float64
	key     float64
}

// newPlain judges the build without the candidate in process: no document may have an
// empty part, so that no service would.
func newPlain(t *testing.T, build *v1.Build, order v1.ShortlistOrder, items ...string) *plain {
	t.Helper()
	p := &plain{items: items, alone: map[string]bool{}, order: order,
		level: map[string]int{"clearance": 0, "power": 1, "interface": 1, "mounting": 1, "thermal": 2}}
	empty := proto.CloneOf(build)
	chassis := false
	for i, it := range empty.Items {
		if slices.Contains(items, it.GetId()) {
			it.Part = &v1.Part{}
			p.prefixes = append(p.prefixes, fmt.Sprintf("items[%d].", i))
		}
		chassis = chassis || it.Part.GetChassis() != nil
	}
	if !chassis {
		empty.Arrangement = nil
	}
	check, err := proto.Marshal(&v1.CheckRequest{Build: empty})
	if err != nil {
		t.Fatal(err)
	}
	var facts []kit.Fact
	for _, name := range []string{"clearance", "power", "interface", "mounting", "thermal"} {
		pack := builtin[name]()
		for _, r := range pack.Rules {
			p.alone[r.ID] = r.Alone
		}
		e, err := kit.NewEvaluator(pack)
		if err != nil {
			t.Fatal(err)
		}
		var out kit.Outcome
		if err := e.Evaluate(check, facts, &out); err != nil {
			t.Fatal(err)
		}
		facts = append(facts, out.Facts...)
		answer := new(v1.CheckResponse)
		if err := proto.Unmarshal(out.Findings, answer); err != nil {
			t.Fatal(err)
		}
		for _, f := range answer.Findings {
			if f.GetVerdict() >= v1.Verdict_VERDICT_UNKNOWN {
				p.standing = append(p.standing, f)
			}
		}
	}
	return p
}

// stands tells whether the same is wrong without the candidate.
func (p *plain) stands(f *v1.Finding) bool {
	if f.GetVerdict() == v1.Verdict_VERDICT_UNKNOWN && len(f.MissingFacts) == 0 &&
		slices.ContainsFunc(f.Missing, func(path string) bool {
			return path == "items" || strings.HasPrefix(path, "room.") || strings.HasPrefix(path, "use.")
		}) {
		own := strings.Contains(" "+strings.Join(f.Missing, " "), " "+p.prefixes[0])
		if len(p.prefixes) == 1 && !own {
			return true
		}
	}
	for _, s := range p.standing {
		same := s.GetRule() == f.GetRule() && s.GetVerdict() == f.GetVerdict() && slices.Equal(s.Subjects, f.Subjects)
		wants := strings.Join(f.Missing, " ") + strings.Join(f.MissingFacts, " ")
		switch {
		case !same || p.concerns(f):
		case proto.Equal(s, f),
			f.GetVerdict() == v1.Verdict_VERDICT_UNKNOWN && wants != "" && wants == strings.Join(s.Missing, " ")+strings.Join(s.MissingFacts, " "),
			f.GetVerdict() == v1.Verdict_VERDICT_FAIL && f.Margin != nil && s.Margin != nil && f.GetMargin().GetNominal() >= s.GetMargin().GetNominal():
			return true
		}
	}
	return false
}

// concerns tells whether the candidate has a part in a finding.
func (p *plain) concerns(f *v1.Finding) bool {
	paths := slices.Clone(f.Missing)
	for _, in := range f.Inputs {
		paths = append(paths, in.GetPath())
	}
	return slices.ContainsFunc(p.items, func(item string) bool { return slices.Contains(f.Subjects, item) }) ||
		slices.ContainsFunc(paths, func(path string) bool {
			return slices.ContainsFunc(p.prefixes, func(prefix string) bool { return strings.HasPrefix(path, prefix) })
		})
}

// step is when a finding is looked at.
func (p *plain) step(f *v1.Finding) int {
	if p.alone[f.GetRule()] {
		return -1
	}
	return p.level[f.GetPack()]
}

func (p *plain) judge(place int, part *v1.Part, answer *v1.CheckResponse) plainCandidate {
	c := plainCandidate{place: place, part: part, verdict: v1.Verdict_VERDICT_PASS, share: math.Inf(1)}
	findings := slices.Clone(answer.Findings)
	slices.SortStableFunc(findings, func(a, b *v1.Finding) int { return cmp.Compare(p.step(a), p.step(b)) })
	decided := math.MaxInt
	for _, f := range findings {
		if p.step(f) > decided {
			break
		}
		if f.GetVerdict() > c.verdict && (f.GetVerdict() < v1.Verdict_VERDICT_UNKNOWN || !p.stands(f)) {
			if c.verdict = f.GetVerdict(); c.verdict >= v1.Verdict_VERDICT_UNKNOWN {
				c.finding, decided = f, p.step(f)
			}
		}
		if share, ok := p.share(f); ok && decided == math.MaxInt && share < c.share {
			c.share, c.finding = share, f
		}
	}
	c.key = p.key(&c, answer)
	return c
}

func (p *plain) share(f *v1.Finding) (float64, bool) {
	if f.Margin == nil || f.GetVerdict() == v1.Verdict_VERDICT_UNKNOWN || f.GetMargin().GetUnit() == "" || f.GetRequired().GetNominal() == 0 {
		return 0, false
	}
	share := f.GetMargin().GetNominal() / math.Abs(f.GetRequired().GetNominal())
	return share, p.concerns(f) && !(f.GetSaturates() && share >= 0)
}

func (p *plain) key(c *plainCandidate, answer *v1.CheckResponse) float64 {
	switch p.order {
	case v1.ShortlistOrder_SHORTLIST_ORDER_PRICE:
		if c.part.Price != nil {
			return -c.part.Price.GetAmount()
		}
	case v1.ShortlistOrder_SHORTLIST_ORDER_SOUND:
		for _, fact := range answer.Facts {
			if level := fact.GetForecast().GetLevelDba(); level != nil && level.Nominal != nil {
				return -level.GetNominal()
			}
		}
	default:
		if !math.IsInf(c.share, 1) {
			return c.share
		}
	}
	return math.Inf(-1)
}

// check checks the build with parts in the places that are sought for.
func (p *plain) check(t *testing.T, conn *grpc.ClientConn, build *v1.Build, parts ...*v1.Part) *v1.CheckResponse {
	t.Helper()
	with := proto.CloneOf(build)
	for i, item := range p.items {
		for _, it := range with.Items {
			if it.GetId() == item {
				it.Part = parts[i]
			}
		}
		if parts[i].GetChassis() != nil {
			with.Arrangement = nil
		}
	}
	answer, err := v1.NewCheckServiceClient(conn).Check(t.Context(), &v1.CheckRequest{Build: with, Wants: []string{"thermal.forecast"}})
	if err != nil {
		t.Fatalf("%s: %v", parts[0].GetName(), err)
	}
	return answer
}

// list checks every candidate and sorts.
func (p *plain) list(t *testing.T, conn *grpc.ClientConn, build *v1.Build, parts []*v1.Part) (fit, out []plainCandidate) {
	t.Helper()
	for i, part := range parts {
		if c := p.judge(i, part, p.check(t, conn, build, part)); c.verdict < v1.Verdict_VERDICT_UNKNOWN {
			fit = append(fit, c)
		} else {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(fit, func(a, b plainCandidate) int { return cmp.Compare(b.key, a.key) })
	return fit, out
}

// TestShortlistIsThatOfCheckingEach compares a shortlist with checking each candidate
// and sorting, for several roles and all orders.
func TestShortlistIsThatOfCheckingEach(t *testing.T) {
	conn := connect(t, start(t, server.Config{}))
	for n, role := range sought {
		order := v1.ShortlistOrder(n%3 + 1)
		t.Run(role.item+" "+order.String(), func(t *testing.T) {
			compareWithEach(t, conn, role.item, newGenerator(t, uint64(n)).good(t, 30, role.kinds...), order)
		})
	}
}

// A partial build, of an enclosure, a board and a processor, has its shortlist too, the
// same as by checking each.
func TestShortlistForAPartialBuild(t *testing.T) {
	conn := connect(t, start(t, server.Config{}))
	build := demoRequest(t).Build
	build.Items, build.Use, build.Arrangement = build.Items[:4], nil, nil
	compareBuildWithEach(t, conn, build, "cooler", newGenerator(t, 8).good(t, 20, "air_cooler"), v1.ShortlistOrder_SHORTLIST_ORDER_MARGIN, true)
}

// Packs that do not take candidates are asked for whole checks, and the list is the
// same.
func TestShortlistByPacksThatTakeOnlyChecks(t *testing.T) {
	config := server.Config{Packs: launches()}
	for i := range config.Packs {
		config.Packs[i].Env = append(config.Packs[i].Env, bePlain+"=1")
	}
	compareBuildWithEach(t, connect(t, start(t, config)), demoRequest(t).Build, "cooler", newGenerator(t, 5).good(t, 20, "air_cooler"),
		v1.ShortlistOrder_SHORTLIST_ORDER_MARGIN, false)
}

// bePlain in the environment makes a pack of the tests one that takes only checks.
const bePlain = "SLIPFIT_TEST_PLAIN"

// plainService is a pack's service that takes only checks.
type plainService struct{ *kit.Service }

func (s plainService) Describe(ctx context.Context, asked *packv1.DescribeRequest) (*packv1.DescribeResponse, error) {
	d, err := s.Service.Describe(ctx, asked)
	d.Capabilities = nil
	return d, err
}

func compareWithEach(t *testing.T, conn *grpc.ClientConn, item string, parts []*v1.Part, order v1.ShortlistOrder) {
	t.Helper()
	compareBuildWithEach(t, conn, demoRequest(t).Build, item, parts, order, true)
}

// compareBuildWithEach says whether the packs judge some rules alone, first.
func compareBuildWithEach(t *testing.T, conn *grpc.ClientConn, build *v1.Build, item string, parts []*v1.Part, order v1.ShortlistOrder, alone bool) {
	t.Helper()
	reference := newPlain(t, build, order, item)
	if !alone {
		clear(reference.alone)
	}
	fit, out := reference.list(t, conn, build, parts)
	if len(out) == 0 || len(fit) == 0 {
		t.Fatalf("%d fit and %d do not; the generator is to make both", len(fit), len(out))
	}
	for _, most := range []int{3, 30} {
		for _, rejected := range []bool{false, true} {
			answer, err := v1.NewShortlistServiceClient(conn).Shortlist(t.Context(), &v1.ShortlistRequest{
				Plan: &v1.ShortlistPlan{
					Build: build, Item: &item, Order: order, Most: proto.Uint32(uint32(most)), Rejected: &rejected,
				},
				Candidates: parts,
			})
			if err != nil {
				t.Fatal(err)
			}
			compareFitting(t, fit[:min(most, len(fit))], answer.Fitting)
			if rejected {
				compareRejected(t, out, answer.Rejected)
			}
			compareSummary(t, answer.Summary, parts, fit, out, most < len(fit) && !rejected)
		}
	}
}

func compareFitting(t *testing.T, want []plainCandidate, got []*v1.Candidate) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d fit, checking each says %d", len(got), len(want))
	}
	for i, c := range got {
		w := want[i]
		if c.GetPlace() != uint64(w.place) || c.GetVerdict() != w.verdict || !proto.Equal(c.Finding, w.finding) {
			t.Errorf("at place %d stands candidate %d, %v by %s at %v, checking each says candidate %d, %v by %s at %v", i, c.GetPlace(),
				c.GetVerdict(), c.GetFinding().GetRule(), c.GetMarginShare(), w.place, w.verdict, w.finding.GetRule(), w.share)
		}
		if (c.MarginShare == nil) != math.IsInf(w.share, 1) || c.MarginShare != nil && c.GetMarginShare() != w.share {
			t.Errorf("candidate %d has the margin share %v, checking each says %v", w.place, c.MarginShare, w.share)
		}
		if c.GetId() != w.part.GetId() || c.GetName() != w.part.GetName() || !proto.Equal(c.Price, w.part.Price) {
			t.Errorf("candidate %d is called %s, %s at %v", w.place, c.GetId(), c.GetName(), c.Price)
		}
	}
}

func compareRejected(t *testing.T, want []plainCandidate, got []*v1.Candidate) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d do not fit, checking each says %d", len(got), len(want))
	}
	for i, c := range got {
		w := want[i]
		if c.GetPlace() != uint64(w.place) || c.GetVerdict() != w.verdict || !proto.Equal(c.Finding, w.finding) {
			t.Errorf("candidate %d is out by %v %s, checking each says candidate %d by %v %s",
				c.GetPlace(), c.GetVerdict(), c.GetFinding().GetRule(), w.place, w.verdict, w.finding.GetRule())
		}
	}
}

func compareSummary(t *testing.T, got *v1.ShortlistSummary, parts []*v1.Part, fit, out []plainCandidate, some bool) {
	t.Helper()
	declined := uint64(0)
	for _, r := range got.Reasons {
		declined += r.GetCandidates()
	}
	if got.GetCandidates() != uint64(len(parts)) || got.GetFit()+declined+got.GetSetAside()+got.GetRefused() != uint64(len(parts)) {
		t.Errorf("the numbers of the summary do not add up: %v", got)
	}
	if !some && (got.GetFit() != uint64(len(fit)) || declined != uint64(len(out))) {
		t.Errorf("the summary says %d fit and %d do not, checking each %d and %d", got.GetFit(), declined, len(fit), len(out))
	}
}
