package slipfit

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"

	"google.golang.org/grpc"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Reply is the answer to one question of a stream, or why there is none.
type Reply struct {
	// Tag is the question's.
	Tag string
	// Answer is the answer.
	Answer *v1.CheckResponse
	// Refusal says why there is none.
	Refusal *v1.Refusal
}

// CheckMany answers questions by their tags on one stream, as they are ready. Questions
// are taken while answers come: a loop that does not go on stops the taking. The error,
// after which nothing comes, says why the stream broke; what has no answer then can be
// asked again. Leaving the loop ends the stream, and waits for questions to give the one
// that it is at.
func (c *Client) CheckMany(ctx context.Context, questions iter.Seq2[string, *v1.CheckRequest]) iter.Seq2[Reply, error] {
	return func(yield func(Reply, error) bool) {
		open := func(ctx context.Context) (grpc.BidiStreamingClient[v1.CheckManyRequest, v1.CheckManyResponse], error) {
			return c.check.CheckMany(ctx)
		}
		sends := func(send func(*v1.CheckManyRequest) error) error {
			for tag, check := range questions {
				if err := send(&v1.CheckManyRequest{Tag: &tag, Check: check}); err != nil {
					return err
				}
			}
			return nil
		}
		for reply, err := range converse(c.as(ctx), open, sends) {
			if err != nil {
				yield(Reply{}, fmt.Errorf("the stream of checks broke: %w", err))
				return
			}
			if !yield(Reply{reply.GetTag(), reply.GetCheck(), reply.GetRefusal()}, nil) {
				return
			}
		}
	}
}

// ShortlistMany judges any number of candidates, or the service's catalogue where there
// are none. Those that do not fit come as they are decided if the plan asks for them,
// then those that fit, best first, then the summary.
func (c *Client) ShortlistMany(ctx context.Context, plan *v1.ShortlistPlan, candidates iter.Seq[*v1.Part]) iter.Seq2[*v1.ShortlistManyResponse, error] {
	return func(yield func(*v1.ShortlistManyResponse, error) bool) {
		open := func(ctx context.Context) (grpc.BidiStreamingClient[v1.ShortlistManyRequest, v1.ShortlistManyResponse], error) {
			return c.short.ShortlistMany(ctx)
		}
		sends := func(send func(*v1.ShortlistManyRequest) error) error {
			if err := send(&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Plan{Plan: plan}}); err != nil {
				return err
			}
			for part := range candidates {
				if err := send(&v1.ShortlistManyRequest{Content: &v1.ShortlistManyRequest_Candidate{Candidate: part}}); err != nil {
					return err
				}
			}
			return nil
		}
		for reply, err := range converse(c.as(ctx), open, sends) {
			if err != nil {
				yield(nil, fmt.Errorf("the shortlist broke off: %w", err))
				return
			}
			if !yield(reply, nil) {
				return
			}
		}
	}
}

// converse sends on a stream in a goroutine of its own and gives what comes. The
// goroutine has ended when the loop has.
func converse[Q, A any](
	ctx context.Context,
	open func(context.Context) (grpc.BidiStreamingClient[Q, A], error),
	sends func(func(*Q) error) error,
) iter.Seq2[*A, error] {
	return func(yield func(*A, error) bool) {
		ctx, cancel := context.WithCancel(ctx)
		stream, err := open(ctx)
		if err != nil {
			cancel()
			yield(nil, err)
			return
		}
		sent := make(chan struct{})
		defer func() {
			cancel()
			<-sent
		}()
		go func() {
			defer close(sent)
			// A stream that is broken says why where it is read.
			if sends(stream.Send) == nil {
				_ = stream.CloseSend()
			}
		}()
		for {
			answer, err := stream.Recv()
			if errors.Is(err, io.EOF) {
				return
			}
			if !yield(answer, err) || err != nil {
				return
			}
		}
	}
}
