package queue

import (
	"bytes"
	"context"
	"os"
	"testing"

	"github.com/nats-io/nats.go/jetstream"

	"slipfit.example/clients/batch"
)

// catalogueChunk is a chunk of 256 lines as builds are written: the demo's catalogue of
// enclosures stands in for the text, a slice of 24 kB each.
func catalogueChunk(b *testing.B) *batch.Chunk {
	b.Helper()
	text, err := os.ReadFile("../demo/parts/chassis.yaml")
	if err != nil {
		b.Fatal(err)
	}
	text = bytes.Repeat(text, 1+64<<10/len(text))
	c := &batch.Chunk{ID: "1-256", Job: &batch.Job{}}
	for i := range 256 {
		c.Lines = append(c.Lines, batch.Line{Number: int64(i + 1), Text: text[i*7 : i*7+24<<10]})
	}
	return c
}

// BenchmarkEncodeChunk is what the asking machine does for a chunk, in lines a second.
func BenchmarkEncodeChunk(b *testing.B) {
	c := catalogueChunk(b)
	var size int
	for b.Loop() {
		data, err := encodeChunk(c)
		if err != nil {
			b.Fatal(err)
		}
		size = len(data)
	}
	b.ReportMetric(256*float64(b.N)/b.Elapsed().Seconds(), "lines/s")
	b.ReportMetric(float64(size), "bytes/chunk")
}

// BenchmarkPublish is one chunk acknowledged by the embedded server, which syncs first.
func BenchmarkPublish(b *testing.B) {
	_, q := embedded(b, Options{Chunks: 1 << 20})
	data := noise(40_000)
	for b.Loop() {
		if _, err := q.js.Publish(context.Background(), chunkSubject+"bench.x", data, jetstream.WithExpectStream(chunkStream)); err != nil {
			b.Fatal(err)
		}
	}
}
