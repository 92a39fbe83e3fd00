package server_test

import (
	"bytes"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
	"slipfit.example/server"
	"slipfit.example/server/packs"
	"slipfit.example/server/policy"
)

// beCandidate is the pack "drill" as a candidate might bring it, or reports false.
func beCandidate(role string) bool {
	p := limited()
	switch role {
	case "limited":
	case "hangs":
		p.Rules[0].Judge = func(*kit.Case) { select {} }
	case "panics":
		p.Rules[0].Judge = func(c *kit.Case) {
			go panic("the candidate broke") // takes the process down
			time.Sleep(time.Hour)
		}
	default:
		return false
	}
	bePackOf(p)
	return true
}

var limitParameter = &kit.Parameter{
	Name: "drill.hold.limit_mm", Unit: "mm", Default: 1, Least: 0, Greatest: 10,
	Purpose: "It is there to be set.", Source: kit.CommonPractice,
}

// limited is a pack whose rule fails where its parameter is above 5.
func limited() *kit.Pack {
	return &kit.Pack{
		Name: "drill", Version: "1.0.0", Purpose: "It judges by its parameter alone.",
		Rules: []kit.Rule{{
			ID: "drill.hold", Title: "Limit", Since: "1.0.0",
			Why: "A test has to turn a verdict.", Formula: "The parameter is held against 5 mm.",
			Parameters: []*kit.Parameter{limitParameter}, Sources: []standards.Source{kit.CommonPractice}, Reads: []string{"fan.size_mm"},
			Texts: map[string]string{"pass": "It is low.", "marginal": "It is close.", "unknown": "It is not known.", "fail": "It is high."},
			Judge: func(c *kit.Case) { c.AtMost(c.Parameter(limitParameter), kit.Constant(5, "mm")) },
		}},
	}
}

func limit(mm float64) policy.Values {
	return policy.Values{{Parameter: &limitParameter.Name, Value: &mm}}
}

func candidateLaunch(role string) packs.Launch {
	return packs.Launch{Name: "drill", Command: []string{os.Args[0]}, Env: []string{beOther + "=" + role}}
}

// shadowed is a service whose candidate runs in such a role.
func shadowed(role string, values policy.Values) server.Config {
	return server.Config{
		Packs: []packs.Launch{candidateLaunch("limited")}, PackTimeout: 200 * time.Millisecond,
		Shadow: &server.Shadow{Name: "autumn", Share: 1, Packs: []packs.Launch{candidateLaunch(role)}, Policy: values},
	}
}

// shadowReport is what the operations address tells of the candidate.
func shadowReport(t testing.TB, s *server.Server) *v1.ShadowReport {
	t.Helper()
	w := httptest.NewRecorder()
	s.Operations().ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/shadow", nil))
	r := new(v1.ShadowReport)
	if err := protojson.Unmarshal(w.Body.Bytes(), r); err != nil {
		t.Fatalf("/shadow answers %d, %v: %s", w.Code, err, w.Body)
	}
	return r
}

// done is how many picked checks have come to something.
func done(r *v1.ShadowReport) uint64 {
	return r.Summary.GetBuilds() + r.Summary.GetRefused() + r.GetSilent() + r.GetOwnRuleset() + r.GetDroppedBusy() + r.GetDroppedFull()
}

// rawAnswers are the bytes of the answers to some checks, asked one by one and, under
// tags, on one stream.
func rawAnswers(t *testing.T, conn *grpc.ClientConn, checks []*v1.CheckRequest) (out [][]byte) {
	t.Helper()
	for _, check := range checks {
		encoded, err := proto.Marshal(check)
		if err != nil {
			t.Fatal(err)
		}
		var answer []byte
		if err := conn.Invoke(soon(t), v1.CheckService_Check_FullMethodName, &encoded, &answer, grpc.ForceCodecV2(bytesCodec{})); err != nil {
			t.Fatal(err)
		}
		out = append(out, answer)
	}
	stream, err := conn.NewStream(soon(t), &grpc.StreamDesc{ServerStreams: true, ClientStreams: true}, v1.CheckService_CheckMany_FullMethodName, grpc.ForceCodecV2(bytesCodec{}))
	if err != nil {
		t.Fatal(err)
	}
	replies := map[string][]byte{}
	for i, check := range checks {
		encoded, err := proto.Marshal(check)
		if err != nil {
			t.Fatal(err)
		}
		question := protowire.AppendString(protowire.AppendTag(nil, 1, protowire.BytesType), fmt.Sprintf("%03d", i))
		question = protowire.AppendBytes(protowire.AppendTag(question, 2, protowire.BytesType), encoded)
		if err := stream.SendMsg(&question); err != nil {
			t.Fatal(err)
		}
	}
	for range checks {
		var reply []byte
		if err := stream.RecvMsg(&reply); err != nil {
			t.Fatal(err)
		}
		replies[string(reply[2:5])] = reply
	}
	for i := range checks {
		out = append(out, replies[fmt.Sprintf("%03d", i)])
	}
	return out
}

// Whatever the candidate does, answers are the same bytes as without it, and none of
// its failures is taken for a verdict that flips.
func TestCandidateNeverChangesAnAnswer(t *testing.T) {
	var checks []*v1.CheckRequest
	for i := range 12 {
		checks = append(checks, plainCheck(fmt.Sprintf("build-%d", i)))
	}
	plain := shadowed("limited", nil)
	plain.Shadow = nil
	want := rawAnswers(t, connect(t, start(t, plain)), checks)
	missing := shadowed("limited", limit(9))
	missing.Shadow.Packs[0].Command = []string{"/nonexistent/pack"}
	for name, c := range map[string]struct {
		config server.Config
		flips  bool
		said   string
	}{
		"that flips":     {shadowed("limited", limit(9)), true, ""},
		"that hangs":     {shadowed("hangs", limit(9)), false, "of the candidate's packs, drill did not answer"},
		"that panics":    {shadowed("panics", limit(9)), false, "of the candidate's packs, drill did not answer"},
		"that is absent": {missing, false, "of the candidate's packs, drill did not answer"},
	} {
		t.Run(name, func(t *testing.T) {
			s := start(t, c.config)
			got := rawAnswers(t, connect(t, s), checks)
			if !slices.EqualFunc(got, want, bytes.Equal) {
				t.Errorf("answers differ from those without a candidate:\n%q\n%q", got, want)
			}
			eventually(t, "a check is compared, or given up", func() bool {
				r := shadowReport(t, s)
				return r.Summary.GetBuilds()+r.GetSilent()+r.Summary.GetRefused() > 0
			})
			r := shadowReport(t, s)
			if r.GetPicked() != uint64(len(want)) || (len(r.Summary.Flips) > 0) != c.flips || r.GetTrouble() != c.said {
				t.Errorf("the report says %v", r)
			}
		})
	}
}

// Single checks and streams count, by rule and direction, in the report as in the
// metrics, and nothing of a document is kept.
func TestCandidateCountsFlipsOfChecksAndStreams(t *testing.T) {
	noLeaks(t)
	const canary = "kanarienvogel"
	s := start(t, shadowed("limited", limit(9)))
	rawAnswers(t, connect(t, s), []*v1.CheckRequest{plainCheck(canary), plainCheck("other")})
	eventually(t, "four checks are judged", func() bool { return done(shadowReport(t, s)) == 4 })
	r := shadowReport(t, s)
	if s := r.Summary; s.GetBuilds() != 4 || s.GetFlipped() != 4 || len(s.Flips) != 1 || s.Flips[0].GetRule() != "drill.hold" || s.Flips[0].GetCount() != 4 ||
		s.GetBaseline().GetSeconds() <= 0 || s.GetCandidate().GetSeconds() <= 0 {
		t.Errorf("the report says %v", r)
	}
	if len(r.Recent) != 4 || len(r.Recent[0].GetDifference().GetTag()) != 64 || strings.Contains(r.String(), canary) || strings.Contains(r.String(), "rear-fan") {
		t.Errorf("the last flips are %v", r.Recent)
	}
	page := metricsText(t, s)
	if n := sum(samples(t, page), "slipfit_shadow_flips_total", `rule="drill.hold"`, `from="pass"`, `to="fail"`); n != 4 {
		t.Errorf("%v flips are counted:\n%s", n, page)
	}
	if n := sum(samples(t, page), "slipfit_shadow_checks_total", `outcome="flipped"`); n != 4 || strings.Contains(page, canary) {
		t.Errorf("%v flipped checks are counted:\n%s", n, page)
	}
	// What a service counts as its own verdicts is what it answered.
	if n := sum(samples(t, page), "slipfit_rule_verdicts_total", `verdict="fail"`); n != 0 {
		t.Errorf("%v verdicts of the candidate are counted as the service's", n)
	}
}

// With evidence, the build and both findings are there to look at.
func TestCandidateKeepsEvidenceWhereAsked(t *testing.T) {
	config := shadowed("limited", limit(9))
	config.Shadow.Evidence = true
	s := start(t, config)
	check := plainCheck("seen")
	rawAnswers(t, connect(t, s), []*v1.CheckRequest{check})
	eventually(t, "two checks are judged", func() bool { return done(shadowReport(t, s)) == 2 })
	r := shadowReport(t, s)
	e := r.Recent[0]
	if !proto.Equal(e.Build, check.Build) || len(e.Difference.Flips) != 1 || e.Difference.Flips[0].GetCandidate().GetMeasured().GetNominal() != 9 {
		t.Errorf("the example is %v", e)
	}
}

// The candidate's policy stands in the place of what the service sets for all: what a
// tenant or a request sets for itself stays.
func TestCandidateLiesUnderTenantsAndRequests(t *testing.T) {
	config := shadowed("limited", limit(9))
	config.Tenants = &policy.Tenants{All: limit(2), Each: map[string]policy.Values{"keeps": limit(3), "follows": nil}}
	s := start(t, config)
	conn := connect(t, s)
	client := v1.NewCheckServiceClient(conn)
	own := plainCheck("own")
	own.Policy = limit(4)
	pinned := plainCheck("pinned")
	pinned.Packs = []*v1.PackPin{{Name: proto.String("drill"), Version: proto.String("1.0.0")}}
	named := plainCheck("named")
	named.Packs = []*v1.PackPin{{Name: proto.String("drill")}}
	for i, c := range []struct {
		tenant       string
		check        *v1.CheckRequest
		flipped, own uint64
	}{
		{"", plainCheck("a"), 1, 0}, {"follows", plainCheck("b"), 2, 0}, {"keeps", plainCheck("c"), 2, 0}, {"", own, 2, 0},
		{"", pinned, 2, 1}, {"", named, 3, 1},
	} {
		ctx := soon(t)
		if c.tenant != "" {
			ctx = metadata.AppendToOutgoingContext(ctx, server.TenantHeader, c.tenant)
		}
		if _, err := client.Check(ctx, c.check); err != nil {
			t.Fatal(err)
		}
		eventually(t, "the check is judged", func() bool { return done(shadowReport(t, s)) == uint64(i+1) })
		if r := shadowReport(t, s); r.Summary.GetFlipped() != c.flipped || r.GetOwnRuleset() != c.own {
			t.Errorf("after the check of tenant %q for %s: %v", c.tenant, c.check.Build.GetId(), r)
		}
	}
}

func TestCandidateThatCannotBeFollowedIsRefusedAtStart(t *testing.T) {
	version := shadowed("limited", nil)
	version.Shadow.Versions = map[string]string{"drill": "^2"}
	name := shadowed("limited", nil)
	name.Shadow.Versions = map[string]string{"dril": "^1"}
	share := shadowed("limited", nil)
	share.Shadow.Share = 5
	for want, config := range map[string]server.Config{
		"the candidate cannot be followed: drill.hold.limit_mm may lie between 0 and 10 mm, not at 99":     shadowed("limited", limit(99)),
		"the candidate cannot be followed: pack drill serves in version 1.0.0, not ^2":                     version,
		`the candidate cannot be followed: packs[0].name: no pack is called "dril"; did you mean "drill"?`: name,
		"the share of checks that a candidate judges lies above 0 and at most at 1, not at 5":              share,
	} {
		config.Log = quiet
		s, err := server.Start(t.Context(), config)
		if err == nil {
			stop(t, s)
		}
		if err == nil || err.Error() != want {
			t.Errorf("error %v, want %s", err, want)
		}
	}
}

func TestServiceWithoutCandidateSaysSo(t *testing.T) {
	s := start(t, drillConfig())
	w := httptest.NewRecorder()
	s.Operations().ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/shadow", nil))
	if w.Code != http.StatusNotFound || w.Body.String() != "no candidate judges here; start the service with one\n" {
		t.Errorf("/shadow answers %d: %s", w.Code, w.Body)
	}
}

// BenchmarkShadow sets the latency of single checks by 8 callers beside each other
// without a candidate, with a twentieth of the checks, and with all of them: "p99_x" is
// the ratio of the 99th percentiles, "p50_x" of the medians.
func BenchmarkShadow(b *testing.B) {
	check := demoCheck(b)
	conns := map[float64]*grpc.ClientConn{}
	shares := []float64{0, 0.05, 1}
	for _, share := range shares {
		config := server.Config{}
		if share > 0 {
			config.Shadow = &server.Shadow{Name: "autumn", Share: share, Packs: launches()}
		}
		conns[share] = listen(b, start(b, config).Serve)
	}
	took := map[float64][]time.Duration{}
	for b.Loop() {
		for _, share := range shares {
			took[share] = append(took[share], latencies(b, conns[share], check, 8, 100)...)
		}
	}
	at := func(share, q float64) float64 {
		slices.Sort(took[share])
		return took[share][int(q*float64(len(took[share])-1))].Seconds()
	}
	for _, share := range shares[1:] {
		b.ReportMetric(at(share, .99)/at(0, .99), fmt.Sprintf("p99_x/share=%g", share))
		b.ReportMetric(at(share, .5)/at(0, .5), fmt.Sprintf("p50_x/share=%g", share))
	}
	b.ReportMetric(at(0, .99)*1e3, "p99_ms/plain")
}

// latencies are those of n checks from each of so many callers.
func latencies(b *testing.B, conn *grpc.ClientConn, check []byte, callers, n int) (all []time.Duration) {
	results := make(chan []time.Duration, callers)
	for range callers {
		go func() {
			var own []time.Duration
			for range n {
				start := time.Now()
				var answer []byte
				if err := conn.Invoke(b.Context(), v1.CheckService_Check_FullMethodName, &check, &answer); err != nil {
					b.Error(err)
					break
				}
				own = append(own, time.Since(start))
			}
			results <- own
		}()
	}
	for range callers {
		all = append(all, <-results...)
	}
	return all
}

// The candidate follows the folder of external packs with processes of its own, and
// answers in the versions that it names where the service does not.
func TestCandidateFollowsThePackFolder(t *testing.T) {
	f := newFolder(t)
	f.publish(1, "1.1.0", "2.0.0-rc.1")
	config := f.config()
	config.ShelfPeriod = 50 * time.Millisecond
	config.Shadow = &server.Shadow{Name: "autumn", Share: 1, Versions: map[string]string{"drill": ">=2.0.0-0"}}
	s := start(t, config)
	client := v1.NewCheckServiceClient(connect(t, s))
	judgedBy := func(version string) {
		t.Helper()
		eventually(t, "the candidate answers in version "+version, func() bool {
			answer, err := client.Check(soon(t), plainCheck("one"))
			if err != nil || answer.Ruleset.Packs[0].GetVersion() != "1.1.0" {
				t.Fatalf("the service answers %v, error %v", answer, err)
			}
			packs := shadowReport(t, s).Summary.GetCandidate().GetRuleset().GetPacks()
			return len(packs) == 1 && packs[0].GetVersion() == version
		})
	}
	judgedBy("2.0.0-rc.1")
	f.publish(2, "1.1.0", "2.0.0-rc.2")
	judgedBy("2.0.0-rc.2")
	if r := shadowReport(t, s); r.Summary.GetFlipped() != 0 {
		t.Errorf("the same rules flip: %v", r)
	}
}
