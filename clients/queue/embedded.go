package queue

import (
	"errors"
	"fmt"
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
	return &Embedded{s, conn}, nil
}

// Conn is the connection to the server.
func (e *Embedded) Conn() *nats.Conn { return e.conn }

// Stop ends connection and server.
func (e *Embedded) Stop() {
	e.conn.Close()
	e.server.Shutdown()
	e.server.WaitForShutdown()
}
