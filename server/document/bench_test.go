package document

import (
	"testing"

	"google.golang.org/protobuf/proto"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// BenchmarkValidation shows side by side, in one run, what the ways cost for the
// same document; B/doc is the document's encoded size.
func BenchmarkValidation(b *testing.B) {
	v := newValidator(b)
	for _, name := range exampleFiles {
		request := readExample(b, name)
		encoded := encode(b, request)
		run := func(way string, f func() bool) {
			b.Run(name+"/"+way, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if !f() {
						b.Fatal("a good document is refused")
					}
				}
				b.ReportMetric(float64(len(encoded)), "B/doc")
			})
		}
		run("rules", func() bool { return v.rules.Validate(request) == nil })
		run("decode", func() bool {
			var m slipfitv1.CheckRequest
			return proto.Unmarshal(encoded, &m) == nil
		})
		run("decode+rules", func() bool {
			var m slipfitv1.CheckRequest
			return proto.Unmarshal(encoded, &m) == nil && v.rules.Validate(&m) == nil
		})
		run("checkSlowly", func() bool { return len(v.checkSlowly(encoded)) == 0 })
		run("accept", func() bool { return v.Accept(encoded) })
	}
}
