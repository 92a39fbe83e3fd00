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

const (
	// withdrawPatience is how long a withdrawn pack is kept for what has begun with it.
	withdrawPatience = 15 * time.Second
	// longestRest bounds the time after which a manifest whose packs did not work is
	// tried again by itself.
	longestRest = 5 * time.Minute
)

// shelfKeeper keeps what serves in step with the folder of external packs. A folder
// that is found bad, or whose packs do not come up or cannot work with the others,
// changes nothing: what served last goes on, and the reason is told.
type shelfKeeper struct {
	folder     *shelf.Folder
	supervisor *packs.Supervisor
	pipeline   *pipeline.Pipeline
	attend     func(p *packs.Pack) (leave func())
	aside      func(func()) // runs what ends with the service
	period     time.Duration
	log        *slog.Logger

	turn sync.Mutex // held while the folder is looked at, and over the next five
	kept []shelved  // that serve
	rest time.Duration
	next time.Time // before which the manifest of the digest tried is not tried again
	bad  string    // that digest; empty: none
	why  error     // it did not work

	mu      sync.Mutex
	content *shelf.Content // that serves; nil: none ever did
	since   time.Time      // when it began to
	agreed  time.Time      // when the folder was last found as it serves
	refused error          // why the folder as it lies does not serve
	doubt   error          // what the last look found, until the next finds it too
}

// shelved is one external pack that serves.
type shelved struct {
	entry  shelf.Entry
	source packSource
	leave  func()
}

// keep looks at the folder until the context ends.
func (k *shelfKeeper) keep(ctx context.Context) {
	tick := time.NewTicker(k.period)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			k.look(ctx)
		}
	}
}

// look makes the folder serve as it lies. It may meet a folder in the middle of a
// change, so that a complaint counts once two looks in a row have it.
func (k *shelfKeeper) look(ctx context.Context) {
	k.turn.Lock()
	defer k.turn.Unlock()
	err := k.agree(ctx, false)
	if ctx.Err() != nil {
		return
	}
	k.mu.Lock()
	before := k.doubt
	k.doubt = err
	k.mu.Unlock()
	if err == nil || before != nil && before.Error() == err.Error() {
		k.tell(err)
	}
}

// activate makes the folder serve as it lies, or says why it does not. Somebody waits
// for it, so that it also tries what has failed before.
func (k *shelfKeeper) activate(ctx context.Context) error {
	k.turn.Lock()
	defer k.turn.Unlock()
	err := k.agree(ctx, true)
	if ctx.Err() == nil {
		k.tell(err)
	}
	return err
}

// tell keeps the reason of a refusal for those who ask, and logs a new one.
func (k *shelfKeeper) tell(err error) {
	k.mu.Lock()
	before := k.refused
	k.refused = err
	k.mu.Unlock()
	switch {
	case err != nil && (before == nil || before.Error() != err.Error()):
		k.log.Error("the pack folder is refused, and what served last goes on", "folder", k.folder.Path, "error", err)
	case err == nil && before != nil:
		k.log.Info("the pack folder is good again", "folder", k.folder.Path)
	}
}

// agree brings what serves and the folder together. k.turn is held.
func (k *shelfKeeper) agree(ctx context.Context, eager bool) error {
	content, err := k.folder.Read()
	if err != nil {
		return err
	}
	if k.content == nil || content.Digest != k.content.Digest {
		if err := k.attempt(ctx, content, eager); err != nil {
			return err
		}
	}
	k.mu.Lock()
	k.agreed = time.Now()
	k.mu.Unlock()
	return k.folder.Floor.Raise(content.Revision, content.Digest)
}

// attempt changes to another manifest. One whose packs did not work is tried again
// ever more seldom, since each attempt starts programs.
func (k *shelfKeeper) attempt(ctx context.Context, content *shelf.Content, eager bool) error {
	if content.Digest != k.bad {
		k.bad, k.rest = "", 0
	} else if !eager && time.Now().Before(k.next) {
		return k.why
	}
	err := k.change(ctx, content)
	if err == nil || ctx.Err() != nil {
		k.bad, k.rest = "", 0
		return err
	}
	k.bad, k.why, k.rest = content.Digest, err, min(max(2*k.rest, 2*k.period), longestRest)
	k.next = time.Now().Add(k.rest)
	return err
}

// change starts what is new, then puts it in the place of what is gone in one step.
func (k *shelfKeeper) change(ctx context.Context, content *shelf.Content) error {
	if err := k.folder.Floor.Try(); err != nil {
		return err
	}
	stay, wanted, err := k.compare(content)
	if err != nil {
		return err
	}
	fresh, err := k.startAll(ctx, wanted, content.Unsigned)
	if err != nil {
		return errors.Join(err, k.endAll(fresh))
	}
	gone := slices.DeleteFunc(slices.Clone(k.kept), func(s shelved) bool { return slices.Contains(stay, s.entry.String()) })
	left, err := k.pipeline.Exchange(sources(gone), sources(fresh))
	if err != nil {
		return errors.Join(fmt.Errorf("the packs of the folder cannot serve beside the others: %w", err), k.endAll(fresh))
	}
	for i := range fresh {
		fresh[i].leave = k.attend(fresh[i].source.pack)
	}
	k.kept = slices.DeleteFunc(k.kept, func(s shelved) bool { return !slices.Contains(stay, s.entry.String()) })
	k.kept = append(k.kept, fresh...)
	k.mu.Lock()
	k.content, k.since = content, time.Now()
	k.mu.Unlock()
	k.log.Info("the pack folder serves", "revision", content.Revision, "packs", len(content.Packs), "digest", content.Digest, "unsigned", content.Unsigned)
	if len(gone) > 0 {
		k.aside(func() { k.withdraw(gone, left) })
	}
	return nil
}

// compare tells which packs stay and which are to be started. The same version in
// another program is refused: nobody could tell from an answer which of them gave it.
func (k *shelfKeeper) compare(content *shelf.Content) (stay []string, wanted []shelf.Entry, err error) {
	for _, e := range content.Packs {
		same := slices.IndexFunc(k.kept, func(s shelved) bool { return s.entry.String() == e.String() })
		if same < 0 {
			wanted = append(wanted, e)
			continue
		}
		if serving := k.kept[same].entry; serving.SHA256 != e.SHA256 || serving.Interpreter != e.Interpreter {
			return nil, nil, fmt.Errorf("pack %s is another program than the one that serves; a version does not change, raise it", e)
		}
		if err := e.Agree(k.describe(k.kept[same])); err != nil {
			return nil, nil, err
		}
		stay = append(stay, e.String())
	}
	return stay, wanted, nil
}

// startAll starts packs one after another, so that what serves keeps its processors.
// Those that started are returned with an error too.
func (k *shelfKeeper) startAll(ctx context.Context, wanted []shelf.Entry, unsigned bool) (fresh []shelved, err error) {
	for _, e := range wanted {
		pack, err := k.supervisor.Add(ctx, k.launch(e))
		if err != nil {
			return fresh, err
		}
		s := shelved{entry: e, source: packSource{pack: pack, origin: k.folder.Path, unsigned: unsigned}}
		fresh = append(fresh, s)
		if err := k.pipeline.Rehearse(ctx, s.source); err != nil {
			return fresh, err
		}
	}
	return fresh, nil
}

func (k *shelfKeeper) launch(e shelf.Entry) packs.Launch {
	return packs.Launch{
		Name: e.Name, Command: []string{k.folder.Program(e)}, SHA256: e.SHA256, Interpreter: k.folder.Interpreter(e), Accept: e.Agree,
	}
}

// launches start the external packs that serve once more, by version and digest.
func (k *shelfKeeper) launches() map[string]packs.Launch {
	k.turn.Lock()
	defer k.turn.Unlock()
	out := make(map[string]packs.Launch, len(k.kept))
	for _, s := range k.kept {
		out[s.entry.String()+" "+s.entry.SHA256] = k.launch(s.entry)
	}
	return out
}

// endAll ends packs that never served.
func (k *shelfKeeper) endAll(fresh []shelved) error {
	var errs []error
	for _, s := range fresh {
		errs = append(errs, k.supervisor.Remove(s.source.pack))
	}
	return errors.Join(errs...)
}

// withdraw ends packs that no check will ask any more, once those that have begun
// with them are answered.
func (k *shelfKeeper) withdraw(gone []shelved, left func(context.Context) error) {
	ctx, cancel := context.WithTimeout(context.Background(), withdrawPatience)
	defer cancel()
	errs := []error{left(ctx)}
	for _, s := range gone {
		errs = append(errs, k.supervisor.Remove(s.source.pack))
		s.leave()
	}
	if err := errors.Join(errs...); err != nil {
		k.log.Error("packs were withdrawn and not all is well", "error", err)
	}
}

func sources(shelved []shelved) (out []pipeline.Source) {
	for _, s := range shelved {
		out = append(out, s.source)
	}
	return out
}
