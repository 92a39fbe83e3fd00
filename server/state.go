package server

import (
	"context"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/health/grpc_health_v1"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/packs"
	"slipfit.example/server/pipeline"
)

// Health is told by grpc.health.v1 under these names: "" is the process, which is
// well as long as it answers, whatever its packs do; the check service is ready
// when every pack serves; each pack has a name of its own.
const packHealthPrefix = "slipfit.pack."

// watchHealth keeps the health service in step with the packs.
func (s *Server) watchHealth(ctx context.Context) {
	s.health.SetServingStatus("", grpc_health_v1.HealthCheckResponse_SERVING)
	s.health.SetServingStatus(v1.PackService_ServiceDesc.ServiceName, grpc_health_v1.HealthCheckResponse_SERVING)
	for _, p := range s.supervisor.Packs() {
		s.attendUntil(ctx, p)
	}
}

// attend shows a pack that came later in health and metrics until it leaves.
func (s *Server) attend(p *packs.Pack) (leave func()) {
	s.metrics.begin(p.Name())
	ctx, cancel := context.WithCancel(s.stopping)
	s.attendUntil(ctx, p)
	return func() {
		cancel()
		s.tellHealth(p)
	}
}

func (s *Server) attendUntil(ctx context.Context, p *packs.Pack) {
	s.tellHealth(p)
	s.running.Go(func() {
		for {
			changed := p.Changed()
			s.tellHealth(p)
			select {
			case <-changed:
			case <-ctx.Done():
				return
			}
		}
	})
}

func (s *Server) tellHealth(p *packs.Pack) {
	// What is true for all packs together is looked at and told in one, so that a
	// slower goroutine does not tell an older truth last.
	s.telling.Lock()
	defer s.telling.Unlock()
	serving, known := true, false
	for _, other := range s.supervisor.Packs() {
		if other.Name() == p.Name() {
			_, err := other.Instance()
			serving, known = serving && err == nil, true
		}
	}
	told := servingIf(serving)
	if !known {
		told = grpc_health_v1.HealthCheckResponse_SERVICE_UNKNOWN
	}
	s.health.SetServingStatus(packHealthPrefix+p.Name(), told)
	s.health.SetServingStatus(v1.CheckService_ServiceDesc.ServiceName, servingIf(s.supervisor.Ready()))
}

// endWatches ends health watches when the service stops, with NOT_SERVING as their
// last word: a watch never ends by itself, and stopping waits for open requests.
func (s *Server) endWatches(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	if info.FullMethod != grpc_health_v1.Health_Watch_FullMethodName {
		return next(srv, stream)
	}
	ctx, cancel := context.WithCancel(stream.Context())
	defer cancel()
	defer context.AfterFunc(s.stopping, cancel)()
	err := next(srv, watch{stream, ctx})
	if s.stopping.Err() == nil || stream.Context().Err() != nil {
		return err
	}
	if err := stream.SendMsg(&grpc_health_v1.HealthCheckResponse{Status: grpc_health_v1.HealthCheckResponse_NOT_SERVING}); err != nil {
		return err
	}
	return errStopping
}

// watch is a health watch that ends with another context than its stream's.
type watch struct {
	grpc.ServerStream
	ctx context.Context
}

// Context ends when the watch is to end.
func (w watch) Context() context.Context { return w.ctx }

func servingIf(yes bool) grpc_health_v1.HealthCheckResponse_ServingStatus {
	if yes {
		return grpc_health_v1.HealthCheckResponse_SERVING
	}
	return grpc_health_v1.HealthCheckResponse_NOT_SERVING
}

// eachPack visits the packs for metrics, the versions of one together.
func (s *Server) eachPack(visit func(pack string, serving bool, queued, inFlight int)) {
	type total struct {
		serving          bool
		queued, inFlight int
	}
	totals := map[string]total{}
	s.pipeline.Depths(func(source pipeline.Source, queued, inFlight int) {
		_, _, err := source.Instance()
		before, known := totals[source.Name()]
		totals[source.Name()] = total{
			err == nil && (!known || before.serving), before.queued + queued, before.inFlight + inFlight,
		}
	})
	for name, t := range totals {
		visit(name, t.serving, t.queued, t.inFlight)
	}
}

// countPacks adds the metrics to what the caller wants to be told of packs.
func (s *Server) countPacks() {
	told := s.config.PackOptions.Hooks
	hooks := &s.config.PackOptions.Hooks
	for _, launch := range s.config.Packs {
		s.metrics.begin(launch.Name)
	}
	hooks.OnStart = func(pack, version string, took time.Duration, spare bool) {
		s.metrics.starts.WithLabelValues(pack).Inc()
		if told.OnStart != nil {
			told.OnStart(pack, version, took, spare)
		}
	}
	hooks.OnExit = func(pack string, reason error, lived time.Duration) {
		s.metrics.exits.WithLabelValues(pack).Inc()
		if told.OnExit != nil {
			told.OnExit(pack, reason, lived)
		}
	}
}
