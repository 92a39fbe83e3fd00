package pipeline

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// Source is one pack as the pipeline sees it: a process that may die and come back.
type Source interface {
	// Name is the pack's name.
	Name() string
	// Instance returns the process that serves now. The error says why there is
	// none, in words for people; giveUp says that none is to be expected soon.
	Instance() (instance Instance, giveUp bool, err error)
	// Changed returns a channel that is closed when Instance will return another.
	Changed() <-chan struct{}
	// Recycle ends an instance that hangs or answers nonsense.
	Recycle(instance Instance, reason error)
}

// Instance is one life of a pack's process.
type Instance interface {
	// Open starts the standing stream of batches.
	Open(ctx context.Context) (packv1.PackService_EvaluateClient, error)
	// Describe is what the pack said of itself at start.
	Describe() *packv1.DescribeResponse
	// Done is closed when the process has ended.
	Done() <-chan struct{}
}

// Limits of a lane. Two batches in flight keep a pack busy while its last answer
// travels; more only make answers wait in line.
const (
	batchTasks      = 16
	batchBytes      = 2 << 20
	batchGlances    = 128 // candidates that are looked at before anything is solved
	batchesInFlight = 2
)

// lane takes checks to one pack. What arrives while the pack is busy travels
// together in its next batch; there are no timers, so at low load nothing waits.
type lane struct {
	source   Source
	resident *resident     // not nil: the pack lives in this process
	timeout  time.Duration // of one task, from queue to answer
	patience time.Duration // for a pack that is being started again

	known   *packv1.DescribeResponse // guarded by the pipeline's lock, as rules
	rules   []string
	users   atomic.Int64                // checks that may still send tasks here
	copied  atomic.Pointer[sent]        // a check that is being answered
	sample  atomic.Pointer[packv1.Task] // one that was, to rehearse with
	stop    context.CancelFunc
	running sync.WaitGroup

	mu       sync.Mutex
	queue    []*task
	inFlight map[uint64][]*task
	batch    uint64
	session  *session
	wake     chan struct{}
}

// session is one standing stream.
type session struct {
	instance Instance
	stream   packv1.PackService_EvaluateClient
	cancel   context.CancelFunc
	failed   chan struct{}
	once     sync.Once
	err      error
}

func (s *session) fail(err error) {
	s.once.Do(func() {
		s.err = err
		s.cancel()
		close(s.failed)
	})
}

func newLane(source Source, timeout, patience time.Duration) *lane {
	resident, _ := source.(*resident)
	return &lane{
		source: source, resident: resident, timeout: timeout, patience: patience,
		inFlight: map[uint64][]*task{}, wake: make(chan struct{}, 1),
	}
}

func (l *lane) submit(t *task) {
	if l.resident != nil {
		l.resident.answer(t)
		return
	}
	t.waiting = now()
	l.mu.Lock()
	away := l.session == nil
	if !away {
		l.queue = append(l.queue, t)
	}
	l.mu.Unlock()
	if away {
		l.submitAway(t)
		return
	}
	l.nudge()
}

// submitAway queues a task while no process talks, unless none is to be expected.
func (l *lane) submitAway(t *task) {
	if _, giveUp, err := l.source.Instance(); err != nil && giveUp {
		t.fail(failureMissing, fmt.Sprintf("it does not run: %v", err))
		return
	}
	l.mu.Lock()
	l.queue = append(l.queue, t)
	l.mu.Unlock()
	l.nudge()
}

func (l *lane) nudge() {
	select {
	case l.wake <- struct{}{}:
	default:
	}
}

// depth is how many tasks wait or are being answered.
func (l *lane) depth() (queued, inFlight int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, batch := range l.inFlight {
		inFlight += len(batch)
	}
	return len(l.queue), inFlight
}

// serve runs until ctx ends: one session after another, as the pack's process
// dies and comes back.
func (l *lane) serve(ctx context.Context) {
	go l.watch(ctx)
	for ctx.Err() == nil {
		changed := l.source.Changed()
		instance, _, err := l.source.Instance()
		if err != nil {
			select {
			case <-changed:
			case <-ctx.Done():
			}
			continue
		}
		l.converse(ctx, instance)
	}
	l.failAll(failureMissing, "the service is stopping")
}

// converse talks to one life of the pack until it ends.
func (l *lane) converse(serving context.Context, instance Instance) {
	ctx, cancel := context.WithCancel(serving)
	defer cancel()
	stream, err := instance.Open(ctx)
	if err != nil {
		l.source.Recycle(instance, fmt.Errorf("its stream could not be opened: %w", err))
		select {
		case <-instance.Done():
		case <-time.After(l.patience):
		case <-ctx.Done():
		}
		return
	}
	s := &session{instance: instance, stream: stream, cancel: cancel, failed: make(chan struct{})}
	l.mu.Lock()
	l.session = s
	l.mu.Unlock()
	received := make(chan struct{})
	go func() {
		defer close(received)
		l.receive(s)
	}()
	l.send(ctx, s)
	cancel()
	<-received
	l.mu.Lock()
	l.session = nil
	l.mu.Unlock()
	l.retry(s.err)
	// A lane that stops leaves its instance well.
	if serving.Err() == nil {
		l.source.Recycle(instance, s.err)
	}
}

// send writes batches while the session lives.
func (l *lane) send(ctx context.Context, s *session) {
	var request packv1.EvaluateRequest
	for {
		number, tasks := l.take()
		if tasks == nil {
			select {
			case <-l.wake:
				continue
			case <-s.failed:
				return
			case <-s.instance.Done():
				s.fail(fmt.Errorf("its process ended"))
				return
			case <-ctx.Done():
				s.fail(ctx.Err())
				return
			}
		}
		l.copySample(number, tasks[0])
		fillRequest(&request, number, tasks)
		if err := s.stream.Send(&request); err != nil {
			s.fail(fmt.Errorf("a batch could not be sent: %w", err))
			return
		}
	}
}

func fillRequest(request *packv1.EvaluateRequest, number uint64, tasks []*task) {
	request.Batch, request.Line = &number, tasks[0].line
	for len(request.Tasks) < len(tasks) {
		request.Tasks = append(request.Tasks, new(packv1.Task))
	}
	request.Tasks = request.Tasks[:len(tasks)]
	for i, t := range tasks {
		request.Tasks[i].Check, request.Tasks[i].Facts, request.Tasks[i].Part, request.Tasks[i].MarginShare = t.check, t.facts, t.part, t.share
	}
}

// take returns the next batch, or nil when nothing may be sent now.
func (l *lane) take() (uint64, []*task) {
	l.mu.Lock()
	abandoned := l.dropSettled()
	number, tasks := l.pick()
	l.mu.Unlock()
	for _, t := range abandoned {
		t.fail(failureLate, "nobody waits for it any more")
	}
	return number, tasks
}

// pick takes the next batch out of the queue; l.mu is held.
func (l *lane) pick() (uint64, []*task) {
	if len(l.queue) == 0 || len(l.inFlight) >= batchesInFlight {
		return 0, nil
	}
	n, size := 1, l.queue[0].bytes()
	if l.queue[0].alone {
		if len(l.inFlight) > 0 {
			return 0, nil
		}
	} else {
		for _, batch := range l.inFlight {
			if batch[0].alone {
				return 0, nil
			}
		}
		first := l.queue[0]
		for n < len(l.queue) && n < first.together() && !l.queue[n].alone && l.queue[n].line == first.line && size+l.queue[n].bytes() <= batchBytes {
			size += l.queue[n].bytes()
			n++
		}
	}
	tasks := append([]*task(nil), l.queue[:n]...)
	rest := copy(l.queue, l.queue[n:])
	clear(l.queue[rest:])
	l.queue = l.queue[:rest]
	l.batch++
	sent := now()
	for _, t := range tasks {
		t.waiting = sent
	}
	l.inFlight[l.batch] = tasks
	return l.batch, tasks
}

// dropSettled takes out tasks that are settled, and returns those that nobody
// waits for any more, to be settled once l.mu, which is held, is free.
func (l *lane) dropSettled() (abandoned []*task) {
	kept := l.queue[:0]
	for _, t := range l.queue {
		switch {
		case t.settled.Load():
		case t.run.abandoned():
			abandoned = append(abandoned, t)
		default:
			kept = append(kept, t)
		}
	}
	clear(l.queue[len(kept):])
	l.queue = kept
	return abandoned
}

// receive settles tasks as their answers come, until the session fails.
func (l *lane) receive(s *session) {
	for {
		response, err := s.stream.Recv()
		if err != nil {
			s.fail(fmt.Errorf("its stream ended: %w", err))
			return
		}
		l.mu.Lock()
		tasks, ok := l.inFlight[response.GetBatch()]
		if ok && len(tasks) == len(response.Outcomes) {
			delete(l.inFlight, response.GetBatch())
		}
		l.mu.Unlock()
		if !ok || len(tasks) != len(response.Outcomes) {
			s.fail(fmt.Errorf("it answered batch %d with %d outcomes, which was not asked", response.GetBatch(), len(response.Outcomes)))
			return
		}
		l.nudge()
		l.keepSample(response.GetBatch(), response.Outcomes)
		for i, o := range response.Outcomes {
			if err := tasks[i].take(o); err != nil {
				s.fail(err)
				return
			}
		}
	}
}

// take settles the task with what the pack said, or says what is wrong with it.
func (t *task) take(o *packv1.Outcome) error {
	if o.Error != nil {
		t.fail(failureBroke, o.GetError())
		return nil
	}
	if err := t.checkOutcome(o); err != nil {
		t.fail(failureBroke, err.Error())
		return err
	}
	t.settle(outcome{findings: o.Findings, verdict: o.GetVerdict(), counts: o.Counts, facts: o.Facts, brief: o.Brief})
	return nil
}

// retry puts the tasks of a died session back in line, each to be sent alone. One
// that was alone already is what kills the pack, and is given up.
func (l *lane) retry(cause error) {
	l.mu.Lock()
	var lost, again []*task
	for _, number := range slices.Sorted(maps.Keys(l.inFlight)) {
		for _, t := range l.inFlight[number] {
			if t.alone {
				lost = append(lost, t)
			} else if !t.settled.Load() {
				t.alone = true
				again = append(again, t)
			}
		}
		delete(l.inFlight, number)
	}
	l.queue = append(again, l.queue...)
	l.mu.Unlock()
	for _, t := range lost {
		t.fail(failureDied, fmt.Sprintf("it ended while it had this check: %v", cause))
	}
}

func (l *lane) failAll(kind failureKind, reason string) {
	l.mu.Lock()
	tasks := l.queue
	l.queue = nil
	for number, batch := range l.inFlight {
		tasks = append(tasks, batch...)
		delete(l.inFlight, number)
	}
	l.mu.Unlock()
	for _, t := range tasks {
		t.fail(kind, reason)
	}
}

// watch settles what waits too long, and ends an instance that hangs. It looks
// at whole lanes at its own pace, so that no check needs a timer of its own.
func (l *lane) watch(ctx context.Context) {
	tick := time.NewTicker(max(l.timeout/40, time.Millisecond))
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			l.inspect()
		}
	}
}

func (l *lane) inspect() {
	_, giveUp, missing := l.source.Instance()
	l.mu.Lock()
	at := now()
	var lost []*task
	late := l.dropSettled()
	kept := l.queue[:0]
	for _, t := range l.queue {
		age := time.Duration(at - t.waiting)
		switch {
		case missing != nil && (giveUp || age > l.patience):
			lost = append(lost, t)
		case age > l.timeout:
			late = append(late, t)
		default:
			kept = append(kept, t)
		}
	}
	clear(l.queue[len(kept):])
	l.queue = kept
	hung := false
	for _, batch := range l.inFlight {
		if time.Duration(at-batch[0].waiting) > l.timeout {
			hung = true
			late = append(late, batch...)
		}
	}
	session := l.session
	l.mu.Unlock()
	for _, t := range lost {
		t.fail(failureMissing, fmt.Sprintf("it does not run: %v", missing))
	}
	for _, t := range late {
		t.fail(failureLate, fmt.Sprintf("it did not answer within %v", l.timeout))
	}
	if hung && session != nil {
		session.fail(fmt.Errorf("it hung for more than %v", l.timeout))
	}
}

var epoch = time.Now()

// now is a monotonic clock in nanoseconds.
func now() int64 { return int64(time.Since(epoch)) }
