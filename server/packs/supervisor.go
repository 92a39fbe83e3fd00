package packs

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
)

// Supervisor keeps the processes of several packs. Its methods may be called at once
// from several goroutines.
type Supervisor struct {
	spawner *spawner
	run     *runDir
	options Options
	keeping context.Context // ends when the keepers are to stop
	grace   context.Context // ends when they are to kill instead of ask
	keepers sync.WaitGroup

	mu    sync.Mutex
	kept  []*keeper // in the order of their launches
	ended bool      // no more packs are taken

	// cancel has the keepers stop; endGrace has them kill instead of ask.
	cancel, endGrace context.CancelFunc

	stopOnce sync.Once
	stopped  chan struct{}
	stopErr  error
}

// Start starts all packs at once and returns when each has started or failed, or when
// Options.ReadyTimeout is past, or, with the context's error and nothing left behind,
// when the context ends. The context matters no more after that. Packs that are not
// up by then go on starting; [Supervisor.Statuses] tells. An error means that no pack
// could be kept at all.
func Start(ctx context.Context, launches []Launch, options Options) (*Supervisor, error) {
	if !supported {
		return nil, errors.New("packs run on Unix systems only; run the server there")
	}
	if err := checkLaunches(launches); err != nil {
		return nil, err
	}
	options = options.withDefaults()
	run, err := newRunDir(options.Dir)
	if err != nil {
		return nil, err
	}
	s := &Supervisor{spawner: newSpawner(), run: run, options: options, stopped: make(chan struct{})}
	s.keeping, s.cancel = context.WithCancel(context.Background())
	s.grace, s.endGrace = context.WithCancel(context.Background())
	for _, l := range launches {
		s.keep(l).counts = true
	}
	if err := s.awaitFirstStarts(ctx, options); err != nil {
		return nil, errors.Join(err, s.Stop(context.Background()))
	}
	return s, nil
}

// keep begins to keep one pack until the supervisor stops or the keeper is told to.
func (s *Supervisor) keep(l Launch) *keeper {
	log := s.options.Logger.With("pack", l.Name)
	k := &keeper{
		pack: newPack(l.Name), pacer: newPacer(s.options.Restart), options: s.options, log: log,
		starter: &starter{launch: l, options: s.options, run: s.run, spawner: s.spawner, log: log},
		started: make(chan startResult, 1),
		gone:    make(chan struct{}),
	}
	ctx, leave := context.WithCancel(s.keeping)
	k.leave = leave
	s.mu.Lock()
	s.kept = append(s.kept, k)
	s.mu.Unlock()
	s.keepers.Go(func() {
		defer close(k.gone)
		defer leave()
		k.keep(ctx)
		k.stop(s.grace)
	})
	return k
}

// Add keeps one more pack, which may be another version of one that is kept. It
// returns when the pack serves, and only then does the pack count among Packs; where
// it does not come up, nothing is left of it and the error says why.
func (s *Supervisor) Add(ctx context.Context, l Launch) (*Pack, error) {
	if err := checkLaunches([]Launch{l}); err != nil {
		return nil, err
	}
	s.mu.Lock()
	ended := s.ended
	if !ended {
		s.keepers.Add(1) // so that Stop waits for this call
		defer s.keepers.Done()
	}
	s.mu.Unlock()
	if ended {
		return nil, errStopped
	}
	k := s.keep(l)
	select {
	case <-k.pack.settled:
	case <-ctx.Done():
	}
	if _, err := k.pack.Instance(); err != nil {
		// It is not started again, as the error of a pack that is kept would say.
		if last := k.pack.Status().LastError; last != nil {
			err = last
		}
		return nil, errors.Join(context.Cause(ctx), err, s.drop(k))
	}
	s.mu.Lock()
	k.counts = true
	s.mu.Unlock()
	return k.pack, nil
}

// Remove ends a pack and forgets it. The error names a process that does not go.
func (s *Supervisor) Remove(pack *Pack) error {
	s.mu.Lock()
	var found *keeper
	for _, k := range s.kept {
		if k.pack == pack {
			found = k
		}
	}
	s.mu.Unlock()
	if found == nil {
		return fmt.Errorf("the pack %q is not kept", pack.Name())
	}
	return s.drop(found)
}

func (s *Supervisor) drop(k *keeper) error {
	k.leave()
	<-k.gone
	s.mu.Lock()
	defer s.mu.Unlock()
	s.kept = slices.DeleteFunc(s.kept, func(other *keeper) bool { return other == k })
	return k.stopped
}

func (s *Supervisor) awaitFirstStarts(ctx context.Context, options Options) error {
	ready, cancel := context.WithTimeout(ctx, options.ReadyTimeout)
	defer cancel()
	for _, p := range s.Packs() {
		select {
		case <-p.settled:
		case <-ready.Done():
		}
	}
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("the start of the packs was broken off: %w", err)
	}
	return nil
}

// Pack is the first pack of that name, nil if there is none.
func (s *Supervisor) Pack(name string) *Pack {
	for _, p := range s.Packs() {
		if p.name == name {
			return p
		}
	}
	return nil
}

// Packs are all packs in the order of their launches.
func (s *Supervisor) Packs() []*Pack {
	s.mu.Lock()
	defer s.mu.Unlock()
	all := make([]*Pack, 0, len(s.kept))
	for _, k := range s.kept {
		if k.counts {
			all = append(all, k.pack)
		}
	}
	return all
}

// Statuses tell how all packs are, in the order of their launches.
func (s *Supervisor) Statuses() []Status {
	packs := s.Packs()
	all := make([]Status, len(packs))
	for i, p := range packs {
		all[i] = p.Status()
	}
	return all
}

// Ready tells whether every pack serves.
func (s *Supervisor) Ready() bool {
	for _, p := range s.Packs() {
		if _, err := p.Instance(); err != nil {
			return false
		}
	}
	return true
}

// Stop ends all packs: it asks, waits for Options.StopGrace, kills, and removes the
// private folder. If the context ends first, it kills at once. The error names
// processes that do not go. Every call gets the same answer.
func (s *Supervisor) Stop(ctx context.Context) error {
	s.stopOnce.Do(func() { go s.stop() })
	select {
	case <-s.stopped:
		return s.stopErr
	case <-ctx.Done():
	}
	s.endGrace()
	// Killed processes are waited for with a limit of their own.
	<-s.stopped
	return s.stopErr
}

func (s *Supervisor) stop() {
	defer close(s.stopped)
	defer s.endGrace()
	s.mu.Lock()
	s.ended = true
	s.mu.Unlock()
	s.cancel()
	s.keepers.Wait()
	var errs []error
	for _, k := range s.kept {
		errs = append(errs, k.stopped)
	}
	// Whatever is left goes with the thread that started it.
	s.spawner.close()
	if err := s.run.remove(); err != nil {
		errs = append(errs, fmt.Errorf("removing the private folder of the packs: %w", err))
	}
	s.stopErr = errors.Join(errs...)
}
