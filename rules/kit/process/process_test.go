package process

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/hashicorp/go-hclog"
	"github.com/hashicorp/go-plugin"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// envRole makes the test binary a pack, or a host that holds one.
const envRole = "SLIPFIT_PROCESS_TEST_ROLE"

func TestMain(m *testing.M) {
	switch os.Getenv(envRole) {
	case "pack":
		Serve("sample", &sample{})
		os.Exit(0)
	case "careless host":
		carelessHost()
	default:
		os.Exit(m.Run())
	}
}

// sample is a pack whose Evaluate does what the batch's number says.
type sample struct {
	packv1.UnimplementedPackServiceServer
	sick atomic.Bool
}

const (
	batchEcho = iota
	batchPrint
	batchLargeAnswer
	batchFallSick
)

func (s *sample) Describe(context.Context, *packv1.DescribeRequest) (*packv1.DescribeResponse, error) {
	gc := debug.SetGCPercent(-1)
	debug.SetGCPercent(gc)
	return &packv1.DescribeResponse{
		Name:     proto.String("sample"),
		Protocol: proto.Uint32(plug.Protocol),
		Purpose:  proto.String(fmt.Sprintf("%d processors, collector at %d", runtime.GOMAXPROCS(0), gc)),
	}, nil
}

func (s *sample) Evaluate(stream grpc.BidiStreamingServer[packv1.EvaluateRequest, packv1.EvaluateResponse]) error {
	for {
		r, err := stream.Recv()
		if err != nil {
			return err
		}
		answer := &packv1.EvaluateResponse{Batch: r.Batch}
		switch r.GetBatch() {
		case batchPrint:
			flood := bytes.Repeat([]byte("x"), 1<<20)
			_, _ = os.NewFile(1, "descriptor 1").Write(flood)
			_, _ = os.Stdout.Write(flood)
		case batchLargeAnswer:
			answer.Outcomes = []*packv1.Outcome{{Findings: make([]byte, plug.MaxAnswerBytes)}}
		case batchFallSick:
			s.sick.Store(true)
		}
		if err := stream.Send(answer); err != nil {
			return err
		}
	}
}

func (s *sample) Probe(context.Context) error {
	if s.sick.Load() {
		return errors.New("the table of screws is gone")
	}
	return nil
}

func self(t testing.TB) string {
	t.Helper()
	path, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// start starts the sample pack under go-plugin's own host.
func start(t *testing.T, env ...string) *grpc.ClientConn {
	t.Helper()
	cmd := exec.Command(self(t))
	cmd.Env = append([]string{envRole + "=pack"}, env...)
	client := plugin.NewClient(&plugin.ClientConfig{
		HandshakeConfig:  plug.Handshake,
		VersionedPlugins: plug.Versions(nil),
		Cmd:              cmd,
		AllowedProtocols: []plugin.Protocol{plugin.ProtocolGRPC},
		AutoMTLS:         true,
		SkipHostEnv:      true,
		Logger:           hclog.NewNullLogger(),
	})
	t.Cleanup(client.Kill)
	protocol, err := client.Client()
	if err != nil {
		t.Fatal(err)
	}
	return protocol.(*plugin.GRPCClient).Conn
}

func within(t *testing.T, d time.Duration) context.Context {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), d)
	t.Cleanup(cancel)
	return ctx
}

// roundTrip sends one batch on a stream of its own.
func roundTrip(t *testing.T, conn *grpc.ClientConn, batch uint64, payload int) (*packv1.EvaluateResponse, error) {
	t.Helper()
	stream, err := packv1.NewPackServiceClient(conn).Evaluate(within(t, 20*time.Second), plug.CallOptions()...)
	if err != nil {
		t.Fatal(err)
	}
	r := &packv1.EvaluateRequest{Batch: proto.Uint64(batch), Tasks: []*packv1.Task{{Check: make([]byte, payload)}}}
	if err := stream.Send(r); err != nil {
		return nil, err
	}
	return stream.Recv()
}

func TestPackTakesOneProcessorAndCollectsLess(t *testing.T) {
	cases := map[string]struct {
		env  []string
		want string
	}{
		"by itself":          {nil, "1 processors, collector at 400"},
		"as the host states": {[]string{"GOMAXPROCS=2", "GOGC=50"}, "2 processors, collector at 50"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			d, err := packv1.NewPackServiceClient(start(t, c.env...)).Describe(within(t, 20*time.Second), &packv1.DescribeRequest{})
			if err != nil {
				t.Fatal(err)
			}
			if d.GetPurpose() != c.want {
				t.Errorf("the pack runs with %q, want %q", d.GetPurpose(), c.want)
			}
		})
	}
}

// A pipe holds 64 KiB on Linux (pipe(7)); a megabyte would stop the rule that prints
// it if nobody read it.
func TestRuleThatPrintsIsNotHeldUp(t *testing.T) {
	conn := start(t)
	got, err := roundTrip(t, conn, batchPrint, 0)
	if err != nil {
		t.Fatal(err)
	}
	if got.GetBatch() != batchPrint {
		t.Errorf("batch %d answered, want %d", got.GetBatch(), batchPrint)
	}
}

func TestHealthSaysWhatThePackSays(t *testing.T) {
	conn := start(t)
	health := grpc_health_v1.NewHealthClient(conn)
	for _, service := range []string{"", "plugin", plug.HealthService} {
		r, err := health.Check(within(t, 20*time.Second), &grpc_health_v1.HealthCheckRequest{Service: service})
		if err != nil || r.GetStatus() != grpc_health_v1.HealthCheckResponse_SERVING {
			t.Errorf("well, asked for %q: %v, %v", service, r.GetStatus(), err)
		}
	}
	if _, err := health.Check(within(t, 20*time.Second), &grpc_health_v1.HealthCheckRequest{Service: "other"}); status.Code(err) != codes.NotFound {
		t.Errorf("unknown service: %v, want NotFound", err)
	}
	if _, err := roundTrip(t, conn, batchFallSick, 0); err != nil {
		t.Fatal(err)
	}
	r, err := health.Check(within(t, 20*time.Second), &grpc_health_v1.HealthCheckRequest{Service: plug.HealthService})
	if err != nil || r.GetStatus() != grpc_health_v1.HealthCheckResponse_NOT_SERVING {
		t.Errorf("sick: %v, %v, want NOT_SERVING", r.GetStatus(), err)
	}
}

// The host here has no limits of its own towards the pack, so that the pack's count.
func TestPackRefusesMessagesOverTheLimits(t *testing.T) {
	conn := start(t)
	if _, err := roundTrip(t, conn, batchEcho, plug.MaxRequestBytes/2); err != nil {
		t.Errorf("a request of half the limit: %v", err)
	}
	if _, err := roundTrip(t, conn, batchLargeAnswer, 0); status.Code(err) != codes.ResourceExhausted {
		t.Errorf("an answer over the limit: %v, want ResourceExhausted", err)
	}
	stream, err := packv1.NewPackServiceClient(conn).Evaluate(within(t, 20*time.Second))
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.Send(&packv1.EvaluateRequest{Tasks: []*packv1.Task{{Check: make([]byte, plug.MaxRequestBytes)}}}); err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); status.Code(err) != codes.ResourceExhausted {
		t.Errorf("a request over the limit: %v, want ResourceExhausted", err)
	}
}

func TestPackByHandSaysWhatItIs(t *testing.T) {
	cmd := exec.Command(self(t))
	cmd.Env = []string{envRole + "=pack"}
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != ExitByHand {
		t.Fatalf("ended with %v, want exit status %d", err, ExitByHand)
	}
	const want = `This is the rule pack "sample". It answers a host and cannot be run by hand; start the server or the command line instead.`
	if got := strings.TrimSpace(string(out)); got != want {
		t.Errorf("it said %q, want %q", got, want)
	}
}

func TestPackEndsWhenItsStandardInputEnds(t *testing.T) {
	cmd := exec.Command(self(t))
	cmd.Env = packEnv(plug.EnvWatchStdin + "=1")
	stdin, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	select {
	case err := <-ended:
		t.Fatalf("the pack ended before its input did: %v", err)
	case <-time.After(300 * time.Millisecond):
	}
	_ = stdin.Close()
	select {
	case <-ended:
		if code := cmd.ProcessState.ExitCode(); code != ExitOrphan {
			t.Errorf("exit status %d, want %d", code, ExitOrphan)
		}
	case <-time.After(5 * time.Second):
		_ = cmd.Process.Kill()
		t.Error("the pack lives on without its input")
	}
}

// The host here gives the pack neither a death signal nor an input to watch: only the
// parent's number tells.
func TestPackEndsWhenItsParentIsKilled(t *testing.T) {
	host := exec.Command(self(t))
	host.Env = []string{envRole + "=careless host"}
	out, err := host.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := host.Start(); err != nil {
		t.Fatal(err)
	}
	var pid int
	if _, err := fmt.Fscan(out, &pid); err != nil {
		t.Fatal(err)
	}
	_ = host.Process.Kill()
	_ = host.Wait()
	deadline := time.Now().Add(5 * time.Second)
	for alive(pid) {
		if time.Now().After(deadline) {
			p, _ := os.FindProcess(pid)
			_ = p.Kill()
			t.Fatalf("the pack %d lives on without its parent", pid)
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// carelessHost starts a pack, waits for its handshake, prints its number and holds it.
func carelessHost() {
	path, _ := os.Executable()
	cmd := exec.Command(path)
	cmd.Env = packEnv()
	out, _ := cmd.StdoutPipe()
	if err := cmd.Start(); err != nil {
		os.Exit(1)
	}
	if _, err := out.Read(make([]byte, 1)); err != nil {
		os.Exit(1)
	}
	fmt.Println(cmd.Process.Pid)
	select {}
}

func packEnv(more ...string) []string {
	return append(more, envRole+"=pack", plug.Handshake.MagicCookieKey+"="+plug.Handshake.MagicCookieValue)
}

// alive tells whether a process runs; one that ended and waits to be collected by a
// parent that never does is not alive.
func alive(pid int) bool {
	stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	if err != nil {
		return false
	}
	_, after, _ := strings.Cut(string(stat), ") ")
	return !strings.HasPrefix(after, "Z")
}
