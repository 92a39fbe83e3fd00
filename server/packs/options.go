package packs

import (
	"errors"
	"fmt"
	"log/slog"
	"os"
	"regexp"
	"time"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
)

// Launch is how to start one pack.
type Launch struct {
	// Name is what the pack calls itself: lower-case letters, digits and hyphens.
	Name string
	// Command is the program and its arguments.
	Command []string
	// Interpreter is a program and its arguments that run Command, which then names a
	// file of that language. Empty: Command runs by itself.
	Interpreter []string
	// Env is added to the environment variables that pass through, as KEY=value.
	Env []string
	// SHA256 is the digest of the program's file in hexadecimal. With it, the file is
	// copied into sealed memory, checked there, and run from there, so that nothing can be
	// put in its place in between (Linux only). Empty: the file runs as it lies.
	SHA256 string
	// Accept is asked at every start whether the pack is the one that is wanted, by what
	// it says of itself; its error keeps the process from serving. Nil: any pack of the
	// name is.
	Accept func(*packv1.DescribeResponse) error
}

// Options say how packs are kept. The zero value is usable.
type Options struct {
	// Logger gets what happens to packs and what they print. Nil: slog.Default.
	Logger *slog.Logger
	// Hooks are told what happens, for metrics.
	Hooks Hooks
	// Dir is the folder in which the run's private folder is made. It must be short,
	// since a socket's path is limited. Empty: os.TempDir.
	Dir string
	// PassEnv names the variables of the host that packs inherit. Nil: PATH, TZ and
	// LANG. Everything else, the host's secrets among it, stays in the host.
	PassEnv []string
	// Spare keeps one more process of each pack started, so that a failed one is
	// replaced without a start.
	Spare bool
	// NoTLS leaves out the certificates on the socket, which then only the permissions
	// of the private folder protect.
	NoTLS bool
	// Niceness is how far packs stand back behind other processes where processors are
	// scarce, from 0 to 19, as nice(1) counts. Zero: not at all.
	Niceness int
	// ReadyTimeout is how long Start waits for all packs. Default 2 s.
	ReadyTimeout time.Duration
	// StartTimeout is how long one pack may take to start. Default 5 s.
	StartTimeout time.Duration
	// StopGrace is how long a pack may take to stop by itself. Default 1 s.
	StopGrace time.Duration
	// Probe says how packs are asked whether they are well.
	Probe Probe
	// Restart says when failed packs are started again.
	Restart Restart
}

// Probe says how a pack is asked whether it is well.
type Probe struct {
	// Period is the time between two probes. Default 500 ms.
	Period time.Duration
	// Timeout is how long an answer may take; two misses in a row are a hang.
	// Default 750 ms.
	Timeout time.Duration
	// Patience is how long a pack may say that it does not serve before it is started
	// again. Default 5 s.
	Patience time.Duration
}

// Hooks are told what happens to packs. Each may be nil. They are called one after
// another for one pack, at once for several, and must return quickly.
type Hooks struct {
	// OnStart: a process was started and is ready to serve, as the spare or not.
	OnStart func(pack, version string, took time.Duration, spare bool)
	// OnExit: a process that was ready is gone, for this reason, after this time. Those
	// that Stop ends are not told.
	OnExit func(pack string, reason error, lived time.Duration)
	// OnRestart: a pack serves again; restarts counts from 1.
	OnRestart func(pack string, restarts int)
}

func (o Options) withDefaults() Options {
	if o.Logger == nil {
		o.Logger = slog.Default()
	}
	if o.Dir == "" {
		o.Dir = os.TempDir()
	}
	if o.PassEnv == nil {
		o.PassEnv = []string{"PATH", "TZ", "LANG"}
	}
	orDefault(&o.ReadyTimeout, 2*time.Second)
	orDefault(&o.StartTimeout, 5*time.Second)
	orDefault(&o.StopGrace, time.Second)
	orDefault(&o.Probe.Period, 500*time.Millisecond)
	orDefault(&o.Probe.Timeout, 750*time.Millisecond)
	orDefault(&o.Probe.Patience, 5*time.Second)
	o.Restart = o.Restart.withDefaults()
	return o
}

func orDefault(d *time.Duration, value time.Duration) {
	if *d <= 0 {
		*d = value
	}
}

var packName = regexp.MustCompile(`^[a-z][a-z0-9-]{0,63}$`)

// checkLaunches refuses what could never start.
func checkLaunches(launches []Launch) error {
	seen := make(map[string]bool, len(launches))
	var errs []error
	for i, l := range launches {
		switch {
		case !packName.MatchString(l.Name):
			errs = append(errs, fmt.Errorf("pack %d has the name %q; use lower-case letters, digits and hyphens, a letter first, 64 at most", i+1, l.Name))
		case seen[l.Name]:
			errs = append(errs, fmt.Errorf("the pack %q is listed twice; keep one of them", l.Name))
		case len(l.Command) == 0 || l.Command[0] == "":
			errs = append(errs, fmt.Errorf("the pack %q has no command; name its program", l.Name))
		}
		seen[l.Name] = true
	}
	return errors.Join(errs...)
}
