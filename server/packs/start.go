package packs

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strconv"
	"time"

	"github.com/hashicorp/go-hclog"
	"github.com/hashicorp/go-plugin"
	"github.com/hashicorp/go-plugin/runner"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/protobuf/proto"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	"slipfit.example/proto/slipfit/pack/v1/plug"
)

// starter starts processes of one pack.
type starter struct {
	launch  Launch
	options Options
	run     *runDir
	spawner *spawner
	log     *slog.Logger
	sealed  *os.File // the program, once checked; nil without a digest
}

// start starts one process and returns it ready to be asked, or an error that says
// why not; then no process is left. It takes no longer than the start timeout and a
// moment.
func (s *starter) start(ctx context.Context) (*Instance, error) {
	ctx, cancel := context.WithTimeout(ctx, s.options.StartTimeout)
	defer cancel()
	i, err := s.attempt(ctx)
	if err != nil {
		return nil, fmt.Errorf("the pack %q (%s) did not start: %w", s.launch.Name, s.launch.Command[0], err)
	}
	return i, nil
}

func (s *starter) attempt(ctx context.Context) (*Instance, error) {
	cmd, err := s.command()
	if err != nil {
		return nil, err
	}
	c, conn, err := s.greet(ctx, cmd)
	if err != nil {
		return nil, err
	}
	i := newInstance(s.launch.Name, c, conn, s.options.Probe)
	if err := i.introduce(ctx); err != nil {
		return nil, i.abandon(err)
	}
	return i, nil
}

// command is the program without go-plugin's variables.
func (s *starter) command() (*exec.Cmd, error) {
	path, err := exec.LookPath(s.launch.Command[0])
	if err != nil {
		return nil, fmt.Errorf("its program cannot be found: %w", err)
	}
	cmd := &exec.Cmd{Path: path, Args: s.launch.Command}
	if s.launch.SHA256 != "" {
		if s.sealed == nil {
			if s.sealed, err = seal(path, s.launch.SHA256); err != nil {
				return nil, err
			}
		}
		cmd.Path = "/proc/self/fd/" + strconv.Itoa(int(s.sealed.Fd()))
	}
	for _, key := range s.options.PassEnv {
		if value, ok := os.LookupEnv(key); ok {
			cmd.Env = append(cmd.Env, key+"="+value)
		}
	}
	cmd.Env = append(cmd.Env, s.launch.Env...)
	cmd.Env = append(cmd.Env, plug.EnvWatchStdin+"=1")
	return cmd, nil
}

// close gives up the sealed program.
func (s *starter) close() {
	if s.sealed != nil {
		_ = s.sealed.Close()
	}
}

// greet starts the process, waits for its handshake, and connects. After an error
// the process is gone.
func (s *starter) greet(ctx context.Context, cmd *exec.Cmd) (*child, *grpc.ClientConn, error) {
	var c *child
	release := func() bool { return true }
	config := &plugin.ClientConfig{
		HandshakeConfig:  plug.Handshake,
		Plugins:          plug.Plugins(nil),
		AllowedProtocols: []plugin.Protocol{plugin.ProtocolGRPC},
		Logger:           hclog.NewNullLogger(),
		AutoMTLS:         !s.options.NoTLS,
		SkipHostEnv:      true,
		// The context ends first; this is the second net.
		StartTimeout:     s.options.StartTimeout + time.Second,
		UnixSocketConfig: &plugin.UnixSocketConfig{TempDir: s.run.path},
		RunnerFunc: func(_ hclog.Logger, spec *exec.Cmd, dir string) (runner.Runner, error) {
			cmd.Env = slices.Concat(cmd.Env, spec.Env)
			c = newChild(cmd, dir, !s.options.NoTLS, s.spawner, s.log)
			release = context.AfterFunc(ctx, c.kill)
			return c, nil
		},
	}
	address, err := plugin.NewClient(config).Start()
	runtime.KeepAlive(s.sealed)
	if c == nil {
		return nil, nil, fmt.Errorf("preparing its start: %w", err)
	}
	if err != nil {
		c.kill()
		return nil, nil, s.explain(ctx, c, err)
	}
	conn, err := dial(address, config)
	if err != nil {
		c.kill()
		isClosedWithin(c.exited, killPatience)
		return nil, nil, err
	}
	release()
	return c, conn, nil
}

// explain puts what this package knows in place of go-plugin's words.
func (s *starter) explain(ctx context.Context, c *child, err error) error {
	if !isClosedWithin(c.exited, killPatience) {
		return fmt.Errorf("it hangs in its start and process %s cannot be killed", c.ID())
	}
	switch {
	case errors.Is(context.Cause(ctx), context.Canceled):
		return errStopped
	case c.refused != nil && !errors.Is(c.refused, errNoLine):
		return c.refused
	case ctx.Err() != nil:
		return fmt.Errorf("it gave no handshake within %v%s", s.options.StartTimeout, c.lastWords())
	case c.refused != nil:
		return fmt.Errorf("it gave no handshake; %w", c.exitErr)
	default:
		return err
	}
}

// isClosedWithin waits for a channel to be closed.
func isClosedWithin(ch <-chan struct{}, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ch:
		return true
	case <-timer.C:
		return false
	}
}

// dial makes the connection on an address that the child's checks let pass. It does
// not connect yet.
func dial(address net.Addr, config *plugin.ClientConfig) (*grpc.ClientConn, error) {
	security := insecure.NewCredentials()
	if config.TLSConfig != nil {
		security = credentials.NewTLS(config.TLSConfig)
	}
	conn, err := grpc.NewClient("passthrough:///pack",
		grpc.WithTransportCredentials(security),
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) {
			var d net.Dialer
			return d.DialContext(ctx, "unix", address.String())
		}),
		grpc.WithDefaultCallOptions(plug.CallOptions()...),
		grpc.WithDisableServiceConfig(),
		grpc.WithIdleTimeout(0),
	)
	if err != nil {
		return nil, fmt.Errorf("preparing the connection to it: %w", err)
	}
	return conn, nil
}

// introduce asks the pack what it is and refuses another one than was asked for.
func (i *Instance) introduce(ctx context.Context) error {
	request := &packv1.DescribeRequest{Protocol: proto.Uint32(plug.Protocol)}
	d, err := i.client.Describe(ctx, request, grpc.WaitForReady(true))
	if err != nil {
		return fmt.Errorf("it did not say what it is: %w", err)
	}
	if d.GetName() != i.pack {
		return fmt.Errorf("it calls itself %s; list it by that name, or name the right program", shown(d.GetName()))
	}
	if err := checkProtocol(int(d.GetProtocol())); err != nil {
		return err
	}
	i.describe = d
	i.ready = time.Now()
	close(i.introduced)
	return nil
}
