// Package process turns a pack's rules into a pack process: it serves
// slipfit.pack.v1 over go-plugin's handshake and sees to it that the process
// harms neither its host nor the machine. It ends when its host is gone, it keeps
// what rules print out of the host's handshake pipe, it takes one processor unless
// told otherwise, and it bounds every message both ways.
package process

import (
	"fmt"
	"os"
	"runtime"
	"runtime/debug"

	"github.com/hashicorp/go-hclog"
	"github.com/hashicorp/go-plugin"
	"google.golang.org/grpc"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// Exit codes of a pack process.
const (
	// ExitByHand is the exit code of a pack that no host started.
	ExitByHand = 2
	// ExitOrphan is the exit code of a pack whose host is gone.
	ExitOrphan = 3
)

// Serve serves one pack and returns when the host asks it to stop. A process
// that no host started ends with ExitByHand and a sentence on standard error; one
// whose host is gone ends with ExitOrphan.
//
// If srv is a [Prober] as well, it decides whether the pack is healthy. A panic
// in srv ends the process: whoever evaluates rules recovers those of a single
// rule.
func Serve(name string, srv packv1.PackServiceServer) {
	if os.Getenv(plug.Handshake.MagicCookieKey) != plug.Handshake.MagicCookieValue {
		fmt.Fprintf(os.Stderr, "This is the rule pack %q. It answers a host and cannot be run by hand; start the server or the command line instead.\n", name)
		os.Exit(ExitByHand)
	}
	tuneRuntime()
	watchHost(func() { os.Exit(ExitOrphan) })
	if err := guardStdout(); err != nil {
		fmt.Fprintf(os.Stderr, "The pack %q cannot set its standard output apart: %v.\n", name, err)
	}
	prober, _ := srv.(Prober)
	plugin.Serve(&plugin.ServeConfig{
		HandshakeConfig:  plug.Handshake,
		VersionedPlugins: plug.Versions(srv),
		Logger: hclog.New(&hclog.LoggerOptions{
			Name: name, Level: hclog.Warn, Output: os.Stderr,
		}),
		GRPCServer: func(opts []grpc.ServerOption) *grpc.Server {
			opts = append(opts, plug.ServerOptions()...)
			opts = append(opts, healthOptions(prober)...)
			return grpc.NewServer(opts...)
		},
	})
}

// tuneRuntime sets what suits several packs beside their host on one machine:
// one processor each, because packs run in parallel to each other, and a garbage
// collector that runs less often, because a pack's live heap is small. What the
// environment says about either goes first.
func tuneRuntime() {
	if os.Getenv("GOMAXPROCS") == "" {
		runtime.GOMAXPROCS(1)
	}
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
}
