package server_test

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
	"slipfit.example/server"
	"slipfit.example/server/packs"
)

// moody is a pack that ends its process over a fan called "poison", never answers about
// one called "sleeper", and passes every other.
func moody() *kit.Pack {
	return &kit.Pack{
		Name: "moody", Version: "1.0.0", Purpose: "It takes offence at some fans.",
		Rules: []kit.Rule{{
			ID: "moody.fan", Title: "Fan", Since: "1.0.0",
			Why: "A test has to know what a dying pack does.", Formula: "Every fan passes whose name gives no offence.",
			Sources: []standards.Source{kit.CommonPractice}, Reads: []string{"fan.size_mm"},
			Texts: map[string]string{
				"pass": "The fan passes.", "marginal": "The fan passes.", "unknown": "The fan is not known.", "fail": "The fan fails.",
			},
			Judge: func(c *kit.Case) {
				for it := range c.Items(kit.KindFan) {
					switch it.Name() {
					case "poison":
						os.Exit(3)
					case "sleeper":
						time.Sleep(time.Hour)
					}
					c.Judged(kit.Pass).About(it)
				}
			},
		}},
	}
}

func fan(name string) *v1.Part {
	return &v1.Part{Name: &name, Kind: &v1.Part_Fan{Fan: &v1.Fan{SizeMm: proto.Uint32(120)}}}
}

// A pack that dies or hangs over a candidate makes that one UNKNOWN, and lets the
// others be judged.
func TestShortlistWithAPackThatDiesAndHangs(t *testing.T) {
	s := start(t, server.Config{
		Packs:       []packs.Launch{{Name: "moody", Command: []string{os.Args[0]}, Env: []string{beOther + "=moody"}}},
		PackTimeout: time.Second,
	})
	client := v1.NewShortlistServiceClient(connect(t, s))
	plan := &v1.ShortlistPlan{Build: plainCheck("moods").Build, Item: proto.String("rear-fan"), Rejected: proto.Bool(true)}
	names := []string{"first", "poison", "second", "sleeper", "third"}
	var candidates []*v1.Part
	for _, name := range names {
		candidates = append(candidates, fan(name))
	}
	answer, err := client.Shortlist(t.Context(), &v1.ShortlistRequest{Plan: plan, Candidates: candidates})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range answer.Fitting {
		if c.GetName() == "poison" || c.GetName() == "sleeper" {
			t.Errorf("%s fits, though no pack has judged it", c.GetName())
		}
	}
	rules := map[string]string{}
	for _, c := range answer.Rejected {
		rules[c.GetName()] = c.GetVerdict().String() + " " + c.GetFinding().GetRule()
	}
	for _, name := range []string{"poison", "sleeper"} {
		if rules[name] != "VERDICT_UNKNOWN host.pack-answers" {
			t.Errorf("%s is out by %q, want UNKNOWN for want of the pack", name, rules[name])
		}
	}
	if len(answer.Fitting)+len(answer.Rejected) != len(names) || !strings.Contains(named(answer.Fitting), "first") {
		t.Errorf("%s fit and %d do not, of %d", named(answer.Fitting), len(answer.Rejected), len(names))
	}
}

func named(candidates []*v1.Candidate) string {
	var names []string
	for _, c := range candidates {
		names = append(names, c.GetName())
	}
	return strings.Join(names, " ")
}

// Bad candidates are refused by place and path, and the rest goes on.
func TestShortlistRefusesBadCandidatesOneByOne(t *testing.T) {
	client := v1.NewShortlistServiceClient(connect(t, start(t, drillConfig())))
	size := fan("no size at all")
	size.GetFan().SizeMm = proto.Uint32(1)
	long := fan(strings.Repeat("n", 10_000))
	turned := fan("turned \u202e name")
	answer, err := client.Shortlist(t.Context(), &v1.ShortlistRequest{
		Plan:       &v1.ShortlistPlan{Build: plainCheck("names").Build, Item: proto.String("rear-fan"), Kinds: []string{"fan"}, Rejected: proto.Bool(true)},
		Candidates: []*v1.Part{fan("good"), long, {Name: proto.String("nothing")}, size, turned, {Kind: &v1.Part_Memory{Memory: &v1.Memory{}}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := named(answer.Fitting); got != "good turned \u202e name" || answer.Summary.GetRefused() != 4 {
		t.Errorf("%q fit and %d are refused, want the two good ones and 4", got, answer.Summary.GetRefused())
	}
	for i, want := range []string{"1 name", "2 ", "3 fan.size_mm", "5 memory"} {
		c := answer.Rejected[i]
		got := c.String()
		path := c.GetRefusal().GetViolations()[0].GetPath()
		if place := string(rune('0' + c.GetPlace())); place+" "+path != want || c.Verdict != nil {
			t.Errorf("a bad candidate is answered with %s; want the place and path %q and no verdict", got, want)
		}
	}
}

// What is wrong with a plan is told by its path.
func TestShortlistRefusesBadPlans(t *testing.T) {
	client := v1.NewShortlistServiceClient(connect(t, start(t, drillConfig())))
	good := func() *v1.ShortlistPlan {
		return &v1.ShortlistPlan{Build: plainCheck("plan").Build, Item: proto.String("rear-fan")}
	}
	for name, c := range map[string]struct {
		change func(*v1.ShortlistPlan)
		path   string
	}{
		"no build":     {func(p *v1.ShortlistPlan) { p.Build = nil }, "plan.build"},
		"no item":      {func(p *v1.ShortlistPlan) { p.Item = nil }, "plan.item"},
		"item's name":  {func(p *v1.ShortlistPlan) { p.Item = proto.String("Rear Fan") }, "plan.item"},
		"kind":         {func(p *v1.ShortlistPlan) { p.Kinds = []string{"fan", "fans"} }, "plan.kinds[1]"},
		"most":         {func(p *v1.ShortlistPlan) { p.Most = proto.Uint32(1001) }, "plan.most"},
		"room":         {func(p *v1.ShortlistPlan) { p.Build.Room = &v1.Room{TemperatureC: proto.Float64(99)} }, "plan.build.room.temperature_c"},
		"other's part": {func(p *v1.ShortlistPlan) { p.Build.Items = append(p.Build.Items, &v1.Item{Id: proto.String("x")}) }, "plan.build.items[1].part"},
		"parameter": {func(p *v1.ShortlistPlan) {
			p.Policy = []*v1.PolicyValue{{Parameter: proto.String("drill.hold.limi_mm"), Value: proto.Float64(1)}}
		}, "plan.policy[0].parameter"},
		"pack":        {func(p *v1.ShortlistPlan) { p.Packs = []*v1.PackPin{{Name: proto.String("dril")}} }, "plan.packs[0].name"},
		"no forecast": {func(p *v1.ShortlistPlan) { p.Order = v1.ShortlistOrder_SHORTLIST_ORDER_SOUND }, "plan.order"},
	} {
		t.Run(name, func(t *testing.T) {
			plan := good()
			c.change(plan)
			_, err := client.Shortlist(t.Context(), &v1.ShortlistRequest{Plan: plan, Candidates: []*v1.Part{fan("a")}})
			st := status.Convert(err)
			var paths []string
			for _, d := range st.Details() {
				if bad, ok := d.(*errdetails.BadRequest); ok {
					for _, v := range bad.FieldViolations {
						paths = append(paths, v.GetField())
					}
				}
			}
			if st.Code() != codes.InvalidArgument || !slices.Contains(paths, c.path) {
				t.Errorf("%v at %v, want INVALID_ARGUMENT at %s", err, paths, c.path)
			}
		})
	}
	_, err := client.Shortlist(t.Context(), &v1.ShortlistRequest{Plan: good()})
	if st := status.Convert(err); st.Code() != codes.FailedPrecondition || !strings.Contains(st.Message(), "keeps no catalogue") {
		t.Errorf("without candidates and catalogue: %v", err)
	}
}

// A client that stops reading holds up its own stream and nothing else.
func TestShortlistOfAClientThatStopsReading(t *testing.T) {
	conn := connect(t, start(t, drillConfig()))
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	stream, err := v1.NewShortlistServiceClient(conn).ShortlistMany(ctx)
	if err != nil {
		t.Fatal(err)
	}
	plan := &v1.ShortlistPlan{Build: plainCheck("lazy").Build, Item: proto.String("rear-fan"), Rejected: proto.Bool(true)}
	if err := stream.Send(&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Plan{Plan: plan}}); err != nil {
		t.Fatal(err)
	}
	// Each is refused, and the refusals are more than the transport keeps.
	sent := make(chan int)
	go func() {
		n := 0
		defer func() { sent <- n }()
		bad := fan(strings.Repeat("n", 2000))
		for ; n < 200_000; n++ {
			if stream.Send(&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Candidate{Candidate: bad}}) != nil {
				return
			}
		}
	}()
	for range 20 {
		if _, err := v1.NewCheckServiceClient(conn).Check(t.Context(), plainCheck("other")); err != nil {
			t.Fatalf("another client's check: %v", err)
		}
	}
	cancel()
	if n := <-sent; n == 200_000 {
		t.Error("the service took everything from a client that reads nothing")
	}
}

// A stream that breaks its form is ended with words.
func TestShortlistStreamsBeginWithTheirPlan(t *testing.T) {
	client := v1.NewShortlistServiceClient(connect(t, start(t, drillConfig())))
	plan := &v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Plan{Plan: &v1.ShortlistPlan{
		Build: plainCheck("form").Build, Item: proto.String("rear-fan"),
	}}}
	part := &v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Candidate{Candidate: fan("a")}}
	for name, c := range map[string]struct {
		send []*v1.ShortlistManyRequest
		want string
	}{
		"no plan":   {[]*v1.ShortlistManyRequest{part}, "the stream begins with its plan; send it first"},
		"nothing":   {nil, "the stream begins with its plan; send it first"},
		"two plans": {[]*v1.ShortlistManyRequest{plan, plan}, "after its plan a shortlist takes candidates; send one in each message, or close the sending side"},
		"empty":     {[]*v1.ShortlistManyRequest{plan, {}}, "each message of the stream holds one thing: the plan first, then a part in each"},
	} {
		t.Run(name, func(t *testing.T) {
			stream, err := client.ShortlistMany(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range c.send {
				if err := stream.Send(m); err != nil && !errors.Is(err, io.EOF) {
					t.Fatal(err)
				}
			}
			_ = stream.CloseSend()
			_, err = stream.Recv()
			if st := status.Convert(err); st.Code() != codes.InvalidArgument || st.Message() != c.want {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}
