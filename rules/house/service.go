package house

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"slices"
	"sync"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protowire"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/rules/kit"
)

// requestHouseRules is the field of slipfit.v1.CheckRequest that brings rules.
const requestHouseRules = 5

// keptBrought bounds how many sets of rules that requests brought are kept ready.
const keptBrought = 32

// Service serves house rules by slipfit.pack.v1: those that it was started with,
// and for a request that brings its own those instead.
type Service struct {
	packv1.UnimplementedPackServiceServer
	own   *kit.Evaluator
	rules int // of own, the last of which stands for what requests bring

	mu      sync.Mutex
	brought map[[sha256.Size]byte]*broughtRules
}

// broughtRules are the rules of one text, or why there are none.
type broughtRules struct {
	once      sync.Once
	evaluator *kit.Evaluator
	err       error
}

// NewService makes the service of rules that Load has loaded. Where requests may
// bring rules of their own, it asks for every fact that those could name.
func NewService(pack *kit.Pack, inline bool) (*Service, error) {
	if inline {
		needs := map[string]bool{}
		for name := range factContent {
			needs[name] = true
		}
		pack.Needs = sorted(needs)
	}
	own, err := kit.NewEvaluator(pack)
	if err != nil {
		return nil, err
	}
	return &Service{
		own: own, rules: len(pack.Rules), brought: map[[sha256.Size]byte]*broughtRules{},
	}, nil
}

// Describe tells what the pack is.
func (s *Service) Describe(_ context.Context, asked *packv1.DescribeRequest) (*packv1.DescribeResponse, error) {
	return kit.InProtocol(s.own.Describe(), asked), nil
}

// Evaluate answers batches until the host closes the stream. The memory of one batch's
// answer serves the next: the transport has encoded an answer when Send returns.
func (s *Service) Evaluate(stream grpc.BidiStreamingServer[packv1.EvaluateRequest, packv1.EvaluateResponse]) error {
	var memory []*kit.Outcome
	for {
		request, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		response := &packv1.EvaluateResponse{Batch: request.Batch}
		for i, task := range request.Tasks {
			if i == len(memory) {
				memory = append(memory, new(kit.Outcome))
			}
			response.Outcomes = append(response.Outcomes, s.answer(task, memory[i]))
		}
		if err := stream.Send(response); err != nil {
			return err
		}
	}
}

func (s *Service) answer(task *packv1.Task, out *kit.Outcome) *packv1.Outcome {
	facts := make([]kit.Fact, len(task.Facts))
	for i, f := range task.Facts {
		facts[i] = kit.Fact{Name: f.GetName(), Value: f.GetValue()}
	}
	if err := s.judge(task.GetCheck(), facts, out); err != nil {
		reason := err.Error()
		return &packv1.Outcome{Error: &reason}
	}
	return &packv1.Outcome{Findings: out.Findings, Verdict: &out.Verdict, Counts: out.Counts}
}

func (s *Service) judge(check []byte, facts []kit.Fact, out *kit.Outcome) error {
	text, brings := broughtText(check)
	if !brings {
		return s.own.Evaluate(check, facts, out)
	}
	evaluator, err := s.load(text)
	if err != nil {
		return err
	}
	if err := evaluator.Evaluate(check, facts, out); err != nil {
		return err
	}
	counts := make([]uint32, 4*s.rules)
	for i, n := range out.Counts {
		counts[4*(s.rules-1)+i%4] += n
	}
	out.Counts = counts
	return nil
}

// load makes the rules of a text ready once; the same text comes with many checks.
func (s *Service) load(text []byte) (*kit.Evaluator, error) {
	key := sha256.Sum256(text)
	s.mu.Lock()
	rules := s.brought[key]
	if rules == nil {
		if len(s.brought) >= keptBrought {
			clear(s.brought)
		}
		rules = new(broughtRules)
		s.brought[key] = rules
	}
	s.mu.Unlock()
	rules.once.Do(func() {
		pack, err := Load("house_rules", slices.Clone(text))
		if err == nil {
			rules.evaluator, err = kit.NewEvaluator(pack)
		}
		rules.err = err
	})
	if rules.err != nil {
		return nil, fmt.Errorf("the house rules of the request cannot be used: %w", rules.err)
	}
	return rules.evaluator, nil
}

// broughtText finds the rules that an encoded CheckRequest brings.
func broughtText(check []byte) (text []byte, brings bool) {
	for len(check) > 0 {
		number, kind, n := protowire.ConsumeTag(check)
		if n < 0 {
			return nil, false
		}
		m := protowire.ConsumeFieldValue(number, kind, check[n:])
		if m < 0 {
			return nil, false
		}
		if number == requestHouseRules && kind == protowire.BytesType {
			text, _ = protowire.ConsumeBytes(check[n:])
			brings = true
		}
		check = check[n+m:]
	}
	return text, brings
}
