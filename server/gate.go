package server

import (
	"context"
	"sync/atomic"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"

	"slipfit.example/server/document"
)

// gate bounds how many checks are on their way at once. What comes beyond is
// turned away at once and cheaply, so that what is inside is still answered in
// time. Streams, which wait for a place, may have half of it: else a few of them
// would take every place that gets free, and single checks would never come in.
type gate struct {
	room    chan struct{}
	streams chan struct{}
	shed    atomic.Uint64
}

func newGate(checks int) *gate {
	return &gate{room: make(chan struct{}, checks), streams: make(chan struct{}, max(1, checks/2))}
}

// enter takes a place, or reports that there is none.
func (g *gate) enter() bool {
	select {
	case g.room <- struct{}{}:
		return true
	default:
		g.shed.Add(1)
		return false
	}
}

// wait takes a place as soon as there is one. A stream waits rather than being
// turned away: not reading on is how it slows its client down.
func (g *gate) wait(ctx context.Context) error {
	select {
	case g.streams <- struct{}{}:
	case <-ctx.Done():
		return context.Cause(ctx)
	}
	select {
	case g.room <- struct{}{}:
		return nil
	case <-ctx.Done():
		<-g.streams
		return context.Cause(ctx)
	}
}

func (g *gate) leave() { <-g.room }

// leaveStream gives back a place that wait took.
func (g *gate) leaveStream() {
	<-g.room
	<-g.streams
}

// inside is how many checks are on their way.
func (g *gate) inside() int { return len(g.room) }

// refusal tells the caller to come again after a moment.
func (g *gate) refusal() error {
	st, err := status.New(codes.ResourceExhausted, "the service has as many checks as it can answer in time; ask again in a moment").
		WithDetails(
			&errdetails.ErrorInfo{Reason: "TOO_MANY_CHECKS", Domain: document.Domain},
			&errdetails.RetryInfo{RetryDelay: durationpb.New(100 * time.Millisecond)},
		)
	if err != nil {
		panic(err) // details of known types
	}
	return st.Err()
}
