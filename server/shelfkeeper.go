package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"time"

	"slipfit.example/server/packs"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/shelf"
)

// withdrawPatience is how long a withdrawn pack is kept for what has begun with it.
const withdrawPatience = 15 * time.Second

// shelfKeeper keeps what serves in step with the folder of external packs. A folder
// that is found bad, or whose packs do not come up or cannot work with the others,
// changes nothing: what served last goes on, and the reason is told.
type shelfKeeper struct {
	folder     *shelf.Folder
	supervisor *packs.Supervisor
	pipeline   *pipeline.Pipeline
	attend     func(p *packs.Pack) (leave func())
	log        *slog.Logger

	turn    sync.Mutex // held while the folder is activated
	mu      sync.Mutex
	serving []shelved
	content *shelf.Content // that serves; nil: none ever did
	refused error          // why the folder as it lies does not
}

// shelved is one external pack that serves.
type shelved struct {
	entry  shelf.Entry
	source packSource
	leave  func()
}

// keep looks at the folder until the context ends.
func (k *shelfKeeper) keep(ctx context.Context, period time.Duration) {
	tick := time.NewTicker(period)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			_ = k.activate(ctx)
		}
	}
}

// activate makes the folder serve as it lies, or says why it does not.
func (k *shelfKeeper) activate(ctx context.Context) error {
	k.turn.Lock()
	defer k.turn.Unlock()
	content, err := k.folder.Read()
	if err == nil && (k.content == nil || content.Digest != k.content.Digest) {
		err = k.change(ctx, content)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if err != nil && ctx.Err() == nil && (k.refused == nil || k.refused.Error() != err.Error()) {
		k.log.Error("the pack folder is refused, and what served last goes on", "folder", k.folder.Path, "error", err)
	}
	k.refused = err
	return err
}

// change brings in what is new, then withdraws what is gone, and records the
// revision last.
func (k *shelfKeeper) change(ctx context.Context, content *shelf.Content) error {
	fresh, kept, err := k.bringIn(ctx, content)
	if err != nil {
		for _, s := range fresh {
			err = errors.Join(err, k.withdraw(ctx, s))
		}
		return err
	}
	gone := slices.DeleteFunc(slices.Clone(k.serving), func(s shelved) bool { return slices.Contains(kept, s.entry) })
	k.mu.Lock()
	k.serving = slices.DeleteFunc(k.serving, func(s shelved) bool { return !slices.Contains(kept, s.entry) })
	k.serving = append(k.serving, fresh...)
	k.content = content
	k.mu.Unlock()
	var errs []error
	for _, s := range gone {
		errs = append(errs, k.withdraw(ctx, s))
	}
	k.log.Info("the pack folder serves", "revision", content.Revision, "packs", len(content.Packs), "unsigned", content.Unsigned)
	return errors.Join(append(errs, k.folder.Floor.Raise(content.Revision))...)
}

// bringIn starts the packs that do not serve yet. On error, those that were brought
// in are returned to be withdrawn.
func (k *shelfKeeper) bringIn(ctx context.Context, content *shelf.Content) (fresh []shelved, kept []shelf.Entry, err error) {
	for _, e := range content.Packs {
		same := slices.IndexFunc(k.serving, func(s shelved) bool { return s.entry.Name == e.Name && s.entry.Version == e.Version })
		if same >= 0 && k.serving[same].entry.SHA256 != e.SHA256 {
			return fresh, nil, fmt.Errorf("pack %s %s is another program than the one that serves; a version does not change, raise it", e.Name, e.Version)
		}
		if same >= 0 {
			kept = append(kept, k.serving[same].entry)
			continue
		}
		s, err := k.start(ctx, e, content.Unsigned)
		if err != nil {
			return fresh, nil, err
		}
		fresh = append(fresh, s)
	}
	return fresh, kept, nil
}

// start starts one pack and takes it into the pipeline.
func (k *shelfKeeper) start(ctx context.Context, e shelf.Entry, unsigned bool) (shelved, error) {
	pack, err := k.supervisor.Add(ctx, packs.Launch{Name: e.Name, Command: []string{k.folder.Program(e)}, SHA256: e.SHA256})
	if err != nil {
		return shelved{}, err
	}
	if says := pack.Status().Version; says != e.Version {
		err = fmt.Errorf("the manifest lists pack %s in version %s and it calls itself %s; correct the manifest", e.Name, e.Version, says)
		return shelved{}, errors.Join(err, k.supervisor.Remove(pack))
	}
	source := packSource{pack: pack, origin: k.folder.Path, unsigned: unsigned}
	if err := k.pipeline.Add(source); err != nil {
		return shelved{}, errors.Join(fmt.Errorf("pack %s %s cannot serve beside the others: %w", e.Name, e.Version, err), k.supervisor.Remove(pack))
	}
	return shelved{e, source, k.attend(pack)}, nil
}

// withdraw takes one pack out: first from the checks to come, then from those that
// have begun, then from the machine.
func (k *shelfKeeper) withdraw(ctx context.Context, s shelved) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), withdrawPatience)
	defer cancel()
	err := k.pipeline.Remove(ctx, s.source)
	s.leave()
	return errors.Join(err, k.supervisor.Remove(s.source.pack))
}

// state is what serves of the folder, and why the folder as it lies does not.
func (k *shelfKeeper) state() (revision uint64, refused error) {
	if k == nil {
		return 0, nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.content != nil {
		revision = k.content.Revision
	}
	return revision, k.refused
}
