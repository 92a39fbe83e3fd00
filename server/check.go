package server

import (
	"context"
	"errors"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/pipeline"
)

// checks serves slipfit.v1.CheckService. Its messages stay encoded from the
// caller to the packs and back, so its handlers stand here instead of the
// generated ones.
type checks struct {
	validator *document.Validator
	pipeline  *pipeline.Pipeline
	gate      *gate
	tenants   *tenants
	shadow    *shadowHost     // nil: there is no candidate
	stopping  context.Context // ends when the service begins to stop
}

// checkServiceDesc is the generated description with handlers for raw messages.
func checkServiceDesc() *grpc.ServiceDesc {
	return &grpc.ServiceDesc{
		ServiceName: v1.CheckService_ServiceDesc.ServiceName,
		HandlerType: (*any)(nil),
		Metadata:    v1.CheckService_ServiceDesc.Metadata,
		Methods:     []grpc.MethodDesc{{MethodName: "Check", Handler: handleCheck}},
		Streams: []grpc.StreamDesc{{
			StreamName: "CheckMany", Handler: handleCheckMany, ServerStreams: true, ClientStreams: true,
		}},
	}
}

func handleCheck(srv any, ctx context.Context, decode func(any) error, interceptor grpc.UnaryServerInterceptor) (any, error) {
	request := new(raw)
	if err := decode(request); err != nil {
		return nil, err
	}
	s := srv.(*checks)
	if interceptor == nil {
		return s.check(ctx, request)
	}
	info := &grpc.UnaryServerInfo{Server: srv, FullMethod: v1.CheckService_Check_FullMethodName}
	return interceptor(ctx, request, info, func(ctx context.Context, request any) (any, error) {
		return s.check(ctx, request.(*raw))
	})
}

func (s *checks) check(ctx context.Context, request *raw) (*raw, error) {
	lower, err := s.tenants.of(ctx)
	if err != nil {
		return nil, err
	}
	if !s.gate.enter() {
		return nil, s.gate.refusal()
	}
	defer s.gate.leave()
	if violations := s.validator.Check(request.bytes); len(violations) > 0 {
		return nil, document.Status(violations).Err()
	}
	picked := s.shadow.pick()
	answer, err := s.pipeline.CheckOver(ctx, lower, request.bytes)
	if err != nil {
		return nil, statusOf(err).Err()
	}
	if picked.Picked() {
		picked.Answered(s.shadow.under(ctx, s.tenants), request.bytes, answer)
	}
	return &raw{answer}, nil
}

// statusOf turns an error of the pipeline into a status.
func statusOf(err error) *status.Status {
	if violations := violationsOf(err); violations != nil {
		return document.Status(violations)
	}
	switch {
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		return status.FromContextError(err)
	default:
		return status.New(codes.Internal, "the check could not be taken through the packs: "+err.Error())
	}
}

// violationsOf returns what the ruleset could not follow in a request, nil where
// the error is another.
func violationsOf(err error) []document.Violation {
	var refused *pipeline.RefusedError
	if !errors.As(err, &refused) {
		return nil
	}
	violations := make([]document.Violation, len(refused.Violations))
	for i, v := range refused.Violations {
		violations[i] = document.Violation{Path: v.Path, Reason: v.Reason}
	}
	return violations
}
