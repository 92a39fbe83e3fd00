package packs

import (
	"context"
	"errors"
	"fmt"
	"sync"
)

// Supervisor keeps the processes of several packs. Its methods may be called at once
// from several goroutines.
type Supervisor struct {
	packs   []*Pack
	byName  map[string]*Pack
	spawner *spawner
	run     *runDir
	keepers sync.WaitGroup
	kept    []*keeper
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
	keeping, cancel := context.WithCancel(context.Background())
	grace, endGrace := context.WithCancel(context.Background())
	s := &Supervisor{
		byName:  make(map[string]*Pack, len(launches)),
		spawner: newSpawner(),
		run:     run,
		cancel:  cancel, endGrace: endGrace,
		stopped: make(chan struct{}),
	}
	for _, l := range launches {
		s.add(keeping, grace, l, options)
	}
	if err := s.awaitFirstStarts(ctx, options); err != nil {
		return nil, errors.Join(err, s.Stop(context.Background()))
	}
	return s, nil
}

// add begins to keep one pack until ctx ends; grace bounds the time to stop.
func (s *Supervisor) add(ctx, grace context.Context, l Launch, options Options) {
	pack := newPack(l.Name)
	log := options.Logger.With("pack", l.Name)
	k := &keeper{
		pack: pack, pacer: newPacer(options.Restart), options: options, log: log,
		starter: &starter{launch: l, options: options, run: s.run, spawner: s.spawner, log: log},
		started: make(chan startResult, 1),
	}
	s.packs = append(s.packs, pack)
	s.byName[l.Name] = pack
	s.kept = append(s.kept, k)
	s.keepers.Go(func() {
		k.keep(ctx)
		k.stop(grace)
	})
}

func (s *Supervisor) awaitFirstStarts(ctx context.Context, options Options) error {
	ready, cancel := context.WithTimeout(ctx, options.ReadyTimeout)
	defer cancel()
	for _, p := range s.packs {
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

// Pack is the pack of that name, nil if there is none.
func (s *Supervisor) Pack(name string) *Pack { return s.byName[name] }

// Packs are all packs in the order of their launches.
func (s *Supervisor) Packs() []*Pack { return append([]*Pack(nil), s.packs...) }

// Statuses tell how all packs are, in the order of their launches.
func (s *Supervisor) Statuses() []Status {
	all := make([]Status, len(s.packs))
	for i, p := range s.packs {
		all[i] = p.Status()
	}
	return all
}

// Ready tells whether every pack serves.
func (s *Supervisor) Ready() bool {
	for _, p := range s.packs {
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
