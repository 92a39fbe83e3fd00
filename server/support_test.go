package server_test

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"
	"go.uber.org/goleak"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/rules/standards"
	"slipfit.example/server"
	"slipfit.example/server/document"
	"slipfit.example/server/packs"
)

// beOther in the environment makes the test binary another program of the tests.
const beOther = "SLIPFIT_TEST_ROLE"

// play is one of the other programs, or reports false.
func play(role string) bool {
	if beShelved() || beReplaced() || beCandidate(role) {
		return true
	}
	switch role {
	case "moody":
		bePackOf(moody())
	case "drill":
		bePackOf(drill())
	case "aside":
		bePackOf(aside())
	case "host":
		beHost()
	case "broken":
		os.Exit(3)
	default:
		return false
	}
	return true
}

func bePackOf(p *kit.Pack) {
	evaluator, err := kit.NewEvaluator(p)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	process.Serve(p.Name, kit.NewService(evaluator))
}

// patience bounds what has to happen at some time. It says nothing about speed.
const patience = 20 * time.Second

// drill is a pack with one rule, which holds a build whose title is "hold" and a
// file's name until that file is there, and passes every build.
func drill() *kit.Pack {
	return &kit.Pack{
		Name: "drill", Version: "1.0.0", Purpose: "It holds checks as long as a test wants.",
		Rules: []kit.Rule{{
			ID: "drill.hold", Title: "Hold", Since: "1.0.0",
			Why: "A test has to know what is on its way.", Formula: "A build passes once its file is there.",
			Parameters: []*kit.Parameter{{
				Name: "drill.hold.limit_mm", Unit: "mm", Default: 1, Least: 0, Greatest: 10,
				Purpose: "It is there to be set.", Source: kit.CommonPractice,
			}},
			Sources: []standards.Source{kit.CommonPractice}, Reads: []string{"fan.size_mm"},
			Texts: map[string]string{
				"pass": "The build was let go.", "marginal": "The build was let go.",
				"unknown": "The build was let go.", "fail": "The build was let go.",
			},
			Judge: func(c *kit.Case) {
				if file, ok := strings.CutPrefix(c.Build.GetTitle(), "hold "); ok {
					for {
						if _, err := os.Stat(file); err == nil {
							break
						}
						time.Sleep(time.Millisecond)
					}
				}
				c.Judged(kit.Pass)
			},
		}},
	}
}

// aside is a pack that takes part only in checks that name it.
func aside() *kit.Pack {
	p := drill()
	p.Name, p.OnRequest = "aside", true
	p.Rules[0].ID, p.Rules[0].Parameters = "aside.hold", nil
	return p
}

// drillConfig is a service with that pack alone, which is never thought to hang.
func drillConfig() server.Config {
	return server.Config{
		Packs:       []packs.Launch{{Name: "drill", Command: []string{os.Args[0]}, Env: []string{beOther + "=drill"}}},
		PackTimeout: time.Minute,
	}
}

// latch holds checks until it is opened.
type latch struct{ file string }

func newLatch(t testing.TB) *latch {
	t.Helper()
	l := &latch{filepath.Join(t.TempDir(), "open")}
	t.Cleanup(func() { l.open(t) })
	return l
}

// held is a check that the drill holds.
func (l *latch) held(id string) *v1.CheckRequest {
	check := plainCheck(id)
	check.Build.Title = proto.String("hold " + l.file)
	return check
}

func (l *latch) open(t testing.TB) {
	t.Helper()
	if err := os.WriteFile(l.file, nil, 0o600); err != nil {
		t.Error(err)
	}
}

// plainCheck is a small good check.
func plainCheck(id string) *v1.CheckRequest {
	return &v1.CheckRequest{Build: &v1.Build{Id: &id, Items: []*v1.Item{{
		Id: proto.String("rear-fan"),
		Part: &v1.Part{
			Id: proto.String("heron-120"), Name: proto.String("Heron 120"),
			Kind: &v1.Part_Fan{Fan: &v1.Fan{SizeMm: proto.Uint32(120)}},
		},
	}}}}
}

// demoRequest is the demo build that the benchmarks use.
func demoRequest(t testing.TB) *v1.CheckRequest {
	t.Helper()
	check := new(v1.CheckRequest)
	if err := proto.Unmarshal(demoCheck(t), check); err != nil {
		t.Fatal(err)
	}
	return check
}

// demoRequests are all demo builds by their file names.
func demoRequests(t testing.TB) map[string]*v1.CheckRequest {
	t.Helper()
	files, err := filepath.Glob("../clients/demo/builds/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("there are no demo builds: %v", err)
	}
	resolve := document.Options{Resolve: document.FileResolver("..")}
	out := map[string]*v1.CheckRequest{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		build := new(v1.Build)
		if _, err := resolve.Read(strings.TrimPrefix(file, "../"), data, build); err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(file)] = &v1.CheckRequest{Build: build}
	}
	return out
}

// noLeaks fails a test that leaves goroutines behind. It has to come first, so
// that it looks last.
func noLeaks(t testing.TB) {
	t.Helper()
	before := goleak.IgnoreCurrent()
	t.Cleanup(func() {
		if !t.Failed() {
			goleak.VerifyNone(t, before)
		}
	})
}

// dial serves on loopback TCP and connects with the protobuf that everybody uses.
func dial(t testing.TB, s *server.Server) (conn *grpc.ClientConn, address string) {
	t.Helper()
	address = serve(t, s)
	return dialAddress(t, address), address
}

func serve(t testing.TB, s *server.Server) (address string) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(l) }()
	t.Cleanup(func() {
		stop(t, s)
		if err := <-ended; err != nil {
			t.Errorf("serving ended with: %v", err)
		}
	})
	return l.Addr().String()
}

func stop(t testing.TB, s *server.Server) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := s.Stop(ctx); err != nil {
		t.Error(err)
	}
}

func dialAddress(t testing.TB, address string) *grpc.ClientConn {
	t.Helper()
	conn, err := grpc.NewClient(address, grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(16<<20)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

// soon is a context that ends when patience does.
func soon(t testing.TB) context.Context {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	t.Cleanup(cancel)
	return ctx
}

// eventually waits until something is so.
func eventually(t testing.TB, what string, so func() bool) {
	t.Helper()
	for end := time.Now().Add(patience); !so(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%s: not so after %v", what, patience)
		}
	}
}

// wantCode fails unless an error is a status of that code.
func wantCode(t testing.TB, err error, want codes.Code) {
	t.Helper()
	if got := status.Code(err); got != want {
		t.Fatalf("status is %v, want %v: %v", got, want, err)
	}
}

// detailOf is the only detail of one type in a status.
func detailOf[D proto.Message](t testing.TB, err error) D {
	t.Helper()
	var found D
	n := 0
	for _, detail := range status.Convert(err).Details() {
		if d, ok := detail.(D); ok {
			found = d
			n++
		}
	}
	if n != 1 {
		t.Fatalf("%v has %d details of type %T, want one", err, n, found)
	}
	return found
}

// metricsText is what the operations handler tells at /metrics.
func metricsText(t testing.TB, s *server.Server) string {
	t.Helper()
	w := httptest.NewRecorder()
	s.Operations().ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	if w.Code != http.StatusOK {
		t.Fatalf("/metrics answers %d: %s", w.Code, w.Body)
	}
	return w.Body.String()
}

// samples are all values of a metrics page, by name and labels as
// `name{label="value",...}` with labels in order. A histogram gives its count.
func samples(t testing.TB, text string) map[string]float64 {
	t.Helper()
	parser := expfmt.NewTextParser(model.LegacyValidation)
	families, err := parser.TextToMetricFamilies(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for name, family := range families {
		for _, m := range family.Metric {
			labels := make([]string, len(m.Label))
			for i, l := range m.Label {
				labels[i] = fmt.Sprintf("%s=%q", l.GetName(), l.GetValue())
			}
			slices.Sort(labels)
			out[name+"{"+strings.Join(labels, ",")+"}"] =
				m.Counter.GetValue() + m.Gauge.GetValue() + float64(m.Histogram.GetSampleCount())
		}
	}
	return out
}

// sum adds all samples of a metric that have the label texts.
func sum(values map[string]float64, name string, labels ...string) float64 {
	total := 0.0
	for _, sample := range slices.Sorted(maps.Keys(values)) {
		if !strings.HasPrefix(sample, name+"{") {
			continue
		}
		if !slices.ContainsFunc(labels, func(l string) bool { return !strings.Contains(sample, l) }) {
			total += values[sample]
		}
	}
	return total
}

// now is the sum of a metric as it stands.
func now(t testing.TB, s *server.Server, name string, labels ...string) float64 {
	t.Helper()
	return sum(samples(t, metricsText(t, s)), name, labels...)
}

// quiet throws logs away.
var quiet = slog.New(slog.NewTextHandler(io.Discard, nil))
