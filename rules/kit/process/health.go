package process

import (
	"context"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/status"

	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// Prober is a pack that knows whether it is healthy.
type Prober interface {
	// Probe returns nil if the pack can answer checks. Its error makes the host
	// stop sending checks and, if it lasts, start the pack again.
	Probe(ctx context.Context) error
}

// healthOptions answer grpc.health.v1 in front of the service of that name that
// go-plugin registers, since that one says SERVING whatever happens.
func healthOptions(prober Prober) []grpc.ServerOption {
	return []grpc.ServerOption{
		grpc.ChainUnaryInterceptor(func(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
			if info.FullMethod != grpc_health_v1.Health_Check_FullMethodName {
				return next(ctx, req)
			}
			return checkHealth(ctx, req, prober)
		}),
		grpc.ChainStreamInterceptor(func(srv any, ss grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
			if info.FullMethod == grpc_health_v1.Health_Watch_FullMethodName {
				return status.Error(codes.Unimplemented, "a pack's health cannot be watched; use Check")
			}
			return next(srv, ss)
		}),
	}
}

// checkHealth answers for the pack as a whole, by the empty name, the name of its
// service, or the name that go-plugin uses.
func checkHealth(ctx context.Context, req any, prober Prober) (*grpc_health_v1.HealthCheckResponse, error) {
	r, ok := req.(*grpc_health_v1.HealthCheckRequest)
	if !ok {
		return nil, status.Errorf(codes.Internal, "a health check came as a %T", req)
	}
	switch r.GetService() {
	case "", plug.HealthService, "plugin":
	default:
		return nil, status.Errorf(codes.NotFound, "a pack has no service %q", r.GetService())
	}
	if prober != nil && prober.Probe(ctx) != nil {
		return &grpc_health_v1.HealthCheckResponse{Status: grpc_health_v1.HealthCheckResponse_NOT_SERVING}, nil
	}
	return &grpc_health_v1.HealthCheckResponse{Status: grpc_health_v1.HealthCheckResponse_SERVING}, nil
}
