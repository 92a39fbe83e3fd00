package packs

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/hashicorp/go-plugin/runner"
)

// pipeGrace is how long output is read after a process has ended. Whoever inherited
// the pipe and left the process group could hold it for ever.
const pipeGrace = 250 * time.Millisecond

// child is one process. It is what go-plugin calls a runner, but go-plugin sees of
// its output only a handshake line that was judged already.
type child struct {
	cmd     *exec.Cmd
	dir     string // for its socket
	withTLS bool
	nice    int // how far it stands back
	spawner *spawner
	printed *lineSink // standard error, and standard output after the handshake

	input          *os.File // kept open while the host lives
	stdout, stderr *os.File
	pumps          sync.WaitGroup

	judged  chan struct{} // closed when greeted or refused is set
	greeted string        // the handshake line
	said    greeting      // what it says
	refused error
	exited  chan struct{} // closed when collected and swept
	exitErr error

	mu       sync.Mutex
	process  *os.Process // nil until started
	killed   bool
	collects bool // from here on the number may belong to another process
}

var _ runner.Runner = (*child)(nil)

// newChild prepares a process in a socket folder of its own.
func newChild(cmd *exec.Cmd, dir string, o Options, s *spawner, log *slog.Logger) *child {
	return &child{
		cmd: cmd, dir: dir, withTLS: !o.NoTLS, nice: o.Niceness, spawner: s,
		printed: newLineSink(func(line string) { log.Info("the pack printed a line", "line", line) }),
		judged:  make(chan struct{}),
		exited:  make(chan struct{}),
	}
}

// Start starts the process and everything that reads from it.
func (c *child) Start(context.Context) error {
	if err := c.spawn(); err != nil {
		c.refused, c.exitErr = err, err
		close(c.judged)
		_ = os.RemoveAll(c.dir)
		close(c.exited)
		return err
	}
	c.pumps.Go(func() { c.printed.drain(c.stderr) })
	c.pumps.Go(c.readStdout)
	go c.collect()
	return nil
}

// spawn starts the process with three pipes.
func (c *child) spawn() error {
	var theirs [3]*os.File
	var err error
	defer func() {
		closeAll(theirs[:]...)
		if err != nil {
			closeAll(c.input, c.stdout, c.stderr)
		}
	}()
	if theirs[0], c.input, err = os.Pipe(); err != nil {
		return fmt.Errorf("making a pipe: %w", err)
	}
	if c.stdout, theirs[1], err = os.Pipe(); err != nil {
		return fmt.Errorf("making a pipe: %w", err)
	}
	if c.stderr, theirs[2], err = os.Pipe(); err != nil {
		return fmt.Errorf("making a pipe: %w", err)
	}
	c.cmd.Stdin, c.cmd.Stdout, c.cmd.Stderr = theirs[0], theirs[1], theirs[2]
	c.cmd.SysProcAttr = groupAttributes()
	if err = c.spawner.start(c.cmd); err != nil {
		return fmt.Errorf("it cannot be started: %w", err)
	}
	if c.nice > 0 {
		// A system that does not let a process stand back is no reason not to run it.
		_ = standBack(c.cmd.Process, c.nice)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.process = c.cmd.Process
	if c.killed {
		killGroup(c.process)
	}
	return nil
}

func closeAll(files ...*os.File) {
	for _, f := range files {
		if f != nil {
			_ = f.Close()
		}
	}
}

// readStdout judges the first line and drains the rest.
func (c *child) readStdout() {
	r := bufio.NewReader(c.stdout)
	line, err := readFirstLine(r)
	if err == nil {
		err = c.judge(line)
	} else {
		err = c.withoutLine(line, err)
	}
	if err != nil {
		c.refused = err
		c.kill()
	} else {
		c.greeted = line
	}
	close(c.judged)
	c.printed.drain(r)
}

func (c *child) judge(line string) error {
	g, err := parseGreeting(line)
	if err != nil {
		return err
	}
	c.said = g
	return g.check(c.dir, c.withTLS)
}

// withoutLine explains output that had no first line.
func (c *child) withoutLine(seen string, err error) error {
	if !errors.Is(err, errNoLine) {
		return fmt.Errorf("%w: %s; let it print to standard error", err, shown(seen))
	}
	if seen != "" {
		return fmt.Errorf("it wrote %s to standard output and no handshake; let it print to standard error", shown(seen))
	}
	return errNoLine
}

// collect waits for the end of the process, takes its group with it, and sweeps.
func (c *child) collect() {
	err := collect(c.cmd, func() {
		c.mu.Lock()
		defer c.mu.Unlock()
		c.collects = true
		killGroup(c.process)
	})
	overdue := time.AfterFunc(pipeGrace, func() { closeAll(c.stdout, c.stderr) })
	c.pumps.Wait()
	overdue.Stop()
	closeAll(c.input, c.stdout, c.stderr)
	_ = os.RemoveAll(c.dir)
	c.exitErr = c.exitReason(err)
	close(c.exited)
}

// exitReason says how the process ended and what it said last.
func (c *child) exitReason(err error) error {
	how := "it ended by itself"
	if err != nil {
		how = "it ended with " + err.Error()
	}
	return errors.New(how + c.lastWords())
}

// lastWords is the end of a sentence that says what the process printed last.
func (c *child) lastWords() string {
	words := c.printed.lastWords()
	if words == "" {
		return ""
	}
	return "; it said " + shown(words)
}

// kill ends the process and its group without asking, and does not wait.
func (c *child) kill() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.killed = true
	if c.process != nil && !c.collects {
		killGroup(c.process)
	}
}

// hangUp tells a pack that watches its input that nobody needs it.
func (c *child) hangUp() { _ = c.input.Close() }

// Kill ends the process without asking.
func (c *child) Kill(context.Context) error {
	c.kill()
	return nil
}

// Wait returns when the process has ended.
func (c *child) Wait(context.Context) error {
	<-c.exited
	return nil
}

// Stdout is the handshake line once it was judged, and nothing else.
func (c *child) Stdout() io.ReadCloser { return io.NopCloser(&greetingReader{child: c}) }

// Stderr is empty: it is read elsewhere, with limits.
func (c *child) Stderr() io.ReadCloser { return io.NopCloser(strings.NewReader("")) }

// Name is the program.
func (c *child) Name() string { return c.cmd.Path }

// ID is the number of the process.
func (c *child) ID() string {
	return strconv.Itoa(c.pid())
}

// pid is the number of the process, zero before its start.
func (c *child) pid() int {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.process == nil {
		return 0
	}
	return c.process.Pid
}

// Diagnose has nothing to add: errors are explained by this package.
func (c *child) Diagnose(context.Context) string { return "" }

// PluginToHost passes an address on if it may be dialled.
func (c *child) PluginToHost(network, address string) (string, string, error) {
	return network, address, checkAddress(network, address, c.dir)
}

// HostToPlugin serves go-plugin's broker, which packs never use.
func (c *child) HostToPlugin(string, string) (string, string, error) {
	return "", "", errors.New("packs cannot call their host")
}

// greetingReader gives the handshake line when it was judged.
type greetingReader struct {
	child *child
	line  io.Reader
}

// Read waits for the judgement; a refused line reads as nothing at all.
func (r *greetingReader) Read(p []byte) (int, error) {
	if r.line == nil {
		<-r.child.judged
		r.line = strings.NewReader("")
		if r.child.refused == nil {
			r.line = strings.NewReader(r.child.greeted + "\n")
		}
	}
	return r.line.Read(p)
}
