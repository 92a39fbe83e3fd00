package server

import (
	"context"
	"errors"
	"io"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
	"slipfit.example/server/shortlist"
)

// Field numbers of slipfit.v1.MatrixRequest.
const (
	matrixColumn = 2
	matrixRow    = 3
)

// mostColumns bounds the columns of a matrix, which are kept as long as it lasts.
const mostColumns = 10_000

// cellsTogether is how many cells one message has. A row with more columns comes in
// several.
const cellsTogether = 256

// streaming ties the life of a stream to that of the service.
func (s *shortlists) streaming(stream grpc.ServerStream) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(stream.Context())
	stop := context.AfterFunc(s.stopping, func() { cancel(errStopping) })
	return ctx, func() {
		stop()
		cancel(nil)
	}
}

// enter waits for a place among the checks that are on their way.
func (s *shortlists) enter(ctx context.Context) (func(), error) {
	if err := s.gate.wait(ctx); err != nil {
		return nil, err
	}
	return s.gate.leaveStream, nil
}

// content reads the next message of a stream of messages with one field each, although
// the stream's own end may come earlier than a message.
type content struct {
	number protowire.Number
	value  []byte
	err    error
}

// incoming gives one message after the other: the number of its field and what it holds.
// It ends with the context although no message comes.
type incoming func(context.Context) (protowire.Number, []byte, error)

// readAhead is how many messages are read before anybody asks for them, so that reading
// and judging need not wait for each other at every one.
const readAhead = 16

// listen reads one message after the other, and ends with ctx although a read does not.
func listen(ctx context.Context, stream grpc.ServerStream) incoming {
	contents := make(chan content, readAhead)
	go func() {
		for {
			c := receive(stream)
			select {
			case contents <- c:
			case <-ctx.Done():
				return
			}
			if c.err != nil {
				return
			}
		}
	}()
	return func(ctx context.Context) (protowire.Number, []byte, error) {
		select {
		case c := <-contents:
			return c.number, c.value, c.err
		case <-ctx.Done():
			return 0, nil, context.Cause(ctx)
		}
	}
}

func receive(stream grpc.ServerStream) (c content) {
	message := new(raw)
	if c.err = stream.RecvMsg(message); c.err != nil {
		return c
	}
	found := 0
	c.err = fields(message.bytes, func(number protowire.Number, value []byte) error {
		found++
		c.number, c.value = number, value
		return nil
	})
	if c.err != nil || found != 1 {
		c.err = status.Error(codes.InvalidArgument, "each message of the stream holds one thing: the plan first, then a part in each")
	}
	return c
}

// first reads the plan.
func first(ctx context.Context, next incoming, plan proto.Message) error {
	number, value, err := next(ctx)
	switch {
	case errors.Is(err, io.EOF), err == nil && number != shortlistPlan:
		return status.Error(codes.InvalidArgument, "the stream begins with its plan; send it first")
	case err != nil:
		return err
	}
	if err := (proto.UnmarshalOptions{RecursionLimit: document.MaxNesting}).Unmarshal(value, plan); err != nil {
		return status.Error(codes.InvalidArgument, "the plan cannot be read: "+err.Error())
	}
	return nil
}

// many answers a stream of candidates.
func (s *shortlists) many(stream grpc.ServerStream) error {
	lower, err := s.tenants.of(stream.Context())
	if err != nil {
		return err
	}
	ctx, end := s.streaming(stream)
	defer end()
	next, plan := listen(ctx, stream), new(v1.ShortlistPlan)
	if err := first(ctx, next, plan); err != nil {
		return statusOfShortlist(err)
	}
	o, err := s.open(ctx, lower, plan, "plan.")
	if err != nil {
		return err
	}
	defer o.close()
	o.list.Enter = s.enter
	if plan.GetRejected() {
		o.list.Decline = func(c *v1.Candidate) error {
			return stream.SendMsg(&v1.ShortlistManyResponse{Content: &v1.ShortlistManyResponse_Candidate{Candidate: c}})
		}
	}
	if err := s.judgeStream(ctx, o, next); err != nil {
		return statusOfShortlist(err)
	}
	for _, c := range o.fitting() {
		if err := stream.SendMsg(&v1.ShortlistManyResponse{Content: &v1.ShortlistManyResponse_Candidate{Candidate: c}}); err != nil {
			return err
		}
	}
	summary := o.list.Summary(o.baseline.Ruleset())
	return stream.SendMsg(&v1.ShortlistManyResponse{Content: &v1.ShortlistManyResponse_Summary{Summary: summary}})
}

// judgeStream judges what comes, or the catalogue where nothing does.
func (s *shortlists) judgeStream(ctx context.Context, o *order, next incoming) error {
	place := uint64(0)
	err := o.list.Judge(ctx, func(ctx context.Context) (shortlist.Entry, error) {
		number, value, err := next(ctx)
		if err == nil && number != shortlistCandidate {
			err = status.Error(codes.InvalidArgument, "after its plan a shortlist takes candidates; send one in each message, or close the sending side")
		}
		if err != nil {
			return shortlist.Entry{}, err
		}
		place++
		return o.read(place-1, value), nil
	})
	if err != nil || place > 0 {
		return err
	}
	mounted, err := s.mounted(o)
	if err != nil {
		return err
	}
	return o.list.Judge(ctx, mounted)
}

// matrix judges rows of parts with columns of parts.
func (s *shortlists) matrix(stream grpc.ServerStream) error {
	lower, err := s.tenants.of(stream.Context())
	if err != nil {
		return err
	}
	ctx, end := s.streaming(stream)
	defer end()
	next, plan := listen(ctx, stream), new(v1.MatrixPlan)
	if err := first(ctx, next, plan); err != nil {
		return statusOfShortlist(err)
	}
	if violations := vetPlan(plan, "plan."); len(violations) > 0 {
		return document.Status(violations).Err()
	}
	if plan.GetRowItem() == plan.GetColumnItem() {
		return document.Status([]document.Violation{{Path: "plan.column_item", Reason: "rows and columns take the place of one and the same item; name two"}}).Err()
	}
	request := &v1.CheckRequest{Build: plan.Build, Policy: plan.Policy, Packs: plan.Packs}
	b, places, err := s.clear(ctx, lower, request, "plan.", plan.GetRowItem(), plan.GetColumnItem())
	if err != nil {
		return err
	}
	defer b.Close()
	t := &table{service: s, stream: stream, row: places[0], column: places[1], baseline: b}
	if err := t.run(ctx, next); err != nil {
		return statusOfShortlist(err)
	}
	return nil
}
