package server

import (
	"context"
	"maps"
	"slices"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/packs"
	"slipfit.example/server/pipeline"
)

// packService serves slipfit.v1.PackService.
type packService struct {
	v1.UnimplementedPackServiceServer
	pipeline   *pipeline.Pipeline
	supervisor *packs.Supervisor
}

// ListPacks tells which packs serve, how they are, and their rules' names: all of
// them, those too that take part only in checks that name them.
func (s *packService) ListPacks(context.Context, *v1.ListPacksRequest) (*v1.ListPacksResponse, error) {
	out := &v1.ListPacksResponse{Ruleset: s.pipeline.Ruleset()}
	described := s.pipeline.Described()
	for _, name := range slices.Sorted(maps.Keys(described)) {
		d := described[name]
		pack := &v1.Pack{
			Name: &name, Version: ptr(d.GetVersion()), Purpose: ptr(d.GetPurpose()),
			Needs: d.GetNeeds(), Provides: d.GetProvides(),
		}
		for _, r := range d.GetRules() {
			pack.Rules = append(pack.Rules, r.GetId())
		}
		if p := s.supervisor.Pack(name); p != nil {
			st := p.Status()
			pack.Serving, pack.Restarts = &st.Serving, ptr(uint32(st.Restarts))
			if st.LastError != nil {
				pack.LastError = ptr(st.LastError.Error())
			}
		}
		out.Packs = append(out.Packs, pack)
	}
	return out, nil
}

// DescribeRule explains one rule.
func (s *packService) DescribeRule(_ context.Context, request *v1.DescribeRuleRequest) (*v1.DescribeRuleResponse, error) {
	rule, err := s.pipeline.Rule(request.GetRule())
	if err != nil {
		st, detailErr := status.New(codes.NotFound, err.Error()).
			WithDetails(&errdetails.ErrorInfo{Reason: "NO_SUCH_RULE", Domain: document.Domain})
		if detailErr != nil {
			panic(detailErr) // a detail of a known type
		}
		return nil, st.Err()
	}
	return &v1.DescribeRuleResponse{Rule: rule}, nil
}
