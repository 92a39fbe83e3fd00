package server_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
	"slipfit.example/server/packs"
)

// untiring keeps starting packs, however often a test ends them.
func untiring() server.Config {
	return server.Config{PackOptions: packs.Options{
		Spare:   true,
		Restart: packs.Restart{Stable: time.Millisecond, First: 10 * time.Millisecond, Longest: 50 * time.Millisecond, GiveUpAfter: 1 << 20},
	}}
}

// judge holds answers under faults against the answer of a service that is well.
type judge struct {
	well  *v1.CheckResponse
	needs map[string][]string // of each pack, the packs whose facts it needs
}

func newJudge(t testing.TB, client v1.CheckServiceClient, check *v1.CheckRequest) *judge {
	t.Helper()
	well, err := client.Check(soon(t), check)
	if err != nil {
		t.Fatal(err)
	}
	j := &judge{well: well, needs: map[string][]string{}}
	described := newOracle(t).described
	for name, d := range described {
		for other, o := range described {
			if slices.ContainsFunc(o.Provides, func(fact string) bool { return slices.Contains(d.Needs, fact) }) {
				j.needs[name] = append(j.needs[name], other)
			}
		}
	}
	for _, p := range well.Ruleset.Packs {
		if !p.GetAnswered() {
			t.Fatalf("pack %s did not answer though nothing was done to it", p.GetName())
		}
	}
	return j
}

// fault says what is wrong with an answer, and whether it is the whole one.
func (j *judge) fault(got *v1.CheckResponse) (whole bool, err error) {
	whole = true
	silent := map[string]bool{}
	for _, p := range got.GetRuleset().GetPacks() {
		silent[p.GetName()] = !p.GetAnswered()
		whole = whole && p.GetAnswered()
	}
	if len(silent) != len(j.well.Ruleset.Packs) {
		return whole, fmt.Errorf("the answer names %d packs, want %d", len(silent), len(j.well.Ruleset.Packs))
	}
	if whole {
		if !proto.Equal(got, j.well) {
			return true, fmt.Errorf("every pack answered, but not the same: %v", got)
		}
		return true, nil
	}
	worst := v1.Verdict_VERDICT_PASS
	for _, f := range got.Findings {
		worst = max(worst, f.GetVerdict())
	}
	if got.GetVerdict() != worst || worst < v1.Verdict_VERDICT_UNKNOWN {
		return false, fmt.Errorf("the verdict is %v, the worst finding %v, and a pack was silent", got.GetVerdict(), worst)
	}
	for pack, yes := range silent {
		if err := j.faultOf(pack, yes, silent, got); err != nil {
			return false, fmt.Errorf("pack %s: %w", pack, err)
		}
	}
	return false, nil
}

func (j *judge) faultOf(pack string, silent bool, all map[string]bool, got *v1.CheckResponse) error {
	findings, known := ofPack(got, pack), ofPack(j.well, pack)
	if silent {
		if len(findings) != 1 || findings[0].GetRule() != "host.pack-answers" || findings[0].GetVerdict() != v1.Verdict_VERDICT_UNKNOWN {
			return fmt.Errorf("it is silent, but there is %v", findings)
		}
		return nil
	}
	if slices.ContainsFunc(j.needs[pack], func(other string) bool { return all[other] }) {
		// Without another pack's facts it may know less, but nothing better.
		return better(findings, known)
	}
	if len(findings) != len(known) {
		return fmt.Errorf("%d findings, want %d", len(findings), len(known))
	}
	for i := range known {
		if !proto.Equal(findings[i], known[i]) {
			return fmt.Errorf("got %v, want %v", findings[i], known[i])
		}
	}
	return nil
}

// better names a rule that passes now and did not before, or that judged and now
// says nothing.
func better(findings, known []*v1.Finding) error {
	worst := func(list []*v1.Finding) map[string]v1.Verdict {
		out := map[string]v1.Verdict{}
		for _, f := range list {
			out[f.GetRule()] = max(out[f.GetRule()], f.GetVerdict())
		}
		return out
	}
	now := worst(findings)
	for rule, was := range worst(known) {
		if is, ok := now[rule]; was > v1.Verdict_VERDICT_PASS && ok && is < min(was, v1.Verdict_VERDICT_UNKNOWN) {
			return fmt.Errorf("rule %s is %v for want of a fact, and %v with it", rule, is, was)
		}
	}
	return nil
}

func ofPack(answer *v1.CheckResponse, pack string) []*v1.Finding {
	var out []*v1.Finding
	for _, f := range answer.Findings {
		if f.GetPack() == pack {
			out = append(out, f)
		}
	}
	return out
}

// load asks from several goroutines until it is stopped, and judges every answer.
type load struct {
	stop         context.CancelFunc
	group        sync.WaitGroup
	whole, parts atomic.Int64
	slowest      atomic.Int64
}

func newLoad(t *testing.T, client v1.CheckServiceClient, check *v1.CheckRequest, j *judge, callers int) *load {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	l := &load{stop: cancel}
	t.Cleanup(l.end)
	for range callers {
		l.group.Go(func() {
			for ctx.Err() == nil {
				begin := time.Now()
				answer, err := client.Check(context.Background(), check)
				if err != nil {
					t.Errorf("a caller got no answer: %v", err)
					return
				}
				took := int64(time.Since(begin))
				for old := l.slowest.Load(); took > old && !l.slowest.CompareAndSwap(old, took); old = l.slowest.Load() {
				}
				whole, err := j.fault(answer)
				if err != nil {
					t.Error(err)
					return
				}
				if whole {
					l.whole.Add(1)
				} else {
					l.parts.Add(1)
				}
			}
		})
	}
	return l
}

func (l *load) end() {
	l.stop()
	l.group.Wait()
}

// A pack that is killed again and again costs no caller an answer, and comes back.
func TestKilledPacksCostNoAnswer(t *testing.T) {
	noLeaks(t)
	s := start(t, untiring())
	conn, _ := dial(t, s)
	client, check := v1.NewCheckServiceClient(conn), demoRequest(t)
	j := newJudge(t, client, check)
	l := newLoad(t, client, check, j, 8)
	names := slices.Sorted(maps.Keys(builtin))
	killed := 0
	for round := range 12 {
		name := names[round%len(names)]
		eventually(t, name+" lives", func() bool { return len(packsOf(t, os.Getpid())[name]) > 0 })
		killed += len(signalPack(t, name, syscall.SIGKILL))
		answered := l.whole.Load() + l.parts.Load()
		eventually(t, "callers are answered", func() bool { return l.whole.Load()+l.parts.Load() >= answered+8 || t.Failed() })
	}
	before := l.whole.Load()
	eventually(t, "every pack answers again", func() bool { return l.whole.Load() >= before+16 || t.Failed() })
	l.end()
	eventually(t, "every pack serves", func() bool { return now(t, s, "slipfit_pack_serving") == float64(len(builtin)) })
	if got := now(t, s, "slipfit_pack_exits_total"); got < float64(killed)/2 {
		t.Errorf("%v ends of packs were counted, %d processes were killed", got, killed)
	}
	t.Logf("%d processes killed, %d whole answers, %d with a silent pack, slowest %v", killed, l.whole.Load(), l.parts.Load(), time.Duration(l.slowest.Load()))
}

// A pack that stands still holds callers no longer than the pack's time, and is
// replaced.
func TestStoppedPackIsAnsweredForAndReplaced(t *testing.T) {
	noLeaks(t)
	config := untiring()
	config.PackTimeout = time.Second
	s := start(t, config)
	conn, _ := dial(t, s)
	client, check := v1.NewCheckServiceClient(conn), demoRequest(t)
	j := newJudge(t, client, check)
	l := newLoad(t, client, check, j, 8)
	stopped := signalPack(t, "clearance", syscall.SIGSTOP)
	if len(stopped) == 0 {
		t.Fatal("no process of the clearance pack was found")
	}
	eventually(t, "the stopped processes are gone", func() bool {
		return !slices.ContainsFunc(stopped, alive) || t.Failed()
	})
	before := l.whole.Load()
	eventually(t, "the pack answers again", func() bool { return l.whole.Load() >= before+16 || t.Failed() })
	l.end()
	// Behind the stopped pack stand those that need its facts; each has its own time,
	// and a stopped spare can take over once.
	if bound := 8 * config.PackTimeout; time.Duration(l.slowest.Load()) > bound {
		t.Errorf("a caller waited %v, more than %v", time.Duration(l.slowest.Load()), bound)
	}
	t.Logf("%d whole answers, %d with a silent pack, slowest %v", l.whole.Load(), l.parts.Load(), time.Duration(l.slowest.Load()))
}

// Packs that are killed and cannot start again leave a service that lives, is not
// ready, and answers UNKNOWN.
func TestServiceWithoutPacksAnswersUnknown(t *testing.T) {
	noLeaks(t)
	// What is started again finds the program gone.
	program := t.TempDir() + "/pack"
	if err := os.Link(executable(t), program); err != nil {
		if err := copyFile(executable(t), program); err != nil {
			t.Fatal(err)
		}
	}
	config := server.Config{Packs: launches()}
	for i := range config.Packs {
		config.Packs[i].Command = []string{program}
	}
	config.PackOptions.Restart = packs.Restart{Stable: time.Millisecond, First: 10 * time.Millisecond, GiveUpAfter: 3, GiveUpFor: time.Hour}
	s := start(t, config)
	conn, _ := dial(t, s)
	client, check := v1.NewCheckServiceClient(conn), demoRequest(t)
	j := newJudge(t, client, check)
	if err := os.Remove(program); err != nil {
		t.Fatal(err)
	}
	for name := range builtin {
		signalPack(t, name, syscall.SIGKILL)
	}
	health := grpc_health_v1.NewHealthClient(conn)
	is := func(service string) grpc_health_v1.HealthCheckResponse_ServingStatus {
		r, err := health.Check(soon(t), &grpc_health_v1.HealthCheckRequest{Service: service})
		if err != nil {
			t.Fatal(err)
		}
		return r.Status
	}
	check2 := func() *v1.CheckResponse {
		answer, err := client.Check(soon(t), check)
		if err != nil {
			t.Fatal(err)
		}
		if whole, err := j.fault(answer); err != nil {
			t.Fatalf("whole %v: %v", whole, err)
		}
		return answer
	}
	eventually(t, "no pack serves", func() bool { return now(t, s, "slipfit_pack_serving") == 0 })
	eventually(t, "the check service says so", func() bool { return is(v1.CheckService_ServiceDesc.ServiceName) == notServing })
	eventually(t, "the packs are given up", func() bool {
		return strings.Contains(check2().Findings[0].GetSummary().GetText(), "tried again later")
	})
	answer := check2()
	if len(answer.Findings) != len(builtin) || answer.GetVerdict() != v1.Verdict_VERDICT_UNKNOWN {
		t.Errorf("without packs the answer is %v", answer)
	}
	for _, f := range answer.Findings {
		if text := f.GetSummary().GetText(); strings.Contains(text, program) {
			t.Errorf("an answer tells where the pack's program lies: %s", text)
		}
	}
	if got := is(""); got != serving {
		t.Errorf("the process is %v, want SERVING whatever its packs do", got)
	}
	for name := range builtin {
		if got := is("slipfit.pack." + name); got != notServing {
			t.Errorf("pack %s is %v", name, got)
		}
	}
	if code, text := operations(s, "/ready"); code != 503 || text != "not every pack serves\n" {
		t.Errorf("/ready answers %d %q", code, text)
	}
	if code, _ := operations(s, "/alive"); code != 200 {
		t.Errorf("/alive answers %d", code)
	}
	list, err := v1.NewPackServiceClient(conn).ListPacks(soon(t), &v1.ListPacksRequest{})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range list.Packs {
		if p.GetServing() || p.GetLastError() == "" || len(p.Rules) == 0 {
			t.Errorf("pack %s is told as %v", p.GetName(), p)
		}
	}
	if got := sum(samples(t, metricsText(t, s)), "slipfit_pack_silent_total", `kind="missing"`); got < float64(len(builtin)) {
		t.Errorf("%v silent packs were counted", got)
	}
}

func executable(t testing.TB) string {
	t.Helper()
	path, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer func() { _ = in.Close() }()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY|os.O_EXCL, 0o755)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// host is a whole service in a process of its own.
type host struct {
	cmd     *exec.Cmd
	address string
	out     *bufio.Reader
	errors  strings.Builder
	packs   map[string][]int
}

func startHost(t *testing.T) *host {
	t.Helper()
	h := &host{cmd: exec.Command(executable(t))}
	h.cmd.Env = append(os.Environ(), beOther+"=host")
	h.cmd.Stderr = &h.errors
	out, err := h.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := h.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = h.cmd.Process.Kill()
		_ = h.cmd.Wait()
		for _, pids := range h.packs {
			for _, pid := range pids {
				if packName(pid) != "" {
					_ = syscall.Kill(pid, syscall.SIGKILL)
				}
			}
		}
	})
	h.out = bufio.NewReader(out)
	line, err := h.out.ReadString('\n')
	if err != nil {
		t.Fatalf("the host does not serve: %v: %s", err, h.errors.String())
	}
	h.address = strings.TrimSpace(line)
	eventually(t, "the host has every pack and a spare of each", func() bool {
		h.packs = packsOf(t, h.cmd.Process.Pid)
		n := 0
		for _, pids := range h.packs {
			n += len(pids)
		}
		return n == 2*len(builtin)
	})
	return h
}

// packsLeft are the packs that still live.
func (h *host) packsLeft() []int {
	var left []int
	for _, pids := range h.packs {
		for _, pid := range pids {
			if alive(pid) {
				left = append(left, pid)
			}
		}
	}
	return left
}

// A host that is killed without a word leaves no pack behind.
func TestKilledHostLeavesNoPack(t *testing.T) {
	h := startHost(t)
	client, check := v1.NewCheckServiceClient(dialAddress(t, h.address)), demoRequest(t)
	ctx, cancel := context.WithCancel(context.Background())
	var group sync.WaitGroup
	for range 4 {
		group.Go(func() {
			for ctx.Err() == nil {
				if _, err := client.Check(ctx, check); err != nil {
					return
				}
			}
		})
	}
	if err := h.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = h.cmd.Wait()
	eventually(t, "no pack lives", func() bool { return len(h.packsLeft()) == 0 })
	cancel()
	group.Wait()
}

// A host that is told to stop under load, with a health watch and a stream open,
// ends within its grace, has answered everything it took, and leaves no pack.
func TestStoppedHostLosesNoReply(t *testing.T) {
	h := startHost(t)
	conn, check := dialAddress(t, h.address), demoRequest(t)
	client := v1.NewCheckServiceClient(conn)
	well, err := client.Check(soon(t), check)
	if err != nil {
		t.Fatal(err)
	}
	watch := watchHealth(t, conn, "")
	if got := watch.next(t); got != serving {
		t.Fatalf("the watch began with %v", got)
	}
	var answered atomic.Int64
	answered.Add(1)
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			for {
				answer, err := client.Check(context.Background(), check)
				if status.Code(err) == codes.Unavailable {
					return // not taken any more
				}
				if err != nil || !proto.Equal(answer, well) {
					t.Errorf("a caller got %v, %v", answer.GetVerdict(), err)
					return
				}
				answered.Add(1)
			}
		})
	}
	stream, err := client.CheckMany(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var replies atomic.Int64
	group.Go(func() {
		for stream.Send(&v1.CheckManyRequest{Check: check}) == nil {
		}
	})
	group.Go(func() {
		for {
			reply, err := stream.Recv()
			if err != nil {
				if status.Code(err) != codes.Unavailable {
					t.Errorf("the stream ended with %v", err)
				}
				return
			}
			if !proto.Equal(reply.GetCheck(), well) {
				t.Errorf("the stream got %v", reply)
			}
			replies.Add(1)
		}
	})
	eventually(t, "there is load", func() bool { return answered.Load() > 20 && replies.Load() > 20 })
	if err := h.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	group.Wait()
	if got := watch.last(t); got != notServing {
		t.Errorf("the watch ended with %v, want NOT_SERVING", got)
	}
	page, err := io.ReadAll(h.out)
	if err != nil {
		t.Fatal(err)
	}
	if err := h.cmd.Wait(); err != nil {
		t.Fatalf("the host ended with %v: %s", err, h.errors.String())
	}
	if left := h.packsLeft(); len(left) > 0 {
		t.Errorf("packs %v outlive their host", left)
	}
	values := samples(t, string(page))
	method := fmt.Sprintf("method=%q", v1.CheckService_Check_FullMethodName)
	if took, ok := sum(values, "slipfit_requests_total", method), sum(values, "slipfit_requests_total", method, `code="OK"`); took != ok || ok != float64(answered.Load()) {
		t.Errorf("the host took %v checks and answered %v; callers got %d answers", took, ok, answered.Load())
	}
	// Every check gives the same findings, so that they count the checks.
	perCheck := 0.0
	for _, f := range well.Findings {
		if f.GetPack() == "power" {
			perCheck++
		}
	}
	judged := sum(values, "slipfit_rule_verdicts_total", `pack="power"`) / perCheck
	if want := answered.Load() + replies.Load(); judged != float64(want) {
		t.Errorf("the packs judged %v checks, callers got %d and the stream %d answers", judged, answered.Load(), replies.Load())
	}
	t.Logf("%d answers, %d replies", answered.Load(), replies.Load())
}
