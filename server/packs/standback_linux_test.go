package packs

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Every thread of a pack stands back, not the first alone: on Linux each has a
// niceness of its own (proc_pid_stat(5), field 19).
func TestPacksStandBack(t *testing.T) {
	o := once()
	o.Niceness = 7
	s := supervise(t, o, self(t, "kind", "serves"))
	files, err := filepath.Glob("/proc/" + live(t, s.Pack("kind")).child.ID() + "/task/*/stat")
	if err != nil || len(files) == 0 {
		t.Fatalf("no threads: %v", err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			continue // the thread has ended
		}
		// The second field is a name in brackets, which may hold anything.
		_, after, _ := strings.Cut(string(data), ") ")
		if nice := strings.Fields(after)[16]; nice != "7" {
			t.Errorf("%s has the niceness %s, want 7", file, nice)
		}
	}
}
