package queue

import (
	"context"
	"fmt"
	"net"
	"net/url"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"

	"slipfit.example/clients/batch"
)

// gate is a way through the network that can be held: what is sent waits, as on a
// link that is down for a while.
type gate struct {
	listener net.Listener
	to       atomic.Value // string
	mu       sync.Mutex
	held     chan struct{} // nil: open
	all      []net.Conn
}

func newGate(t testing.TB) *gate {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	g := &gate{listener: l}
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go g.carry(c)
		}
	}()
	t.Cleanup(g.close)
	return g
}

func (g *gate) close() {
	_ = g.listener.Close()
	g.release()
	g.mu.Lock()
	defer g.mu.Unlock()
	for _, c := range g.all {
		_ = c.Close()
	}
}

func (g *gate) port() int { return g.listener.Addr().(*net.TCPAddr).Port }

func (g *gate) hold() {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.held = make(chan struct{})
}

func (g *gate) release() {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.held != nil {
		close(g.held)
		g.held = nil
	}
}

func (g *gate) wait() {
	g.mu.Lock()
	held := g.held
	g.mu.Unlock()
	if held != nil {
		<-held
	}
}

func (g *gate) carry(from net.Conn) {
	address, _ := g.to.Load().(string)
	to, err := net.Dial("tcp", address)
	if err != nil {
		_ = from.Close()
		return
	}
	g.mu.Lock()
	g.all = append(g.all, from, to)
	g.mu.Unlock()
	copyThrough := func(to, from net.Conn) {
		defer func() { _, _ = to.Close(), from.Close() }()
		buffer := make([]byte, 32<<10)
		for {
			n, err := from.Read(buffer)
			g.wait()
			if n > 0 {
				if _, err := to.Write(buffer[:n]); err != nil {
					return
				}
			}
			if err != nil {
				return
			}
		}
	}
	go copyThrough(to, from)
	go copyThrough(from, to)
}

// cluster is three servers on this machine, whose ways to each other go through
// gates.
type cluster struct {
	nodes  []*server.Server
	routes []*gate
	client []*gate
}

func startCluster(t testing.TB) *cluster {
	t.Helper()
	c := &cluster{}
	for range 3 {
		c.routes, c.client = append(c.routes, newGate(t)), append(c.client, newGate(t))
	}
	for i := range 3 {
		o := &server.Options{
			ServerName: fmt.Sprintf("node-%d", i), Host: "127.0.0.1", Port: -1, JetStream: true, StoreDir: t.TempDir(), SyncAlways: true,
			NoSigs: true, NoLog: true, MaxPayload: payload,
			Cluster: server.ClusterOpts{
				Name: "archive", Host: "127.0.0.1", Port: -1, Advertise: fmt.Sprintf("127.0.0.1:%d", c.routes[i].port()), PoolSize: -1,
			},
		}
		for j := range 3 {
			if j == i {
				continue
			}
			o.Routes = append(o.Routes, &url.URL{Scheme: "nats", Host: fmt.Sprintf("127.0.0.1:%d", c.routes[j].port())})
		}
		s, err := server.NewServer(o)
		if err != nil {
			t.Fatal(err)
		}
		s.Start()
		t.Cleanup(func() {
			s.Shutdown()
			s.WaitForShutdown()
		})
		waitFor(t, func() bool { return s.ClusterAddr() != nil })
		c.routes[i].to.Store(s.ClusterAddr().String())
		c.nodes = append(c.nodes, s)
	}
	// A node is ready when most of them know each other.
	for i, s := range c.nodes {
		if !s.ReadyForConnections(30 * time.Second) {
			t.Fatalf("node %d does not come up", i)
		}
		c.client[i].to.Store(s.Addr().String())
	}
	waitFor(t, func() bool {
		for _, s := range c.nodes {
			if s.JetStreamIsLeader() {
				return len(s.JetStreamClusterPeers()) == 3
			}
		}
		return false
	})
	return c
}

// join connects to the cluster by way of the nodes given.
func (c *cluster) join(t testing.TB, o Options, nodes ...int) *Queue {
	t.Helper()
	urls := ""
	for _, n := range nodes {
		urls += fmt.Sprintf(",nats://127.0.0.1:%d", c.client[n].port())
	}
	conn, err := Connect(urls[1:])
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(conn.Close)
	q, err := Open(context.Background(), conn, o)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// leader is the node that leads the stream of chunks.
func (c *cluster) leader(t testing.TB, q *Queue) int {
	t.Helper()
	s, err := q.js.Stream(context.Background(), chunkStream)
	if err != nil {
		t.Fatal(err)
	}
	info, err := s.Info(context.Background())
	if err != nil || info.Cluster == nil {
		t.Fatalf("nobody leads: %v", err)
	}
	for i, n := range c.nodes {
		if n.Name() == info.Cluster.Leader {
			return i
		}
	}
	t.Fatalf("%s is no node of the cluster", info.Cluster.Leader)
	return 0
}

// One batch runs while a worker is killed with chunks in its hands, the network
// between all nodes stands still for three seconds, the connections of one node's
// clients do, and the node that leads is shut down. Every line is in the output once.
func TestAClusterThatLosesAWorkerANodeAndTheNetworkLosesNoLine(t *testing.T) {
	c := startCluster(t)
	o := Options{Replicas: 3, AckWait: 1500 * time.Millisecond}
	asking := c.join(t, o, 0, 1, 2)
	slow := func() *refuser {
		return &refuser{before: func(ctx context.Context, _ *batch.Chunk) error {
			select {
			case <-time.After(250 * time.Millisecond):
				return nil
			case <-ctx.Done():
				return ctx.Err()
			}
		}}
	}
	work(t, c.join(t, o, 0, 1, 2), slow(), 2)
	work(t, c.join(t, o, 2, 1, 0), slow(), 2)

	const n = 60_000
	out := output(t)
	var batchRun errorGroup
	batchRun.Go(func() error { return run(t, asking, "job", out, n, 12) })

	// A killed worker: it takes chunks, never reports and never comes back.
	dead := c.join(t, o, 1)
	consumer, err := dead.consumer(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	taken := 0
	waitFor(t, func() bool {
		got, err := consumer.FetchNoWait(2)
		if err == nil {
			for range got.Messages() {
				taken++
			}
		}
		return taken >= 2
	})
	dead.conn.Close()

	// The network stands still.
	for _, g := range c.routes {
		g.hold()
	}
	time.Sleep(3 * time.Second)
	for _, g := range c.routes {
		g.release()
	}
	time.Sleep(time.Second)
	c.client[2].hold()
	time.Sleep(2 * time.Second)
	c.client[2].release()

	// The leader goes.
	leader := -1
	waitFor(t, func() bool {
		s, err := asking.js.Stream(context.Background(), chunkStream)
		if err != nil {
			return false
		}
		info, err := s.Info(context.Background())
		return err == nil && info.Cluster != nil && info.Cluster.Leader != ""
	})
	leader = c.leader(t, asking)
	select {
	case err := <-batchRun.results[0]:
		t.Fatalf("the run ended before the node did, and shows nothing: %v", err)
	default:
	}
	c.nodes[leader].Shutdown()

	if err := batchRun.Wait(); err != nil {
		t.Fatal(err)
	}
	once(t, out, n)
}
