package server

import (
	"context"
	"errors"
	"io"
	"slices"
	"strconv"

	"buf.build/go/protovalidate"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/catalogue"
	"slipfit.example/server/document"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/policy"
	"slipfit.example/server/shortlist"
)

// Field numbers of slipfit.v1.ShortlistRequest and ShortlistManyRequest.
const (
	shortlistPlan      = 1
	shortlistCandidate = 2
)

// Limits of one answer that is no stream.
const (
	answerCandidates = 1000 // that are sent along
	answerDeclined   = 1000 // that are answered with
)

// usualMost is how many of those that fit are answered with unless the plan says.
const usualMost = 20

// shortlists serves slipfit.v1.ShortlistService. Candidates stay encoded from the
// caller to the packs, so its handlers stand here instead of the generated ones.
type shortlists struct {
	validator *document.Validator
	pipeline  *pipeline.Pipeline
	gate      *gate
	tenants   *tenants
	catalogue *catalogue.Catalogue // nil: none is mounted
	stopping  context.Context
}

// shortlistServiceDesc is the generated description with handlers for raw messages.
func shortlistServiceDesc() *grpc.ServiceDesc {
	return &grpc.ServiceDesc{
		ServiceName: v1.ShortlistService_ServiceDesc.ServiceName,
		HandlerType: (*any)(nil),
		Metadata:    v1.ShortlistService_ServiceDesc.Metadata,
		Methods:     []grpc.MethodDesc{{MethodName: "Shortlist", Handler: handleShortlist}},
		Streams: []grpc.StreamDesc{
			{
				StreamName: "ShortlistMany", ServerStreams: true, ClientStreams: true,
				Handler: func(srv any, stream grpc.ServerStream) error { return srv.(*shortlists).many(stream) },
			},
			{
				StreamName: "Matrix", ServerStreams: true, ClientStreams: true,
				Handler: func(srv any, stream grpc.ServerStream) error { return srv.(*shortlists).matrix(stream) },
			},
		},
	}
}

func handleShortlist(srv any, ctx context.Context, decode func(any) error, interceptor grpc.UnaryServerInterceptor) (any, error) {
	request := new(raw)
	if err := decode(request); err != nil {
		return nil, err
	}
	s := srv.(*shortlists)
	if interceptor == nil {
		return s.one(ctx, request)
	}
	info := &grpc.UnaryServerInfo{Server: srv, FullMethod: v1.ShortlistService_Shortlist_FullMethodName}
	return interceptor(ctx, request, info, func(ctx context.Context, request any) (any, error) {
		return s.one(ctx, request.(*raw))
	})
}

// one answers a request that brings everything along.
func (s *shortlists) one(ctx context.Context, request *raw) (*v1.ShortlistResponse, error) {
	lower, err := s.tenants.of(ctx)
	if err != nil {
		return nil, err
	}
	if !s.gate.enter() {
		return nil, s.gate.refusal()
	}
	defer s.gate.leave()
	plan, candidates, err := openShortlist(request.bytes)
	if err != nil {
		return nil, err
	}
	o, err := s.open(ctx, lower, plan, "plan.")
	if err != nil {
		return nil, err
	}
	defer o.close()
	response := &v1.ShortlistResponse{}
	if plan.GetRejected() {
		o.list.Decline = func(c *v1.Candidate) error {
			if len(response.Rejected) < answerDeclined {
				response.Rejected = append(response.Rejected, c)
			}
			return nil
		}
	}
	next := s.sent(candidates, o)
	if len(candidates) == 0 {
		if next, err = s.mounted(o); err != nil {
			return nil, err
		}
	}
	if err := o.list.Judge(ctx, next); err != nil {
		return nil, statusOfShortlist(err)
	}
	slices.SortFunc(response.Rejected, func(a, b *v1.Candidate) int { return int(a.GetPlace()) - int(b.GetPlace()) })
	response.Fitting, response.Summary = o.fitting(), o.list.Summary(o.baseline.Ruleset())
	return response, nil
}

// openShortlist takes a request apart; candidates stay as they are.
func openShortlist(request []byte) (*v1.ShortlistPlan, [][]byte, error) {
	plan := new(v1.ShortlistPlan)
	var candidates [][]byte
	planned := false
	err := fields(request, func(number protowire.Number, value []byte) error {
		switch number {
		case shortlistPlan:
			planned = true
			return proto.UnmarshalOptions{Merge: true, RecursionLimit: document.MaxNesting}.Unmarshal(value, plan)
		case shortlistCandidate:
			if len(candidates) == answerCandidates {
				return errors.New("a request may bring " + strconv.Itoa(answerCandidates) + " candidates; send more by ShortlistMany")
			}
			candidates = append(candidates, value)
			return nil
		}
		return errors.New("it has an unknown field " + strconv.Itoa(int(number)))
	})
	if err == nil && !planned {
		err = errors.New("it has no plan; say the build and the item that is sought")
	}
	if err != nil {
		return nil, nil, status.Error(codes.InvalidArgument, "the request for a shortlist cannot be followed: "+err.Error())
	}
	return plan, candidates, nil
}

// fields calls f for each field of an encoded message whose fields are messages.
func fields(b []byte, f func(protowire.Number, []byte) error) error {
	for len(b) > 0 {
		number, kind, n := protowire.ConsumeTag(b)
		if n < 0 || kind != protowire.BytesType {
			return errors.New("it is not encoded as the contract says")
		}
		value, m := protowire.ConsumeBytes(b[n:])
		if m < 0 {
			return errors.New("it ends in the middle")
		}
		if err := f(number, value); err != nil {
			return err
		}
		b = b[n+m:]
	}
	return nil
}

// order is a shortlist that is being worked at.
type order struct {
	list      *shortlist.List
	baseline  *pipeline.Baseline
	kinds     []string // that the plan names
	sought    string   // kind of the part that the build holds in the item's place
	validator *document.Validator
	parts     map[uint64][]byte // of the catalogue, by place; nil: candidates were sent
}

// open holds a plan against the contract and takes its build through the packs.
func (s *shortlists) open(ctx context.Context, lower policy.Values, plan *v1.ShortlistPlan, at string) (*order, error) {
	if violations := vetPlan(plan, at); len(violations) > 0 {
		return nil, document.Status(violations).Err()
	}
	for i, kind := range plan.Kinds {
		if !shortlist.IsKind(kind) {
			return nil, document.Status([]document.Violation{{
				Path: at + "kinds[" + strconv.Itoa(i) + "]", Reason: strconv.Quote(kind) + " is no kind of part; a kind is named as the field of a part, such as air_cooler",
			}}).Err()
		}
	}
	request := &v1.CheckRequest{Build: plan.Build, Policy: plan.Policy, Packs: plan.Packs}
	b, places, err := s.clear(ctx, lower, request, at, plan.GetItem())
	if err != nil {
		return nil, err
	}
	slate, err := places[0].Slate(b)
	if err != nil {
		b.Close()
		return nil, statusOfShortlist(err)
	}
	if plan.GetOrder() == v1.ShortlistOrder_SHORTLIST_ORDER_SOUND && !b.Forecasts() {
		b.Close()
		return nil, document.Status([]document.Violation{{Path: at + "order", Reason: "no pack that is asked forecasts sound; ask the pack thermal too, or choose another order"}}).Err()
	}
	most := usualMost
	if plan.Most != nil {
		most = int(plan.GetMost())
	}
	return &order{
		list: &shortlist.List{Slate: slate, Order: plan.GetOrder(), Most: most}, baseline: b,
		kinds: plan.Kinds, sought: places[0].Kind, validator: s.validator,
	}, nil
}

func vetPlan(plan proto.Message, at string) (out []document.Violation) {
	var invalid *protovalidate.ValidationError
	if err := protovalidate.Validate(plan); errors.As(err, &invalid) {
		for _, v := range invalid.Violations {
			out = append(out, document.Violation{Path: at + protovalidate.FieldPathString(v.Proto.GetField()), Reason: v.Proto.GetMessage()})
		}
	} else if err != nil {
		out = append(out, document.Violation{Path: at, Reason: "the plan could not be validated: " + err.Error()})
	}
	return out
}

// clear empties the items that are sought, and takes the rest through the packs.
func (s *shortlists) clear(ctx context.Context, lower policy.Values, request *v1.CheckRequest, at string, items ...string) (*pipeline.Baseline, []shortlist.Place, error) {
	cleared, places := shortlist.Clear(request, items...)
	if violations := shortlist.Vet(s.validator, cleared); len(violations) > 0 {
		return nil, nil, document.Status(below(at, violations)).Err()
	}
	b, err := shortlist.Open(ctx, s.pipeline, lower, places...)
	if violations := violationsOf(err); violations != nil {
		return nil, nil, document.Status(below(at, violations)).Err()
	}
	if err != nil {
		return nil, nil, statusOfShortlist(err)
	}
	return b, places, nil
}

// below puts violations of what a plan holds under the plan.
func below(at string, violations []document.Violation) []document.Violation {
	out := slices.Clone(violations)
	for i := range out {
		out[i].Path = at + out[i].Path
	}
	return out
}

func (o *order) close() { o.baseline.Close() }

// sent are candidates that came with the request.
func (s *shortlists) sent(parts [][]byte, o *order) shortlist.Next {
	place := 0
	return func(context.Context) (shortlist.Entry, error) {
		if place == len(parts) {
			return shortlist.Entry{}, io.EOF
		}
		e := o.read(uint64(place), parts[place])
		place++
		return e, nil
	}
}

// read holds one candidate against the contract and the plan.
func (o *order) read(place uint64, part []byte) shortlist.Entry {
	e := shortlist.Read(o.validator, place, part)
	if e.Refusal == nil && len(o.kinds) > 0 && !slices.Contains(o.kinds, e.Kind) {
		e.Refusal = document.Refusal([]document.Violation{{Path: e.Kind, Reason: "the plan seeks other kinds of part; leave this one out, or name its kind in the plan"}})
	}
	return e
}

// mounted are the catalogue's candidates.
func (s *shortlists) mounted(o *order) (shortlist.Next, error) {
	if s.catalogue == nil {
		return nil, status.Error(codes.FailedPrecondition, "this service keeps no catalogue; send candidates, or ask its keeper to mount one")
	}
	kinds := o.kinds
	if len(kinds) == 0 && o.sought != "" {
		kinds = []string{o.sought}
	}
	if len(kinds) == 0 {
		return nil, document.Status([]document.Violation{{Path: "plan.kinds", Reason: "the build does not hold the item, so that its kind is not known; name the kinds of part that are sought, such as air_cooler"}}).Err()
	}
	entries := s.catalogue.OfKinds(kinds)
	o.parts = map[uint64][]byte{}
	next := 0
	return func(context.Context) (shortlist.Entry, error) {
		if next == len(entries) {
			return shortlist.Entry{}, io.EOF
		}
		e := entries[next]
		next++
		o.parts[e.Place] = e.Part
		return e, nil
	}, nil
}

// fitting are those that fit, with their parts where the caller does not have them.
func (o *order) fitting() []*v1.Candidate {
	out := o.list.Fitting()
	if o.parts == nil {
		return out
	}
	for _, c := range out {
		part := new(v1.Part)
		if part.UnmarshalVT(o.parts[c.GetPlace()]) == nil {
			c.Part = part
		}
	}
	return out
}

// statusOfShortlist turns what ends a shortlist into a status.
func statusOfShortlist(err error) error {
	if _, known := status.FromError(err); known {
		return err
	}
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
		return status.FromContextError(err).Err()
	}
	return status.Error(codes.Internal, "the candidates could not be taken through the packs: "+err.Error())
}
