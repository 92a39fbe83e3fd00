package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"net/http"
	"slices"
	"time"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/packs"
	"slipfit.example/server/pipeline"
	"slipfit.example/server/policy"
	"slipfit.example/server/shadow"
)

// shadowNiceness is how far the candidate's packs stand back behind everything else.
const shadowNiceness = 10

// Shadow is a candidate ruleset that judges a share of the live checks besides, in
// processes of its own. It can neither change an answer nor delay one, but for the
// processor and the memory that its processes take where there is nothing to spare.
type Shadow struct {
	// Name is what the candidate is called.
	Name string
	// Share of the checks, above 0 and at most 1.
	Share float64
	// Packs are the candidate's processes, its house rules among them. External packs
	// come from the service's folder.
	Packs []packs.Launch
	// Versions are those that the candidate names, or ranges of them, by pack.
	Versions map[string]string
	// Policy is laid over what the service sets for all tenants, and under what a tenant
	// or a request sets.
	Policy policy.Values
	// Evidence keeps builds and findings of checks that flip, for whoever may read the
	// operations address.
	Evidence bool
}

// shadowHost keeps the candidate's processes.
type shadowHost struct {
	*shadow.Shadow
	config     *Shadow
	supervisor *packs.Supervisor
	pipeline   *pipeline.Pipeline
	log        *slog.Logger
	external   map[string]packSource // of the folder, by version and digest
	told       string                // the complaint that was logged last
}

// startShadow makes the candidate ready. A candidate whose packs do not come up is
// told, and no reason not to serve; one that the packs which came up cannot follow is
// an error.
func (s *Server) startShadow(ctx context.Context, gate *gate) (*shadowHost, error) {
	c := s.config.Shadow
	if c == nil {
		return nil, nil
	}
	h := &shadowHost{config: c, log: s.config.Log.With("shadow", c.Name), external: map[string]packSource{}}
	var err error
	h.Shadow, err = shadow.New(shadow.Config{
		Name: c.Name, Share: c.Share, Judge: h.judge, Evidence: c.Evidence,
		Busy: func() bool { return gate.inside() > cap(gate.room)/2 },
	})
	if err != nil {
		return nil, err
	}
	options := s.config.PackOptions
	options.Hooks, options.Spare, options.Niceness, options.Logger = packs.Hooks{}, false, shadowNiceness, h.log
	if h.supervisor, err = packs.Start(ctx, c.Packs, options); err != nil {
		return nil, fmt.Errorf("the candidate's packs cannot be started: %w", err)
	}
	var sources []pipeline.Source
	for _, p := range h.supervisor.Packs() {
		sources = append(sources, packSource{pack: p})
	}
	h.pipeline, err = pipeline.Start(sources, pipeline.Options{Timeout: s.config.PackTimeout, Versions: c.Versions})
	if err != nil {
		return nil, errors.Join(fmt.Errorf("the candidate cannot be followed: %w", err), h.supervisor.Stop(ctx))
	}
	h.follow(ctx, s.shelf)
	switch err := h.vet(); {
	case err != nil && s.shelf != nil:
		// What is missing may come with the folder, which is no reason not to serve.
		h.log.Error("the candidate cannot be followed as the pack folder is", "error", err)
	case err != nil:
		return nil, errors.Join(fmt.Errorf("the candidate cannot be followed: %w", err), h.stop(ctx))
	}
	s.running.Go(func() { h.Run(s.stopping) })
	if s.shelf != nil {
		s.running.Go(func() { h.keep(s.stopping, s.shelf, s.config.ShelfPeriod) })
	}
	h.log.Info("a candidate judges beside", "share", c.Share, "evidence", c.Evidence)
	return h, nil
}

// vet says what of the candidate the packs cannot follow, as far as that can be told:
// not before each has come up.
func (h *shadowHost) vet() error {
	for _, p := range h.pipeline.Packs() {
		if p.Description == nil {
			h.log.Warn("a pack of the candidate did not come up", "pack", p.Source.Name())
			return nil
		}
	}
	check := &v1.CheckRequest{Policy: h.config.Policy}
	for _, name := range slices.Sorted(maps.Keys(h.config.Versions)) {
		check.Packs = append(check.Packs, &v1.PackPin{Name: &name, Version: proto.String(h.config.Versions[name])})
	}
	if len(check.Packs) == 0 {
		return h.pipeline.VetPolicy(h.config.Policy)
	}
	encoded, err := check.MarshalVT()
	if err != nil {
		return err
	}
	return h.pipeline.Vet(encoded)
}

func (h *shadowHost) judge(ctx context.Context, lower policy.Values, check []byte) ([]byte, error) {
	return h.pipeline.CheckOver(ctx, lower, check)
}

// keep follows the folder of external packs until the context ends.
func (h *shadowHost) keep(ctx context.Context, k *shelfKeeper, period time.Duration) {
	tick := time.NewTicker(period)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			h.follow(ctx, k)
		}
	}
}

// follow has processes of the candidate's own for the external packs that serve, and
// for no other: what the service has not taken, the candidate does not run either.
func (h *shadowHost) follow(ctx context.Context, k *shelfKeeper) {
	if k == nil {
		return
	}
	err := h.agree(ctx, k)
	switch {
	case ctx.Err() != nil:
	case err == nil:
		h.told = ""
	case err.Error() != h.told:
		h.told = err.Error()
		h.log.Error("the candidate cannot follow the pack folder", "error", err)
	}
}

func (h *shadowHost) agree(ctx context.Context, k *shelfKeeper) error {
	var gone, fresh []pipeline.Source
	wanted, added := map[string]bool{}, map[string]packSource{}
	for key, launch := range k.launches() {
		wanted[key] = true
		if _, runs := h.external[key]; runs {
			continue
		}
		pack, err := h.supervisor.Add(ctx, launch)
		if err != nil {
			return errors.Join(err, h.remove(fresh))
		}
		added[key] = packSource{pack: pack, origin: k.folder.Path}
		fresh = append(fresh, added[key])
	}
	for key, source := range h.external {
		if !wanted[key] {
			gone = append(gone, source)
		}
	}
	if len(gone)+len(fresh) == 0 {
		return nil
	}
	left, err := h.pipeline.Exchange(gone, fresh)
	if err != nil {
		return errors.Join(err, h.remove(fresh))
	}
	maps.Copy(h.external, added)
	maps.DeleteFunc(h.external, func(key string, _ packSource) bool { return !wanted[key] })
	ctx, cancel := context.WithTimeout(ctx, withdrawPatience)
	defer cancel()
	return errors.Join(left(ctx), h.remove(gone))
}

func (h *shadowHost) remove(sources []pipeline.Source) error {
	var errs []error
	for _, s := range sources {
		errs = append(errs, h.supervisor.Remove(s.(packSource).pack))
	}
	return errors.Join(errs...)
}

// stop ends the candidate's processes. Nothing is picked or judged any more by then.
func (h *shadowHost) stop(ctx context.Context) error {
	if h == nil {
		return nil
	}
	h.pipeline.Stop()
	return h.supervisor.Stop(ctx)
}

// pick decides about a live check that begins now.
func (h *shadowHost) pick() shadow.Pick {
	if h == nil {
		return shadow.Pick{}
	}
	return h.Pick()
}

// under is the policy that lies under a request of one call where the candidate stands
// in the place of what the service sets for all.
func (h *shadowHost) under(ctx context.Context, t *tenants) policy.Values {
	if h == nil {
		return nil
	}
	return t.own(ctx).Over(h.config.Policy.Over(t.all))
}

// serveReport answers with what the candidate has come to.
func (h *shadowHost) serveReport(w http.ResponseWriter, _ *http.Request) {
	if h == nil {
		http.Error(w, "no candidate judges here; start the service with one", http.StatusNotFound)
		return
	}
	encoded, err := protojson.Marshal(h.Report(true))
	if err != nil {
		http.Error(w, "the report cannot be written: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(append(encoded, '\n'))
}
