package packs

import (
	"context"
	"errors"
	"fmt"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// Ask starts one pack, asks what it is, and ends it. The launch needs no name. The
// error says why the program is no pack that this host can work with.
func Ask(ctx context.Context, l Launch, options Options) (d *packv1.DescribeResponse, err error) {
	if !supported {
		return nil, errors.New("packs run on Unix systems only; ask it there")
	}
	options = options.withDefaults()
	run, err := newRunDir(options.Dir)
	if err != nil {
		return nil, err
	}
	spawner := newSpawner()
	starter := &starter{launch: l, options: options, run: run, spawner: spawner, log: options.Logger}
	defer func() {
		starter.close()
		spawner.close()
		if removing := run.remove(); removing != nil {
			err = errors.Join(err, fmt.Errorf("removing the private folder of the pack: %w", removing))
		}
	}()
	i, err := starter.start(ctx)
	if err != nil {
		return nil, err
	}
	return i.Describe(), i.stop(context.WithoutCancel(ctx), options.StopGrace)
}
