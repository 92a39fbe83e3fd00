package server

import (
	"context"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/pipeline"
)

// packService serves slipfit.v1.PackService.
type packService struct {
	v1.UnimplementedPackServiceServer
	pipeline *pipeline.Pipeline
	shelf    *shelfKeeper
	stopping context.Context
}

// ListPacks tells which packs serve, how they are, and their rules' names: all of
// them, those too that take part only in checks that name them.
func (s *packService) ListPacks(context.Context, *v1.ListPacksRequest) (*v1.ListPacksResponse, error) {
	out := &v1.ListPacksResponse{Ruleset: s.pipeline.Ruleset()}
	states := s.pipeline.Packs()
	several := map[string]int{}
	for _, st := range states {
		several[st.Source.Name()]++
	}
	for _, st := range states {
		pack := describePack(st.Source.(packSource), st.Description)
		if several[st.Source.Name()] > 1 {
			pack.Chosen = &st.Chosen
		}
		out.Packs = append(out.Packs, pack)
	}
	out.Folder = s.shelf.message()
	if refused := s.shelf.state().refused; refused != nil {
		out.Refused = append(out.Refused, &v1.RefusedPack{Folder: ptr(s.shelf.folder.Path), Reason: ptr(refused.Error())})
	}
	return out, nil
}

// ReloadPacks looks at the pack folder now. Its error is that of what it did. Once
// begun it goes on though the asker leaves: half a change helps nobody.
func (s *packService) ReloadPacks(_ context.Context, _ *v1.ReloadPacksRequest) (*v1.ReloadPacksResponse, error) {
	if s.shelf == nil {
		return nil, refusal("NO_PACK_FOLDER", "this service has no pack folder; start it with one")
	}
	if err := s.shelf.activate(s.stopping); err != nil {
		if s.stopping.Err() != nil {
			return nil, errStopping
		}
		return nil, refusal("PACK_FOLDER_REFUSED", err.Error())
	}
	return &v1.ReloadPacksResponse{Folder: s.shelf.message()}, nil
}

// refusal says that the service is in no state to do what is asked.
func refusal(reason, words string) error {
	st, err := status.New(codes.FailedPrecondition, words).WithDetails(&errdetails.ErrorInfo{Reason: reason, Domain: document.Domain})
	if err != nil {
		panic(err) // a detail of a known type
	}
	return st.Err()
}

// describePack is what a pack says of itself, and how it is.
func describePack(source packSource, d *packv1.DescribeResponse) *v1.Pack {
	st := source.pack.Status()
	pack := &v1.Pack{
		Name: ptr(source.Name()), Version: ptr(d.GetVersion()), Purpose: ptr(d.GetPurpose()),
		Needs: d.GetNeeds(), Provides: d.GetProvides(),
		Serving: &st.Serving, Restarts: ptr(uint32(st.Restarts)),
	}
	for _, r := range d.GetRules() {
		pack.Rules = append(pack.Rules, r.GetId())
	}
	if source.origin != "" {
		pack.Origin = &source.origin
	}
	if source.unsigned {
		pack.Unsigned = &source.unsigned
	}
	if st.LastError != nil {
		pack.LastError = ptr(st.LastError.Error())
	}
	return pack
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
