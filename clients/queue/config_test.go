package queue

import (
	"testing"

	"github.com/nats-io/nats-server/v2/server"
)

// The configuration that is shipped is one that the server understands, and keeps
// what the documentation promises.
func TestTheShippedConfigurationSyncsBeforeItAcknowledges(t *testing.T) {
	t.Setenv("NODE", "queue-1")
	t.Setenv("STORE", t.TempDir())
	o, err := server.ProcessConfigFile("../../deploy/nats/node.conf")
	if err != nil {
		t.Fatal(err)
	}
	if !o.SyncAlways || !o.JetStream || o.Cluster.Name == "" || len(o.Routes) != 3 || o.MaxPayload != payload {
		t.Errorf("it syncs always: %v; jetstream %v; cluster %q with %d routes; messages of %d bytes", o.SyncAlways, o.JetStream, o.Cluster.Name, len(o.Routes), o.MaxPayload)
	}
}
