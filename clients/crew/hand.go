package crew

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"time"

	"slipfit.example/clients/batch"
)

// hand is one process that answers lines.
type hand struct {
	command  *exec.Cmd
	in       io.WriteCloser
	out      *bufio.Reader
	said     *lastWords
	rules    string
	patience time.Duration
}

// startPatience is how long a process may take to be ready.
const startPatience = time.Minute

// handSettings suit several hands beside each other, where the environment does not
// say otherwise: one processor each, and a garbage collector that runs less often
// while there is room, because what a hand keeps is small.
var handSettings = []string{"GOMAXPROCS=1", "GOGC=400", "GOMEMLIMIT=384MiB"}

// errSilent says that a hand was ended because it did not answer.
var errSilent = errors.New("it did not answer")

func startHand(o *Options) (*hand, error) {
	h := &hand{command: exec.Command(o.Command[0], o.Command[1:]...), said: &lastWords{}, patience: o.Patience}
	h.command.Env = append(os.Environ(), o.Env...)
	for _, setting := range handSettings {
		name, _, _ := strings.Cut(setting, "=")
		if os.Getenv(name) == "" {
			h.command.Env = append(h.command.Env, setting)
		}
	}
	h.command.Stderr = h.said
	in, err := h.command.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := h.command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	h.in, h.out = in, bufio.NewReaderSize(out, 256<<10)
	if err := h.command.Start(); err != nil {
		return nil, err
	}
	late := time.AfterFunc(startPatience, h.kill)
	kind, data, err := readFrame(h.out)
	late.Stop()
	if err != nil || kind != frameReady {
		return nil, h.end(errors.New("it did not say that it is ready"))
	}
	h.rules = string(data)
	return h, nil
}

func (h *hand) kill() { _ = h.command.Process.Kill() }

// stop ends a hand that has nothing to do.
func (h *hand) stop() {
	_ = h.in.Close()
	late := time.AfterFunc(time.Second, h.kill)
	_ = h.command.Wait()
	late.Stop()
}

// end ends a hand and says how it ended.
func (h *hand) end(why error) error {
	_ = h.in.Close()
	h.kill()
	err := h.command.Wait()
	var ended *exec.ExitError
	switch words := h.said.first(); {
	case errors.Is(why, errSilent):
		return fmt.Errorf("%w for %v", errSilent, h.patience)
	case words != "":
		return fmt.Errorf("it said %q", words)
	case errors.As(err, &ended):
		return fmt.Errorf("it ended with %q", ended.ProcessState)
	}
	return why
}

// answer has a chunk answered; tell gets each line as it comes. Whatever the error,
// the hand has ended with it.
func (h *hand) answer(ctx context.Context, c *batch.Chunk, careful bool, tell func(i int, output []byte, o batch.Outcome) error) error {
	silent := make(chan struct{})
	watch := time.AfterFunc(h.patience, sync.OnceFunc(func() {
		close(silent)
		h.kill()
	}))
	stopped := context.AfterFunc(ctx, h.kill)
	defer stopped()
	defer watch.Stop()
	err := h.converse(c, careful, func(i int, output []byte, o batch.Outcome) error {
		watch.Reset(h.patience)
		return tell(i, output, o)
	})
	if err == nil {
		return nil
	}
	select {
	case <-silent:
		err = errSilent
	default:
	}
	return h.end(err)
}

func (h *hand) converse(c *batch.Chunk, careful bool, tell func(i int, output []byte, o batch.Outcome) error) error {
	data, err := c.Encode(nil)
	if err != nil {
		return err
	}
	kind := byte(frameChunk)
	if careful {
		kind = frameCareful
	}
	if err := writeFrame(h.in, kind, data); err != nil {
		return err
	}
	for range c.Lines {
		kind, data, err := readFrame(h.out)
		if err != nil {
			return err
		}
		if kind != frameLine {
			return errors.New("it answered something else than lines")
		}
		i, o, output, err := lineOf(data)
		if err == nil {
			err = tell(i, output, o)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// lastWords keeps the beginning of what a process says before it ends.
type lastWords struct {
	mu   sync.Mutex
	text []byte
}

func (l *lastWords) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.text = append(l.text, p[:min(len(p), 4<<10-len(l.text))]...)
	return len(p), nil
}

// first is the first line that was said.
func (l *lastWords) first() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	line, _, _ := strings.Cut(strings.TrimSpace(string(l.text)), "\n")
	return line
}
