package document

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// drawn makes choices that a property test can shrink.
type drawn struct{ t *rapid.T }

func (d drawn) IntN(n int) int { return rapid.IntRange(0, n-1).Draw(d.t, "choice") }

// agree holds the walk against the long way for one canonical encoding: there,
// they have to say the same.
func agree(t rapid.TB, v *Validator, request *slipfitv1.CheckRequest) (good bool) {
	encoded, err := proto.Marshal(request)
	if err != nil {
		t.Fatalf("encoding: %v", err)
	}
	violations := v.checkSlowly(encoded)
	for _, violation := range violations {
		// The library's own words say neither the name nor the next step.
		if strings.Contains(violation.Reason, "must ") || !strings.Contains(violation.Reason, " ") {
			t.Fatalf("%v is not in this package's words", violation)
		}
	}
	if accepted := v.Accept(encoded); accepted != (len(violations) == 0) {
		t.Fatalf("Accept says %v, the long way finds %v in\n%v", accepted, violations, request)
	}
	return len(violations) == 0
}

func TestWalkAndLongWayAgreeOnMutatedDocuments(t *testing.T) {
	v := newValidator(t)
	const rounds = 3000
	c := rand.New(rand.NewPCG(41, 42))
	good := 0
	for _, name := range exampleFiles {
		example := readExample(t, name)
		for range rounds / len(exampleFiles) {
			request := proto.CloneOf(example)
			for range 1 + c.IntN(3) {
				mutate(c, request.ProtoReflect())
			}
			if agree(t, v, request) {
				good++
			}
		}
	}
	// Both kinds have to occur, or the comparison says little.
	if good < rounds/10 || good > rounds*9/10 {
		t.Errorf("%d of %d mutated documents are good; the mutations are too wild or too tame", good, rounds)
	}
	t.Logf("%d of %d mutated documents were good", good, rounds)
}

func TestWalkAndLongWayAgreeProperty(t *testing.T) {
	v := newValidator(t)
	var examples []*slipfitv1.CheckRequest
	for _, name := range exampleFiles {
		examples = append(examples, readExample(t, name))
	}
	rapid.Check(t, func(t *rapid.T) {
		c := drawn{t}
		request := proto.CloneOf(examples[c.IntN(len(examples))])
		for range 1 + c.IntN(3) {
			mutate(c, request.ProtoReflect())
		}
		agree(t, v, request)
	})
}

// TestScrambledBytes changes valid documents as bytes: nothing may crash, and
// what the walk accepts has to be good by the long way.
func TestScrambledBytes(t *testing.T) {
	v := newValidator(t)
	const rounds = 10_000
	c := rand.New(rand.NewPCG(7, 11))
	var encodings [][]byte
	for _, name := range exampleFiles {
		encodings = append(encodings, encode(t, readExample(t, name)))
	}
	accepted := 0
	for range rounds {
		data := encodings[c.IntN(len(encodings))]
		for range 1 + c.IntN(2) {
			data = scramble(c, data)
		}
		if !v.Accept(data) {
			// Still it must not crash.
			v.Check(data)
			continue
		}
		accepted++
		if violations := v.checkSlowly(data); len(violations) > 0 {
			t.Fatalf("Accept takes %x; the long way finds %v", data, violations)
		}
	}
	if accepted == 0 {
		t.Error("no scrambled document was accepted; nothing was compared")
	}
	t.Logf("%d of %d scrambled documents were accepted", accepted, rounds)
}

func TestAcceptPartAgreesWithValidatePart(t *testing.T) {
	v := newValidator(t)
	c := rand.New(rand.NewPCG(3, 5))
	for _, name := range exampleFiles {
		for _, item := range readExample(t, name).Build.Items {
			if !v.AcceptPart(encode(t, item.Part)) {
				t.Errorf("%s: the part of %s is not accepted", name, item.GetId())
			}
			for range 50 {
				part := proto.CloneOf(item.Part)
				mutate(c, part.ProtoReflect())
				encoded := encode(t, part)
				if accepted, found := v.AcceptPart(encoded), v.ValidatePart(part); len(encoded) > 0 && accepted != (len(found) == 0) {
					t.Fatalf("AcceptPart says %v, ValidatePart finds %v in\n%v", accepted, found, part)
				}
			}
		}
	}
}

func FuzzCheckBinary(f *testing.F) {
	v := newValidator(f)
	for _, name := range exampleFiles {
		f.Add(encode(f, readExample(f, name)))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		before := bytes.Clone(data)
		accepted, found := v.Accept(data), v.checkSlowly(data)
		if accepted && len(found) > 0 {
			t.Fatalf("Accept takes it; the long way finds %v", found)
		}
		if !bytes.Equal(before, data) {
			t.Fatal("the document was changed")
		}
		if len(found) > 0 {
			return
		}
		// In canonical form, what is good is accepted.
		var request slipfitv1.CheckRequest
		if err := proto.Unmarshal(data, &request); err != nil {
			t.Fatalf("a good document cannot be decoded: %v", err)
		}
		if canonical := encode(t, &request); !v.Accept(canonical) {
			t.Fatalf("a good document in canonical form is not accepted: %v", &request)
		}
	})
}
