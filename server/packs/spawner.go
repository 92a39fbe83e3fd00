package packs

import (
	"errors"
	"os/exec"
	"runtime"
)

// errSpawnerClosed is what a start after the end of the supervisor gets.
var errSpawnerClosed = errors.New("the supervisor of the packs has stopped; start a new one")

// spawner starts processes from one thread that lives as long as it does. A
// parent-death signal is sent when the thread that started the process ends, not when
// the host does, and Go ends threads as it likes.
type spawner struct {
	requests chan spawnRequest
	quit     chan struct{}
	ended    chan struct{}
}

type spawnRequest struct {
	cmd    *exec.Cmd
	result chan error
}

func newSpawner() *spawner {
	s := &spawner{
		requests: make(chan spawnRequest),
		quit:     make(chan struct{}),
		ended:    make(chan struct{}),
	}
	go s.run()
	return s
}

func (s *spawner) run() {
	// Never unlocked: the thread ends with this function.
	runtime.LockOSThread()
	defer close(s.ended)
	for {
		select {
		case r := <-s.requests:
			r.result <- r.cmd.Start()
		case <-s.quit:
			return
		}
	}
}

// start starts cmd on the spawner's thread.
func (s *spawner) start(cmd *exec.Cmd) error {
	r := spawnRequest{cmd: cmd, result: make(chan error, 1)}
	select {
	case s.requests <- r:
		return <-r.result
	case <-s.quit:
		return errSpawnerClosed
	}
}

// close ends the thread, and with it every process of it that still runs. It must
// be called once.
func (s *spawner) close() {
	close(s.quit)
	<-s.ended
}
