package main

import (
	"context"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

const demoHouse = "../demo/house/archive.yaml"

func TestHouseRulesAreJudgedBesideTheOthers(t *testing.T) {
	code, out, errOut := slipfit(t, "", "check", "--house", demoHouse, "--packs", "house", builds+"archive-editor.yaml")
	if code != exitFits || errOut != "" || !strings.Contains(out, "PASS  Bittern 140 is large enough for the listening rooms.") ||
		!strings.Contains(out, "PASS  Gischt 220 is 267 mm long and leaves 33 mm.") {
		t.Errorf("exit code %d, errors %q:\n%s", code, errOut, out)
	}
}

func TestHouseRulesAreHeldAgainstTheirTests(t *testing.T) {
	code, out, errOut := slipfit(t, "", "house", demoHouse)
	if code != exitFits || errOut != "" || !strings.Contains(out, "  house.card-reach: Cards end before the hand rest\n") {
		t.Errorf("exit code %d, errors %q:\n%s", code, errOut, out)
	}
	data, err := os.ReadFile(demoHouse)
	if err != nil {
		t.Fatal(err)
	}
	bad := written(t, "bad.yaml", strings.Replace(string(data), "fan.size_mm >= 120", "fan.size_m >= 120", 1))
	want := "bad.yaml:10:16: undefined field 'size_m'; did you mean 'size_mm'?"
	for _, args := range [][]string{
		{"house", bad},
		{"check", "--house", bad, builds + "archive-editor.yaml"},
		{"trial", "--candidate", written(t, "r.yaml", "house: ["+bad+"]"), builds + "archive-editor.yaml"},
		{"serve", "--house", bad, "--listen", "127.0.0.1:0", "--operations", ""},
	} {
		if code, _, errOut := slipfit(t, "", args...); code != exitUsage || !strings.Contains(errOut, want) {
			t.Errorf("%v: exit code %d, errors %q, want %q", args, code, errOut, want)
		}
	}
}

func TestTrialOfHouseRulesTellsWhatTheySay(t *testing.T) {
	ruleset := written(t, "r.yaml", "house: ["+demoHousePath(t)+"]")
	code, out, _ := slipfit(t, "", "trial", "--candidate", ruleset, "--fail-on", "fail", builds+"archive-editor.yaml", builds+"upright-card.yaml")
	if code != exitFails || !strings.Contains(out, "house.two-copies  nothing to FAIL") {
		t.Errorf("exit code %d:\n%s", code, out)
	}
}

func demoHousePath(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	return dir + "/" + demoHouse
}

func TestPolicyFileLiesUnderTheFlag(t *testing.T) {
	file := written(t, "p.yaml", "tolerance.length_mm: 8\n")
	digest := func(args ...string) string {
		_, out, _ := slipfit(t, "", append([]string{"check", "--packs", "clearance", "--format", "json"}, append(args, builds+"upright-card.yaml")...)...)
		answer := new(v1.CheckResponse)
		if err := protojson.Unmarshal([]byte(out), answer); err != nil {
			t.Fatal(err)
		}
		return answer.GetRuleset().GetDigest()
	}
	plain, wide, over := digest(), digest("--policy-file", file), digest("--policy-file", file, "--policy", "tolerance.length_mm=2")
	if wide == plain || wide != digest("--policy", "tolerance.length_mm=8") || over != digest("--policy", "tolerance.length_mm=2") {
		t.Errorf("by default %s, with the file %s, with the flag over it %s", plain, wide, over)
	}
	code, _, errOut := slipfit(t, "", "check", "--policy-file", written(t, "p.yaml", "a: b"), builds+"upright-card.yaml")
	if code != exitUsage || !strings.Contains(errOut, `p.yaml:1:4: a is set to a number, not to "b"`) {
		t.Errorf("exit code %d, errors %q", code, errOut)
	}
}

// withService runs a service of its own for the time of do.
func withService(t testing.TB, config server.Config, do func(context.Context, *grpc.ClientConn)) {
	t.Helper()
	starts, err := launches()
	if err != nil {
		t.Fatal(err)
	}
	config.Packs = append(config.Packs, starts...)
	config.Log = slog.New(slog.DiscardHandler)
	s, err := server.Start(t.Context(), config)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := s.Stop(context.Background()); err != nil {
			t.Error(err)
		}
	}()
	conn, err := s.Connect()
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close() }()
	do(t.Context(), conn)
}

// Each tenant gets its own policy over the one for all, and one that does not exist
// is refused.
func TestTenantsGetTheirPolicies(t *testing.T) {
	file := written(t, "t.yaml", "all: {tolerance.length_mm: 0.1}\ntenants:\n  wide: {tolerance.length_mm: 8}\n  plain: {}\n")
	tenants, err := readTenants(file)
	if err != nil {
		t.Fatal(err)
	}
	entry, err := oneBuild(nil, builds+"upright-card.yaml")
	if err != nil {
		t.Fatal(err)
	}
	withService(t, server.Config{Tenants: tenants}, func(ctx context.Context, conn *grpc.ClientConn) {
		ask := func(tenant string) (*v1.CheckResponse, error) {
			if tenant != "" {
				ctx := metadata.AppendToOutgoingContext(ctx, server.TenantHeader, tenant)
				return v1.NewCheckServiceClient(conn).Check(ctx, &v1.CheckRequest{Build: entry.Message})
			}
			return v1.NewCheckServiceClient(conn).Check(ctx, &v1.CheckRequest{Build: entry.Message})
		}
		digests := map[string]string{}
		for _, tenant := range []string{"", "plain", "wide"} {
			answer, err := ask(tenant)
			if err != nil {
				t.Fatal(err)
			}
			digests[tenant] = answer.GetRuleset().GetDigest()
		}
		if digests[""] != digests["plain"] || digests["wide"] == digests["plain"] {
			t.Errorf("digests %v", digests)
		}
		_, err := ask("nobody")
		if st := status.Convert(err); st.Code() != codes.InvalidArgument || !strings.Contains(st.Message(), `no tenant is called "nobody" here`) {
			t.Errorf("error %v", err)
		}
	})
	if _, err := server.Start(t.Context(), badTenants(t)); err == nil || !strings.Contains(err.Error(), `the policy of the tenant "odd" cannot be followed: tolerance.length_mm may lie between 0 and 20 mm, not at 99`) {
		t.Errorf("error %v", err)
	}
}

func badTenants(t *testing.T) server.Config {
	t.Helper()
	tenants, err := readTenants(written(t, "t.yaml", "tenants: {odd: {tolerance.length_mm: 99}}"))
	if err != nil {
		t.Fatal(err)
	}
	starts, err := launches()
	if err != nil {
		t.Fatal(err)
	}
	return server.Config{Packs: starts, Tenants: tenants, Log: slog.New(slog.DiscardHandler)}
}

// Rules of a request that cannot be loaded leave the rest of the answer standing,
// and the reason names the place.
func TestBadRulesOfARequestAreOneFinding(t *testing.T) {
	launch, err := houseLaunch("", true)
	if err != nil {
		t.Fatal(err)
	}
	entry, err := oneBuild(nil, builds+"upright-card.yaml")
	if err != nil {
		t.Fatal(err)
	}
	config := server.Config{InlineHouse: true}
	config.Packs = append(config.Packs, launch)
	withService(t, config, func(ctx context.Context, conn *grpc.ClientConn) {
		answer, err := v1.NewCheckServiceClient(conn).Check(ctx, &v1.CheckRequest{
			Build: entry.Message, HouseRules: proto.String("rules:\n- id: x\n"),
			Packs: []*v1.PackPin{{Name: proto.String("clearance")}, {Name: proto.String("house")}},
		})
		if err != nil {
			t.Fatal(err)
		}
		last := answer.Findings[len(answer.Findings)-1]
		if len(answer.Findings) < 2 || last.GetVerdict() != v1.Verdict_VERDICT_UNKNOWN || !strings.Contains(last.GetSummary().GetText(), "house_rules:2:3: the rule \"x\" wants a") {
			t.Errorf("the last of %d findings is %v", len(answer.Findings), last)
		}
	})
}

// BenchmarkHouse tells what 25 house rules add to a check of all packs under full load:
// "added" is the share of its time, and "cpu_added" that of the processor's time over
// client, service and packs, which others on the machine disturb less.
func BenchmarkHouse(b *testing.B) {
	text, err := os.ReadFile("../../rules/house/testdata/twenty-five.yaml")
	if err != nil {
		b.Fatal(err)
	}
	launch, err := houseLaunch(string(text), false)
	if err != nil {
		b.Fatal(err)
	}
	corpus, err := openCorpus(nil, []string{builds})
	if err != nil {
		b.Fatal(err)
	}
	var all []*v1.Build
	for range 20 {
		for entry := range corpus {
			all = append(all, entry.Message)
		}
	}
	var with server.Config
	with.Packs = append(with.Packs, launch)
	withService(b, server.Config{}, func(ctx context.Context, plain *grpc.ClientConn) {
		withService(b, with, func(_ context.Context, house *grpc.ClientConn) {
			checkAll(b, ctx, plain, all)
			checkAll(b, ctx, house, all)
			var without, added, cpuWithout, cpuAdded float64
			for b.Loop() {
				before := cpuSeconds(b)
				without += seconds(func() { checkAll(b, ctx, plain, all) })
				between := cpuSeconds(b)
				added += seconds(func() { checkAll(b, ctx, house, all) })
				cpuWithout, cpuAdded = cpuWithout+between-before, cpuAdded+cpuSeconds(b)-between
			}
			b.ReportMetric(added/without-1, "added")
			b.ReportMetric(cpuAdded/cpuWithout-1, "cpu_added")
			b.ReportMetric(cpuWithout/float64(b.N)/float64(len(all))*1e6, "cpu_us/check")
			b.ReportMetric(without/float64(b.N)/float64(len(all))*1e6, "us/check")
		})
	})
}

// cpuSeconds is the processor time of this process and of its packs so far, to a
// hundredth of a second (proc_pid_stat(5), fields 4, 14 and 15).
func cpuSeconds(b *testing.B) float64 {
	b.Helper()
	files, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil || len(files) == 0 {
		b.Skip("there is no /proc to read processor times from")
	}
	self, ticks := strconv.Itoa(os.Getpid()), 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			continue // it has ended
		}
		_, after, _ := strings.Cut(string(data), ") ")
		fields := strings.Fields(after)
		if len(fields) < 13 || fields[1] != self && file != "/proc/"+self+"/stat" {
			continue
		}
		user, _ := strconv.Atoi(fields[11])
		system, _ := strconv.Atoi(fields[12])
		ticks += user + system
	}
	return float64(ticks) / 100
}
