package kit

import (
	"context"
	"errors"
	"io"

	"google.golang.org/grpc"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// Service serves an evaluator by slipfit.pack.v1.
type Service struct {
	packv1.UnimplementedPackServiceServer
	evaluator *Evaluator
}

// NewService returns the service of one pack.
func NewService(e *Evaluator) *Service { return &Service{evaluator: e} }

// Describe tells what the pack is, in the version of the protocol that the host
// speaks.
func (s *Service) Describe(_ context.Context, asked *packv1.DescribeRequest) (*packv1.DescribeResponse, error) {
	d := s.evaluator.Describe()
	d.Capabilities = []string{plug.Candidates}
	if s.evaluator.pack.looksAhead() {
		d.Capabilities = append(d.Capabilities, plug.Alone)
	}
	return InProtocol(d, asked), nil
}

// InProtocol turns what a pack says of itself into the version of the protocol in
// which it was asked.
func InProtocol(d *packv1.DescribeResponse, asked *packv1.DescribeRequest) *packv1.DescribeResponse {
	version := plug.Settle(asked.Protocol)
	d.Protocol = &version
	if version < 2 {
		d.Capabilities = nil
	}
	return d
}

// Evaluate answers batches until the host closes the stream. The memory of one
// batch's answer serves the next: the transport has encoded an answer when Send
// returns.
func (s *Service) Evaluate(stream grpc.BidiStreamingServer[packv1.EvaluateRequest, packv1.EvaluateResponse]) error {
	var reply batchReply
	for {
		request, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		response := reply.answer(s.evaluator, request)
		if err := stream.Send(response); err != nil {
			return err
		}
	}
}

// batchReply is an answer whose memory is used again.
type batchReply struct {
	response packv1.EvaluateResponse
	outcomes []packv1.Outcome
	memory   []Outcome
	verdicts []Verdict
	facts    []Fact
}

func (r *batchReply) answer(e *Evaluator, request *packv1.EvaluateRequest) *packv1.EvaluateResponse {
	if request.Line != nil {
		return &packv1.EvaluateResponse{Batch: request.Batch, Outcomes: e.Brief(request.Line, request.Tasks)}
	}
	n := len(request.Tasks)
	for len(r.memory) < n {
		r.memory = append(r.memory, Outcome{})
	}
	r.outcomes = make([]packv1.Outcome, n)
	r.verdicts = make([]Verdict, n)
	r.response.Reset()
	r.response.Batch = request.Batch
	for i, task := range request.Tasks {
		r.facts = r.facts[:0]
		for _, f := range task.Facts {
			r.facts = append(r.facts, Fact{f.GetName(), f.GetValue()})
		}
		out := &r.outcomes[i]
		memory := &r.memory[i]
		if err := e.Evaluate(task.GetCheck(), r.facts, memory); err != nil {
			reason := err.Error()
			out.Error = &reason
		} else {
			r.verdicts[i] = memory.Verdict
			out.Findings, out.Verdict, out.Counts = memory.Findings, &r.verdicts[i], memory.Counts
			for _, f := range memory.Facts {
				out.Facts = append(out.Facts, &packv1.Fact{Name: &f.Name, Value: f.Value})
			}
		}
		r.response.Outcomes = append(r.response.Outcomes, out)
	}
	return &r.response
}
