package trial

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"

	v1 "slipfit.example/proto/slipfit/v1"
)

// Run judges builds under both rulesets of a plan, tells each difference as it
// comes, and returns the summary. Tags must be unique for the differences to be
// told apart.
func Run(ctx context.Context, client v1.TrialServiceClient, plan *v1.TrialPlan, builds iter.Seq[*v1.TrialBuild], tell func(*v1.BuildDifference) error) (*v1.TrialSummary, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stream, err := client.RunTrial(ctx)
	if err != nil {
		return nil, err
	}
	go send(stream, plan, builds)
	var summary *v1.TrialSummary
	for {
		answer, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if d := answer.GetDifference(); d != nil {
			if err := tell(d); err != nil {
				return nil, err
			}
		}
		if s := answer.GetSummary(); s != nil {
			summary = s
		}
	}
	if summary == nil {
		return nil, fmt.Errorf("the service ended the trial without a summary; ask a newer service")
	}
	return summary, nil
}

// send sends the plan and the builds. What goes wrong is told by Recv.
func send(stream v1.TrialService_RunTrialClient, plan *v1.TrialPlan, builds iter.Seq[*v1.TrialBuild]) {
	defer func() { _ = stream.CloseSend() }()
	if stream.Send(&v1.RunTrialRequest{Content: &v1.RunTrialRequest_Plan{Plan: plan}}) != nil {
		return
	}
	for b := range builds {
		if stream.Send(&v1.RunTrialRequest{Content: &v1.RunTrialRequest_Build{Build: b}}) != nil {
			return
		}
	}
}
