package queue

import (
	"errors"
	"fmt"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
)

// payload is what one message of the embedded server may have.
const payload = 8 << 20

// Embedded is a server within this process that nobody else can reach: it listens
// to no port.
type Embedded struct {
	server *server.Server
	conn   *nats.Conn
	words  *troubles
}

// troubles is a log of the server's that keeps the last trouble alone.
type troubles struct {
	mu   sync.Mutex
	last string
}

func (t *troubles) keep(format string, v []any) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.last = fmt.Sprintf(format, v...)
}

// Errorf and Fatalf keep what the server says; it says the rest to nobody.
func (t *troubles) Errorf(format string, v ...any) { t.keep(format, v) }

// Fatalf is Errorf: the server goes on, or not, by itself.
func (t *troubles) Fatalf(format string, v ...any) { t.keep(format, v) }

// Noticef, Warnf, Debugf and Tracef keep nothing.
func (t *troubles) Noticef(string, ...any) {}

// Warnf keeps nothing.
func (t *troubles) Warnf(string, ...any) {}

// Debugf keeps nothing.
func (t *troubles) Debugf(string, ...any) {}

// Tracef keeps nothing.
func (t *troubles) Tracef(string, ...any) {}

// Trouble is what the server last said was wrong with it, such as a full disk; empty
// where nothing was.
func (e *Embedded) Trouble() string {
	e.words.mu.Lock()
	defer e.words.mu.Unlock()
	return e.words.last
}

// DiskFull tells that the server could not write for want of room.
func (e *Embedded) DiskFull() bool {
	said := e.Trouble()
	return strings.Contains(said, syscall.ENOSPC.Error()) || strings.Contains(said, syscall.EDQUOT.Error())
}

// StartEmbedded starts a server that keeps its streams in a folder, and syncs before
// it acknowledges.
func StartEmbedded(folder string) (*Embedded, error) {
	s, err := server.NewServer(&server.Options{
		ServerName: "slipfit-embedded", DontListen: true, JetStream: true, StoreDir: folder, SyncAlways: true,
		NoSigs: true, NoLog: true, MaxPayload: payload,
	})
	if err != nil {
		return nil, fmt.Errorf("the embedded queue cannot be started: %w", err)
	}
	words := &troubles{}
	s.SetLoggerV2(words, false, false, false)
	s.Start()
	if !s.ReadyForConnections(20 * time.Second) {
		s.Shutdown()
		return nil, errors.New("the embedded queue did not come up within 20 s")
	}
	conn, err := Connect("", nats.InProcessServer(s))
	if err != nil {
		s.Shutdown()
		return nil, err
	}
	return &Embedded{s, conn, words}, nil
}

// Conn is the connection to the server.
func (e *Embedded) Conn() *nats.Conn { return e.conn }

// Stop ends connection and server.
func (e *Embedded) Stop() {
	e.conn.Close()
	e.server.Shutdown()
	e.server.WaitForShutdown()
}
