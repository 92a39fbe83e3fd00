package server

import (
	"context"
	"errors"
	"io"
	"slices"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/trial"
)

// Field numbers of slipfit.v1.RunTrialRequest.
const (
	trialPlan  = 1
	trialBuild = 2
)

// trials serves slipfit.v1.TrialService. Builds stay encoded from the caller to the
// packs, so its handler stands here instead of the generated one.
type trials struct {
	validator *document.Validator
	pipeline  *pipeline.Pipeline
	gate      *gate
	tenants   *tenants
	stopping  context.Context
}

// trialServiceDesc is the generated description with a handler for raw messages.
func trialServiceDesc() *grpc.ServiceDesc {
	return &grpc.ServiceDesc{
		ServiceName: v1.TrialService_ServiceDesc.ServiceName,
		HandlerType: (*any)(nil),
		Metadata:    v1.TrialService_ServiceDesc.Metadata,
		Streams: []grpc.StreamDesc{{
			StreamName: "RunTrial", ServerStreams: true, ClientStreams: true,
			Handler: func(srv any, stream grpc.ServerStream) error { return srv.(*trials).run(stream) },
		}},
	}
}

// run judges a corpus under two rulesets.
func (s *trials) run(stream grpc.ServerStream) error {
	plan, err := receivePlan(stream)
	if err != nil {
		return err
	}
	if err := s.complete(plan); err != nil {
		return err
	}
	lower, err := s.tenants.of(stream.Context())
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancelCause(stream.Context())
	defer cancel(nil)
	defer context.AfterFunc(s.stopping, func() { cancel(errStopping) })()
	bench := trial.Bench{
		Judge: func(ctx context.Context, check []byte) ([]byte, error) {
			return s.pipeline.CheckOver(ctx, lower, check)
		},
		Validate: s.validate,
		Refusal:  refusalOfBuild,
		Enter: func(ctx context.Context) (func(), error) {
			if err := s.gate.wait(ctx); err != nil {
				return nil, err
			}
			return s.gate.leaveStream, nil
		},
	}
	err = bench.Run(ctx, plan, builds(ctx, stream), func(r *v1.RunTrialResponse) error { return stream.SendMsg(r) })
	if _, known := status.FromError(err); known {
		return err
	}
	return status.FromContextError(err).Err()
}

// complete adds the packs that a side does not name, and refuses a plan that
// cannot be followed before a build is judged by it.
func (s *trials) complete(plan *v1.TrialPlan) error {
	for name, side := range map[string]*v1.TrialRuleset{"baseline": plan.GetBaseline(), "candidate": plan.GetCandidate()} {
		if side == nil {
			return status.Errorf(codes.InvalidArgument, "the plan has no %s; an empty one stands for what the service answers by now", name)
		}
		if len(side.Packs) > 0 {
			for _, p := range s.pipeline.Ruleset().GetPacks() {
				if !slices.ContainsFunc(side.Packs, func(pin *v1.PackPin) bool { return pin.GetName() == p.GetName() }) {
					side.Packs = append(side.Packs, &v1.PackPin{Name: proto.String(p.GetName())})
				}
			}
		}
		check, err := proto.Marshal(&v1.CheckRequest{Policy: side.Policy, Packs: side.Packs, HouseRules: side.HouseRules})
		if err == nil {
			err = s.pipeline.Vet(check)
		}
		if violations := violationsOf(err); violations != nil {
			for i := range violations {
				violations[i].Path = name + "." + violations[i].Path
			}
			return document.Status(violations).Err()
		}
		if err != nil {
			return status.Error(codes.InvalidArgument, "the "+name+" cannot be read: "+err.Error())
		}
	}
	return nil
}

func (s *trials) validate(check []byte) *v1.Refusal {
	if violations := s.validator.Check(check); len(violations) > 0 {
		return document.Refusal(violations)
	}
	return nil
}

// refusalOfBuild turns what is wrong with one build into its refusal; nil for what
// ends the trial.
func refusalOfBuild(err error) *v1.Refusal {
	if violations := violationsOf(err); violations != nil {
		return document.Refusal(violations)
	}
	return nil
}

// receivePlan reads the first message of a trial.
func receivePlan(stream grpc.ServerStream) (*v1.TrialPlan, error) {
	first := new(raw)
	err := stream.RecvMsg(first)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	content, ok := trialContent(first.bytes, trialPlan)
	if err != nil || !ok {
		return nil, status.Error(codes.InvalidArgument, "a trial begins with its plan; send the two rulesets first")
	}
	plan := new(v1.TrialPlan)
	if err := proto.Unmarshal(content, plan); err != nil {
		return nil, status.Error(codes.InvalidArgument, "the plan cannot be read: "+err.Error())
	}
	return plan, nil
}

// trialContent returns the one field that a RunTrialRequest is to have.
func trialContent(request []byte, want protowire.Number) ([]byte, bool) {
	number, kind, n := protowire.ConsumeTag(request)
	if n < 0 || number != want || kind != protowire.BytesType {
		return nil, false
	}
	content, m := protowire.ConsumeBytes(request[n:])
	return content, m >= 0 && n+m == len(request)
}

// received is what came of reading once.
type received struct {
	build trial.Build
	err   error
}

// builds returns what reads one build after the other, and ends with ctx although
// a read does not.
func builds(ctx context.Context, stream grpc.ServerStream) func() (trial.Build, error) {
	incoming := make(chan received)
	go func() {
		for {
			build, err := receiveBuild(stream)
			select {
			case incoming <- received{build, err}:
			case <-ctx.Done():
				return
			}
			if err != nil {
				return
			}
		}
	}()
	return func() (trial.Build, error) {
		select {
		case r := <-incoming:
			return r.build, r.err
		case <-ctx.Done():
			return trial.Build{}, context.Cause(ctx)
		}
	}
}

func receiveBuild(stream grpc.ServerStream) (trial.Build, error) {
	request := new(raw)
	if err := stream.RecvMsg(request); err != nil {
		return trial.Build{}, err
	}
	content, ok := trialContent(request.bytes, trialBuild)
	if !ok {
		return trial.Build{}, status.Error(codes.InvalidArgument, "after its plan a trial takes builds; send one in each message, or close the sending side")
	}
	build, err := trial.ReadBuild(content)
	if err != nil {
		return trial.Build{}, status.Error(codes.InvalidArgument, "a build cannot be read: "+err.Error())
	}
	return build, nil
}
