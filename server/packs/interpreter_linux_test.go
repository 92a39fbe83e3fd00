package packs

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The interpreter here is env(1) of POSIX, which runs the file that it is given: what
// counts is that it gets the sealed copy, and not the path.
func TestInterpretersRunTheCheckedFile(t *testing.T) {
	own := self(t, "spoken", "serves")
	body, err := os.ReadFile(own.Command[0])
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(shortDir(t), "pack")
	if err := os.WriteFile(file, body, 0o600); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(body)
	launch := own
	launch.Interpreter, launch.Command, launch.SHA256 = []string{"env", "SPOKEN=yes"}, []string{file}, hex.EncodeToString(sum[:])
	s := supervise(t, Options{}, launch)
	i := live(t, s.Pack("spoken"))
	if got := mustTell(t, i, "environment"); !strings.Contains(got, "SPOKEN=yes") {
		t.Errorf("the interpreter did not run it: %s", got)
	}
	ran, err := os.Readlink("/proc/" + i.child.ID() + "/exe")
	if err != nil || !strings.Contains(ran, "memfd:pack") {
		t.Errorf("%q runs, error %v", ran, err)
	}
	if err := s.Stop(t.Context()); err != nil {
		t.Fatal(err)
	}
	// Other bytes are refused before anything of theirs runs.
	if err := os.WriteFile(file, append(body, 0), 0o600); err != nil {
		t.Fatal(err)
	}
	s = supervise(t, once(), launch)
	if err := s.Pack("spoken").Status().LastError; err == nil || !strings.Contains(err.Error(), "and not the stated") {
		t.Errorf("error %v", err)
	}
}

func TestAnInterpreterThatIsNotThereIsNamed(t *testing.T) {
	launch := self(t, "spoken", "serves")
	launch.Interpreter = []string{"/nowhere/python3"}
	s := supervise(t, once(), launch)
	if err := s.Pack("spoken").Status().LastError; err == nil || !strings.Contains(err.Error(), "/nowhere/python3") {
		t.Errorf("error %v", err)
	}
}
