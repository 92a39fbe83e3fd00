//go:build !race

package document

import "testing"

// The race detector makes sync.Pool forget at random, so that allocations can be
// counted without it only.

func TestAcceptAllocatesNothing(t *testing.T) {
	v := newValidator(t)
	for _, name := range exampleFiles {
		encoded := encode(t, readExample(t, name))
		v.Accept(encoded)
		if n := testing.AllocsPerRun(100, func() { v.Accept(encoded) }); n > 0 {
			t.Errorf("%s: Accept allocates %v times", name, n)
		}
	}
}
