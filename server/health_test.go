package server_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/health/grpc_health_v1"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server"
)

const (
	serving    = grpc_health_v1.HealthCheckResponse_SERVING
	notServing = grpc_health_v1.HealthCheckResponse_NOT_SERVING
)

// healthWatch is an open health watch.
type healthWatch struct {
	stream grpc.ServerStreamingClient[grpc_health_v1.HealthCheckResponse]
}

func watchHealth(t testing.TB, conn *grpc.ClientConn, service string) *healthWatch {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	stream, err := grpc_health_v1.NewHealthClient(conn).Watch(ctx, &grpc_health_v1.HealthCheckRequest{Service: service})
	if err != nil {
		t.Fatal(err)
	}
	return &healthWatch{stream}
}

func (w *healthWatch) next(t testing.TB) grpc_health_v1.HealthCheckResponse_ServingStatus {
	t.Helper()
	r, err := w.stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	return r.Status
}

// last is the last word before the watch ends with UNAVAILABLE.
func (w *healthWatch) last(t testing.TB) grpc_health_v1.HealthCheckResponse_ServingStatus {
	t.Helper()
	last := grpc_health_v1.HealthCheckResponse_UNKNOWN
	for {
		r, err := w.stream.Recv()
		if err != nil {
			wantCode(t, err, codes.Unavailable)
			return last
		}
		last = r.Status
	}
}

// operations asks the operations handler.
func operations(s *server.Server, path string) (code int, body string) {
	w := httptest.NewRecorder()
	s.Operations().ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w.Code, w.Body.String()
}

// Health is right from the first moment on, for the process, the services and each
// pack.
func TestHealthNamesServicesAndPacks(t *testing.T) {
	noLeaks(t)
	s := start(t, server.Config{})
	client := grpc_health_v1.NewHealthClient(connect(t, s))
	services := []string{"", v1.CheckService_ServiceDesc.ServiceName, v1.PackService_ServiceDesc.ServiceName}
	for name := range builtin {
		services = append(services, "slipfit.pack."+name)
	}
	for _, service := range services {
		r, err := client.Check(soon(t), &grpc_health_v1.HealthCheckRequest{Service: service})
		if err != nil {
			t.Errorf("%q: %v", service, err)
			continue
		}
		if r.Status != serving {
			t.Errorf("%q is %v", service, r.Status)
		}
	}
	_, err := client.Check(soon(t), &grpc_health_v1.HealthCheckRequest{Service: "slipfit.pack.none"})
	wantCode(t, err, codes.NotFound)
}

// A pack that never comes up makes the check service not ready, and nothing else.
func TestHealthOfAPackThatDoesNotComeUp(t *testing.T) {
	noLeaks(t)
	config := server.Config{Packs: launches()}
	broken := config.Packs[0]
	config.Packs[0].Env = []string{beOther + "=broken"}
	s := start(t, config)
	conn := connect(t, s)
	client := grpc_health_v1.NewHealthClient(conn)
	for service, want := range map[string]grpc_health_v1.HealthCheckResponse_ServingStatus{
		"": serving, v1.CheckService_ServiceDesc.ServiceName: notServing, v1.PackService_ServiceDesc.ServiceName: serving,
		"slipfit.pack." + broken.Name: notServing, "slipfit.pack." + config.Packs[1].Name: serving,
	} {
		r, err := client.Check(soon(t), &grpc_health_v1.HealthCheckRequest{Service: service})
		if err != nil || r.Status != want {
			t.Errorf("%q is %v, %v; want %v", service, r.GetStatus(), err, want)
		}
	}
	if code, text := operations(s, "/ready"); code != http.StatusServiceUnavailable || text != "not every pack serves\n" {
		t.Errorf("/ready answers %d %q", code, text)
	}
	answer, err := v1.NewCheckServiceClient(conn).Check(soon(t), plainCheck("partly"))
	if err != nil {
		t.Fatal(err)
	}
	findings := 0
	for _, f := range answer.Findings {
		if f.GetPack() == broken.Name {
			findings++
			if f.GetRule() != "host.pack-answers" || f.GetVerdict() != v1.Verdict_VERDICT_UNKNOWN {
				t.Errorf("the broken pack has a finding %v", f)
			}
		}
	}
	if findings != 1 || answer.GetVerdict() < v1.Verdict_VERDICT_UNKNOWN {
		t.Errorf("%d findings of the broken pack, verdict %v", findings, answer.GetVerdict())
	}
}

// Stopping tells watches and operators before it waits for requests.
func TestStopTellsHealthFirst(t *testing.T) {
	noLeaks(t)
	s := start(t, drillConfig())
	conn, _ := dial(t, s)
	latch := newLatch(t)
	watches := []*healthWatch{watchHealth(t, conn, ""), watchHealth(t, conn, "slipfit.pack.drill"), watchHealth(t, conn, "unheard-of")}
	for i, want := range []grpc_health_v1.HealthCheckResponse_ServingStatus{serving, serving, grpc_health_v1.HealthCheckResponse_SERVICE_UNKNOWN} {
		if got := watches[i].next(t); got != want {
			t.Errorf("watch %d begins with %v, want %v", i, got, want)
		}
	}
	if code, text := operations(s, "/ready"); code != http.StatusOK || text != "ready\n" {
		t.Errorf("/ready answers %d %q", code, text)
	}
	held := make(chan error, 1)
	go func() {
		_, err := v1.NewCheckServiceClient(conn).Check(context.Background(), latch.held("held"))
		held <- err
	}()
	eventually(t, "a check is on its way", func() bool { return now(t, s, "slipfit_checks_in_flight") == 1 })
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		stop(t, s)
	}()
	for i, w := range watches {
		if got := w.last(t); got != notServing {
			t.Errorf("watch %d ends with %v, want NOT_SERVING", i, got)
		}
	}
	if code, text := operations(s, "/ready"); code != http.StatusServiceUnavailable || text != "the service is stopping\n" {
		t.Errorf("/ready answers %d %q while a check is still on its way", code, text)
	}
	if code, text := operations(s, "/alive"); code != http.StatusOK || text != "alive\n" {
		t.Errorf("/alive answers %d %q", code, text)
	}
	latch.open(t)
	if err := <-held; err != nil {
		t.Errorf("the check that was on its way ended with %v", err)
	}
	<-stopped
}

func TestOperationsServeNothingElse(t *testing.T) {
	noLeaks(t)
	s := start(t, drillConfig())
	if code, _ := operations(s, "/"); code != http.StatusNotFound {
		t.Errorf("/ answers %d", code)
	}
	w := httptest.NewRecorder()
	s.Operations().ServeHTTP(w, httptest.NewRequest(http.MethodPost, "/metrics", strings.NewReader("x")))
	if w.Code != http.StatusMethodNotAllowed {
		t.Errorf("a POST of metrics is answered %d", w.Code)
	}
}
