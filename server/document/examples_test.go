package document

import (
	"os"
	"path/filepath"
	"testing"

	"google.golang.org/protobuf/proto"

	slipfitv1 "slipfit.example/proto/slipfit/v1"
)

// exampleFiles are the example documents, each a CheckRequest.
var exampleFiles = []string{"first-basket.yaml", "field-station.json", "listening-desk.yaml", "spectrogram-bench.yaml"}

func newValidator(t testing.TB) *Validator {
	t.Helper()
	v, err := New()
	if err != nil {
		t.Fatalf("New: %v", err)
	}
	return v
}

// readExample reads an example, its parts from the files beside it.
func readExample(t testing.TB, name string) *slipfitv1.CheckRequest {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatalf("reading the example: %v", err)
	}
	var request slipfitv1.CheckRequest
	options := Options{Resolve: FileResolver("testdata")}
	if _, err := options.Read(filepath.Join("testdata", name), data, &request); err != nil {
		t.Fatalf("Read(%s):\n%v", name, err)
	}
	return &request
}

func encode(t testing.TB, message proto.Message) []byte {
	t.Helper()
	data, err := proto.MarshalOptions{Deterministic: true}.Marshal(message)
	if err != nil {
		t.Fatalf("encoding: %v", err)
	}
	return data
}

func TestExamplesAreGoodOnBothWays(t *testing.T) {
	v := newValidator(t)
	for _, name := range exampleFiles {
		request := readExample(t, name)
		encoded := encode(t, request)
		t.Logf("%s: %d bytes encoded", name, len(encoded))
		for _, violation := range v.Validate(request) {
			t.Errorf("%s: Validate: %v", name, violation)
		}
		if !v.Accept(encoded) {
			t.Errorf("%s: Accept refuses a good document", name)
		}
	}
}

func TestNoFieldOfTheContractIsUnsure(t *testing.T) {
	v := newValidator(t)
	if len(v.fast.unsure) > 0 {
		t.Errorf("the walk does not know every rule of %v", v.fast.unsure)
	}
	if len(v.fast.shapes) < 50 {
		t.Errorf("the table has %d messages; the contract of a question has more than 50", len(v.fast.shapes))
	}
}
