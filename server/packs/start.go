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
		if s.launch.Name == "" {
			return nil, fmt.Errorf("%s did not start as a pack: %w", s.launch.Command[0], err)
		}
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
	if err := i.introduce(ctx, s.launch.Accept); err != nil {
		return nil, i.abandon(err)
	}
	return i, nil
}

// command is the program without go-plugin's variables.
func (s *starter) command() (*exec.Cmd, error) {
	cmd, err := s.program()
	if err != nil {
		return nil, err
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

// program is what is run: the file as it lies, or its sealed copy, by itself or in an
// interpreter.
func (s *starter) program() (*exec.Cmd, error) {
	if s.launch.SHA256 != "" && s.sealed == nil {
		sealed, err := seal(s.launch.Command[0], s.launch.SHA256)
		if err != nil {
			return nil, err
		}
		s.sealed = sealed
	}
	runs := slices.Concat(s.launch.Interpreter, s.launch.Command)
	cmd := &exec.Cmd{Args: runs}
	switch {
	case len(s.launch.Interpreter) > 0 && s.sealed != nil:
		// The interpreter opens the copy itself, which it inherits as the first file
		// after the three standard ones.
		cmd.ExtraFiles = []*os.File{s.sealed}
		cmd.Args[len(s.launch.Interpreter)] = "/proc/self/fd/3"
	case s.sealed != nil:
		cmd.Path = "/proc/self/fd/" + strconv.Itoa(int(s.sealed.Fd()))
		return cmd, nil
	}
	path, err := exec.LookPath(runs[0])
	if err != nil {
		return nil, fmt.Errorf("its program cannot be found: %w", err)
	}
	cmd.Path = path
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
		VersionedPlugins: plug.Versions(nil),
		AllowedProtocols: []plugin.Protocol{plugin.ProtocolGRPC},
		Logger:           hclog.NewNullLogger(),
		SkipHostEnv:      true,
		// The context ends first; this is the second net.
		StartTimeout:     s.options.StartTimeout + time.Second,
		UnixSocketConfig: &plugin.UnixSocketConfig{TempDir: s.run.path},
		RunnerFunc: func(_ hclog.Logger, spec *exec.Cmd, dir string) (runner.Runner, error) {
			cmd.Env = slices.Concat(cmd.Env, spec.Env)
			c = newChild(cmd, dir, s.options, s.spawner, s.log)
			release = context.AfterFunc(ctx, c.kill)
			return c, nil
		},
	}
	if !s.options.NoTLS {
		identity, variable, err := newIdentity()
		if err != nil {
			return nil, nil, fmt.Errorf("preparing its start: %w", err)
		}
		config.TLSConfig = identity
		cmd.Env = append(cmd.Env, variable)
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
