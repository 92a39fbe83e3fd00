package gateway_test

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/protobuf/encoding/protojson"

	"slipfit.example/proto/openapi"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	mating "slipfit.example/rules/interface"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/rules/mounting"
	"slipfit.example/rules/power"
	"slipfit.example/rules/thermal"
	"slipfit.example/server"
	"slipfit.example/server/document"
	"slipfit.example/server/gateway"
	"slipfit.example/server/packs"
)

// bePack in the environment makes the test binary one of the packs, and beVersion has
// it say another version than its own.
const (
	bePack    = "SLIPFIT_TEST_PACK"
	beVersion = "SLIPFIT_TEST_VERSION"
)

var builtin = map[string]func() *kit.Pack{
	"clearance": clearance.Pack, "interface": mating.Pack, "mounting": mounting.Pack, "power": power.Pack, "thermal": thermal.Pack,
}

// patience bounds what has to happen at some time. It says nothing about speed.
const patience = 20 * time.Second

var quiet = slog.New(slog.DiscardHandler)

func TestMain(m *testing.M) {
	if name := os.Getenv(bePack); name != "" {
		pack := builtin[name]()
		if version := os.Getenv(beVersion); version != "" {
			pack.Version = version
		}
		evaluator, err := kit.NewEvaluator(pack)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		process.Serve(name, kit.NewService(evaluator))
		return
	}
	code := m.Run()
	if err := common.end(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// common is a service of one pack for tests that leave it as it is: its start takes
// longer than most of them.
var common shared

type shared struct {
	once   sync.Once
	server *server.Server
	err    error
}

// service starts the service when the first test asks for it.
func (s *shared) service(t testing.TB) *server.Server {
	t.Helper()
	s.once.Do(func() {
		s.server, s.err = server.Start(context.Background(), configured(server.Config{Packs: onePack(), Reflection: true}))
	})
	if s.err != nil {
		t.Fatal(s.err)
	}
	return s.server
}

func (s *shared) end() error {
	if s.server == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return s.server.Stop(ctx)
}

// launch starts the test binary again as some packs.
func launch(version string, names ...string) (out []packs.Launch) {
	for _, name := range names {
		out = append(out, packs.Launch{Name: name, Command: []string{os.Args[0]}, Env: []string{bePack + "=" + name, beVersion + "=" + version}})
	}
	return out
}

func everyPack() []packs.Launch {
	return launch("", "clearance", "interface", "mounting", "power", "thermal")
}

// onePack is the pack that answers most quickly.
func onePack() []packs.Launch { return launch("", "interface") }

// start starts a service.
func start(t testing.TB, config server.Config) *server.Server {
	t.Helper()
	s, err := server.Start(context.Background(), configured(config))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stop(t, s) })
	return s
}

// configured fills in what all services of these tests have in common.
func configured(config server.Config) server.Config {
	config.Log, config.PackOptions.Logger, config.PackTimeout = quiet, quiet, time.Minute
	config.Sheet = server.SheetMaker{Make: func(build *v1.Build, _ *v1.CheckResponse, day string) (string, error) {
		return "<!DOCTYPE html><style>p{margin:0}</style><p>Sheet, " + day + "<svg><style>.a{fill:red}</style></svg>", nil
	}}
	return config
}

func stop(t testing.TB, s *server.Server) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if err := s.Stop(ctx); err != nil {
		t.Error(err)
	}
}

// face serves HTTP in front of a service, and says where.
func face(t testing.TB, s gateway.Service, config gateway.Config) (url string) {
	t.Helper()
	config.Description, config.DescriptionYAML = openapi.JSON, openapi.YAML
	g, err := gateway.New(s, config)
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	web := g.NewServer(quiet)
	if s, ok := s.(*server.Server); ok && s != common.server {
		s.EndWith(web.Stop)
	}
	ended := make(chan error, 1)
	go func() { ended <- web.Serve(l) }()
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		web.Stop(ctx)
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return "http://" + l.Addr().String()
}

// direct calls the gateway without a connection.
func direct(t testing.TB, s gateway.Service, config gateway.Config) http.Handler {
	t.Helper()
	config.Description, config.DescriptionYAML = openapi.JSON, openapi.YAML
	g, err := gateway.New(s, config)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// native connects to the service by gRPC.
func native(t testing.TB, s *server.Server) *grpc.ClientConn {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = s.Serve(l) }()
	conn, err := grpc.NewClient(l.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(16<<20)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

// demoChecks are the demo's builds by their file names.
func demoChecks(t testing.TB) map[string]*v1.CheckRequest {
	t.Helper()
	files, err := filepath.Glob("../../clients/demo/builds/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("there are no demo builds: %v", err)
	}
	options := document.Options{Resolve: document.FileResolver("../..")}
	out := map[string]*v1.CheckRequest{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		build := new(v1.Build)
		if _, err := options.Read(strings.TrimPrefix(file, "../../"), data, build); err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(file)] = &v1.CheckRequest{Build: build}
	}
	return out
}

func demoCheck(t testing.TB) *v1.CheckRequest { return demoChecks(t)["archive-editor.yaml"] }

func jsonOf(t testing.TB, check *v1.CheckRequest) []byte {
	t.Helper()
	text, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(check)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// asked is what came back for one request.
type asked struct {
	status int
	header http.Header
	body   []byte
}

// post asks a handler, with headers as name and value in turn.
func post(t testing.TB, h http.Handler, path string, body []byte, headers ...string) asked {
	t.Helper()
	return ask(t, h, http.MethodPost, path, body, append([]string{"Content-Type", "application/json"}, headers...)...)
}

func ask(t testing.TB, h http.Handler, verb, path string, body []byte, headers ...string) asked {
	t.Helper()
	r := httptest.NewRequest(verb, path, strings.NewReader(string(body)))
	for i := 0; i < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	got, err := io.ReadAll(w.Result().Body)
	if err != nil {
		t.Fatal(err)
	}
	return asked{w.Code, w.Result().Header, got}
}
