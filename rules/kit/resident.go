package kit

import (
	"context"
	"sync/atomic"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// Telling is which findings an outcome tells. Its verdict and its counts are those of
// all findings, whatever it tells.
type Telling int

// What is told.
const (
	// TellAll tells every finding.
	TellAll Telling = iota
	// TellFailing leaves out what passes, which is most of an answer.
	TellFailing
	// TellNothing tells no finding.
	TellNothing
)

func (t Telling) tells(v Verdict) bool { return t == TellAll || t == TellFailing && v != Pass }

// Resident is a pack for a host in its own process: it answers by slipfit.pack.v1
// without a stream. It is safe for use by several goroutines.
type Resident struct {
	service   *Service
	evaluator *Evaluator
	telling   Telling
	room      atomic.Int64 // bytes that findings are likely to take
}

// NewResident makes a resident of one pack.
func NewResident(e *Evaluator, telling Telling) *Resident {
	return &Resident{service: NewService(e), evaluator: e, telling: telling}
}

// Describe tells what the pack is.
func (r *Resident) Describe(ctx context.Context, asked *packv1.DescribeRequest) (*packv1.DescribeResponse, error) {
	return r.service.Describe(ctx, asked)
}

// Answer answers one batch. The answer is the host's to keep.
func (r *Resident) Answer(request *packv1.EvaluateRequest) *packv1.EvaluateResponse {
	if request.Line != nil {
		return &packv1.EvaluateResponse{Batch: request.Batch, Outcomes: r.evaluator.Brief(request.Line, request.Tasks)}
	}
	response := &packv1.EvaluateResponse{Batch: request.Batch}
	for _, task := range request.Tasks {
		response.Outcomes = append(response.Outcomes, r.answer(task))
	}
	return response
}

func (r *Resident) answer(task *packv1.Task) *packv1.Outcome {
	facts := make([]Fact, len(task.Facts))
	for i, f := range task.Facts {
		facts[i] = Fact{f.GetName(), f.GetValue()}
	}
	o := Outcome{Findings: make([]byte, 0, r.room.Load())}
	if err := r.evaluator.evaluate(task.GetCheck(), facts, &o, r.telling); err != nil {
		reason := err.Error()
		return &packv1.Outcome{Error: &reason}
	}
	if size := int64(len(o.Findings)); size > r.room.Load() {
		r.room.Store(min(size+size/8, greatestRoom))
	}
	out := &packv1.Outcome{Findings: o.Findings, Verdict: &o.Verdict, Counts: o.Counts}
	for i := range o.Facts {
		out.Facts = append(out.Facts, &packv1.Fact{Name: &o.Facts[i].Name, Value: o.Facts[i].Value})
	}
	return out
}

// greatestRoom bounds what is set aside for findings before they are known.
const greatestRoom = 64 << 10
