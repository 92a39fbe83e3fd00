package packs

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Going back to a running process by its number can reach a stranger, and calls from
// a pack back into its host are slow and can time out: no code of either side uses them.
func TestNeitherReattachNorBrokerIsUsed(t *testing.T) {
	banned := []string{"Reattach" + "Config", "GRPCBroker" + "."}
	files := 0
	for _, pattern := range []string{"*.go", "../../rules/kit/process/*.go", "../../proto/slipfit/pack/v1/plug/*.go"} {
		paths, err := filepath.Glob(pattern)
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: %d files, %v", pattern, len(paths), err)
		}
		for _, path := range paths {
			body, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			files++
			for _, word := range banned {
				if strings.Contains(string(body), word) {
					t.Errorf("%s uses %s", path, word)
				}
			}
		}
	}
	if files < 20 {
		t.Errorf("only %d files were looked at", files)
	}
}
