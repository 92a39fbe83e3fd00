package server_test

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/document"
)

// refusal is a check that is refused, and how.
type refusal struct {
	name   string
	check  []byte
	path   string
	reason string // part of the sentence
}

// refusals are bad in every way that a sender can be.
func refusals(t testing.TB) []refusal {
	t.Helper()
	changed := func(change func(*v1.CheckRequest)) []byte {
		check := plainCheck("bad")
		change(check)
		return encode(t, check)
	}
	room := func(r *v1.Room) []byte { return changed(func(c *v1.CheckRequest) { c.Build.Room = r }) }
	policy := func(name string, value float64) []byte {
		return changed(func(c *v1.CheckRequest) { c.Policy = []*v1.PolicyValue{{Parameter: &name, Value: &value}} })
	}
	pin := func(p *v1.PackPin) []byte { return changed(func(c *v1.CheckRequest) { c.Packs = []*v1.PackPin{p} }) }
	unknown := protowire.AppendVarint(protowire.AppendTag(nil, 99, protowire.VarintType), 1)
	return []refusal{
		{"nothing at all", nil, "", "empty"},
		{"no build", encode(t, &v1.CheckRequest{Packs: []*v1.PackPin{{Name: proto.String("drill")}}}), "build", "missing"},
		{"no items", changed(func(c *v1.CheckRequest) { c.Build.Items = nil }), "build.items", "items"},
		{"an item without an id", changed(func(c *v1.CheckRequest) { c.Build.Items[0].Id = nil }), "build.items[0].id", "missing"},
		{"an item without a part", changed(func(c *v1.CheckRequest) { c.Build.Items[0].Part = nil }), "build.items[0].part", "missing"},
		{"not a number", room(&v1.Room{TemperatureC: proto.Float64(math.NaN())}), "build.room.temperature_c", "NaN"},
		{"infinite", room(&v1.Room{AltitudeM: proto.Float64(math.Inf(1))}), "build.room.altitude_m", "Inf"},
		{"negative", room(&v1.Room{ListenerM: proto.Float64(-1)}), "build.room.listener_m", "-1"},
		{"an unknown field", append(encode(t, plainCheck("bad")), unknown...), "", "99"},
		{"an unknown field far inside", encode(t, &v1.CheckRequest{Build: withUnknown(t, plainCheck("bad").Build, unknown)}), "build", "99"},
		{"nested too deep", nested(document.MaxNesting + 1), "build.id", "UTF-8"},
		{"cut off", encode(t, plainCheck("bad"))[:20], "build", "cut off"},
		{"too long", oversized(t), "", "bytes"},
		{"one id twice", changed(func(c *v1.CheckRequest) { c.Build.Items = append(c.Build.Items, c.Build.Items[0]) }), "build.items[1].id", "rear-fan"},
		{"no such parameter", policy("drill.hold.limit_nm", 1), "policy[0].parameter", `did you mean "drill.hold.limit_mm"?`},
		{"a parameter out of range", policy("drill.hold.limit_mm", 11), "policy[0].value", "between 0 and 10 mm"},
		{"a parameter that is no number", policy("drill.hold.limit_mm", math.NaN()), "policy[0].value", "NaN"},
		{"no such pack", pin(&v1.PackPin{Name: proto.String("dril")}), "packs[0].name", `did you mean "drill"?`},
		{"no such fact", changed(func(c *v1.CheckRequest) { c.Wants = []string{"drill.holes"} }), "wants[0]", `no pack works out "drill.holes"`},
		{"no such version", pin(&v1.PackPin{Name: proto.String("drill"), Version: proto.String("9.0.0")}), "packs[0].version", "1.0.0"},
	}
}

func encode(t testing.TB, m proto.Message) []byte {
	t.Helper()
	b, err := proto.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func withUnknown(t testing.TB, build *v1.Build, unknown []byte) *v1.Build {
	t.Helper()
	out := new(v1.Build)
	if err := proto.Unmarshal(append(encode(t, build), unknown...), out); err != nil {
		t.Fatal(err)
	}
	return out
}

// nested is so many messages in each other, in field 1. Documents of the contract
// do not nest without end, so that it is refused where the contract wants a text.
func nested(depth int) []byte {
	// From the inside out, and turned round at the end.
	var b []byte
	for range depth {
		length := protowire.AppendVarint(nil, uint64(len(b)))
		slices.Reverse(length)
		b = append(append(b, length...), 1<<3|byte(protowire.BytesType))
	}
	slices.Reverse(b)
	return b
}

// oversized is a little longer than a document may be.
func oversized(t testing.TB) []byte {
	t.Helper()
	check := plainCheck("bad")
	check.Build.Title = proto.String(strings.Repeat("x", document.MaxEncoded))
	return encode(t, check)
}

func TestCheckRefusesBadDocuments(t *testing.T) {
	noLeaks(t)
	conn := listen(t, start(t, drillConfig()).Serve)
	for _, c := range refusals(t) {
		t.Run(c.name, func(t *testing.T) {
			var answer []byte
			err := conn.Invoke(soon(t), v1.CheckService_Check_FullMethodName, &c.check, &answer)
			wantCode(t, err, codes.InvalidArgument)
			info := detailOf[*errdetails.ErrorInfo](t, err)
			if info.Reason != document.ReasonInvalid || info.Domain != document.Domain {
				t.Errorf("the error's info is %v", info)
			}
			found := detailOf[*errdetails.BadRequest](t, err).FieldViolations
			if !slices.ContainsFunc(found, func(v *errdetails.BadRequest_FieldViolation) bool {
				return v.Field == c.path && strings.Contains(v.Description, c.reason)
			}) {
				t.Errorf("violations %v; want one of %q that says %q", found, c.path, c.reason)
			}
			if n := len(status.Convert(err).Details()); n != 2 {
				t.Errorf("the status has %d details, want an info and the violations", n)
			}
		})
	}
	// The connection is as good as before.
	check, answer := encode(t, plainCheck("good")), []byte{}
	if err := conn.Invoke(soon(t), v1.CheckService_Check_FullMethodName, &check, &answer); err != nil {
		t.Fatal(err)
	}
}

// What is far too long is turned away by the transport before it is read.
func TestCheckRefusesMessagesBeyondTheTransportsLimit(t *testing.T) {
	noLeaks(t)
	conn := listen(t, start(t, drillConfig()).Serve)
	check, answer := bytes.Repeat([]byte{0}, 2*document.MaxEncoded+1), []byte{}
	err := conn.Invoke(soon(t), v1.CheckService_Check_FullMethodName, &check, &answer)
	wantCode(t, err, codes.ResourceExhausted)
}

func TestCheckManyRefusesBadDocumentsAndGoesOn(t *testing.T) {
	noLeaks(t)
	conn := listen(t, start(t, drillConfig()).Serve)
	stream := openMany(t, conn)
	cases := refusals(t)
	for i, c := range cases {
		stream.ask(question(ptr(c.name), c.check))
		if i%3 == 0 {
			stream.ask(question(ptr("good after "+c.name), encode(t, plainCheck("good"))))
		}
	}
	stream.halfClose()
	replies := stream.rest()
	if want := len(cases) + (len(cases)+2)/3; len(replies) != want {
		t.Fatalf("%d replies to %d questions", len(replies), want)
	}
	byTag := map[string]*v1.CheckManyResponse{}
	for _, r := range replies {
		byTag[r.GetTag()] = r
	}
	for i, c := range cases {
		refusal := byTag[c.name].GetRefusal()
		if refusal.GetCode() != int32(codes.InvalidArgument) || refusal.GetReason() == "" {
			t.Errorf("%s: answered with %v", c.name, byTag[c.name])
		}
		if !slices.ContainsFunc(refusal.GetViolations(), func(v *v1.Violation) bool {
			return v.GetPath() == c.path && strings.Contains(v.GetReason(), c.reason)
		}) {
			t.Errorf("%s: violations %v; want one of %q that says %q", c.name, refusal.GetViolations(), c.path, c.reason)
		}
		if i%3 == 0 && byTag["good after "+c.name].GetCheck().GetVerdict() != v1.Verdict_VERDICT_PASS {
			t.Errorf("the good one after %s got %v", c.name, byTag["good after "+c.name])
		}
	}
}

func ptr[T any](v T) *T { return &v }

// A policy and a pin that the ruleset can follow are followed.
func TestCheckFollowsPolicyAndPins(t *testing.T) {
	noLeaks(t)
	client := v1.NewCheckServiceClient(connect(t, start(t, server.Config{})))
	check := plainCheck("pinned")
	plain, err := client.Check(soon(t), check)
	if err != nil {
		t.Fatal(err)
	}
	check.Packs = []*v1.PackPin{{Name: proto.String("power")}}
	pinned, err := client.Check(soon(t), check)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range pinned.Findings {
		if f.GetPack() != "power" {
			t.Errorf("a finding of %s came though only power was asked", f.GetPack())
		}
	}
	for _, p := range pinned.Ruleset.Packs {
		if p.GetAnswered() != (p.GetName() == "power") {
			t.Errorf("pack %s: answered is %v", p.GetName(), p.GetAnswered())
		}
	}
	check.Packs = nil
	check.Policy = []*v1.PolicyValue{{Parameter: proto.String("tolerance.length_mm"), Value: proto.Float64(1.5)}}
	set, err := client.Check(soon(t), check)
	if err != nil {
		t.Fatal(err)
	}
	if set.Ruleset.GetDigest() == plain.Ruleset.GetDigest() {
		t.Error("the digest is the same with another policy")
	}
}
