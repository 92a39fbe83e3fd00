package packs

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/emptypb"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// killPatience is how long a killed process may take to go. Only one that waits in
// the kernel takes longer.
const killPatience = 2 * time.Second

// errStopped is why an instance that was stopped on purpose is done.
var errStopped = errors.New("the host stopped the pack")

// Instance is one process of a pack and the connection to it. Its methods may be
// called at once from several goroutines.
type Instance struct {
	pack     string
	child    *child
	conn     *grpc.ClientConn
	client   packv1.PackServiceClient
	describe *packv1.DescribeResponse
	ready    time.Time
	probe    Probe

	introduced chan struct{} // closed when it has said what it is
	attended   sync.WaitGroup
	leave      context.CancelFunc // ends what attends to the instance
	ctx        context.Context    // of what attends to it

	mu     sync.Mutex
	err    error
	done   chan struct{} // no longer to be used
	health health
	gone   chan struct{} // process collected, connection closed, nothing attends
}

// newInstance takes over a process and attends to it until it is gone.
func newInstance(pack string, c *child, conn *grpc.ClientConn, p Probe) *Instance {
	i := &Instance{
		pack: pack, child: c, conn: conn, probe: p,
		client:     packv1.NewPackServiceClient(conn),
		introduced: make(chan struct{}),
		done:       make(chan struct{}),
		gone:       make(chan struct{}),
		health:     health{serving: true, changed: make(chan struct{})},
	}
	i.ctx, i.leave = context.WithCancel(context.Background())
	i.attended.Go(i.readPrinted)
	i.attended.Go(i.probeForever)
	go i.awaitExit()
	return i
}

// Client asks the pack.
func (i *Instance) Client() packv1.PackServiceClient { return i.client }

// Describe is what the pack said it is when it started. It must not be changed.
func (i *Instance) Describe() *packv1.DescribeResponse { return i.describe }

// PID is the number of the process.
func (i *Instance) PID() int { return i.child.pid() }

// Done is closed when the instance is no longer to be used: its process has ended or
// is being killed, or the host stops it.
func (i *Instance) Done() <-chan struct{} { return i.done }

// Err says why the instance is done; it is nil before.
func (i *Instance) Err() error {
	i.mu.Lock()
	defer i.mu.Unlock()
	return i.err
}

// Recycle kills the process without asking, because it hangs or answers garbage, and
// has the pack start another. It returns at once. The reason becomes Err.
func (i *Instance) Recycle(reason error) {
	i.finish(fmt.Errorf("the pack %q was killed: %w", i.pack, reason))
	i.child.kill()
}

// finish makes the instance done. Only the first reason counts.
func (i *Instance) finish(reason error) {
	i.mu.Lock()
	defer i.mu.Unlock()
	if i.err == nil {
		i.err = reason
		close(i.done)
	}
}

// awaitExit clears up when the process has ended, whatever ended it.
func (i *Instance) awaitExit() {
	<-i.child.exited
	i.finish(fmt.Errorf("the pack %q is gone: %w", i.pack, i.child.exitErr))
	i.leave()
	_ = i.conn.Close()
	i.attended.Wait()
	close(i.gone)
}

// isGone tells whether nothing of the instance is left.
func (i *Instance) isGone() bool {
	select {
	case <-i.gone:
		return true
	default:
		return false
	}
}

// abandon ends an instance that never served and returns the reason with what is
// known of its end.
func (i *Instance) abandon(reason error) error {
	// A process that is ending by itself gets the time to say why.
	if isClosedWithin(i.child.exited, pipeGrace) {
		reason = fmt.Errorf("%w; %w", reason, i.child.exitErr)
	}
	i.finish(reason)
	i.child.kill()
	isClosedWithin(i.gone, killPatience)
	return reason
}

// stop asks the pack to end, kills it if it does not within the grace, and returns
// when it is gone. The error names a process that cannot be killed.
func (i *Instance) stop(ctx context.Context, grace time.Duration) error {
	i.finish(errStopped)
	if i.isGone() {
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, grace)
	defer cancel()
	shutDown(ctx, i.conn)
	i.child.hangUp()
	select {
	case <-i.gone:
		return nil
	case <-ctx.Done():
	}
	i.child.kill()
	if !isClosedWithin(i.gone, killPatience) {
		return fmt.Errorf("the pack %q, process %d, does not end though it was killed; look at what it waits for", i.pack, i.PID())
	}
	return nil
}

// shutDown asks go-plugin's controller in the pack to stop serving. The pack may be
// gone before it answers.
func shutDown(ctx context.Context, conn *grpc.ClientConn) {
	_ = conn.Invoke(ctx, "/plugin.GRPCController/Shutdown", &emptypb.Empty{}, &emptypb.Empty{})
}
