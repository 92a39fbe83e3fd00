package server_test

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// packsOf are the living pack processes that a process has started, by the name
// of the pack.
func packsOf(t testing.TB, parent int) map[string][]int {
	t.Helper()
	out := map[string][]int{}
	lists, err := filepath.Glob("/proc/" + strconv.Itoa(parent) + "/task/*/children")
	if err != nil || len(lists) == 0 {
		t.Fatalf("the children of process %d cannot be read: %v", parent, err)
	}
	for _, list := range lists {
		children, err := os.ReadFile(list)
		if err != nil {
			continue // a thread that has ended
		}
		for _, child := range strings.Fields(string(children)) {
			pid, err := strconv.Atoi(child)
			if err != nil {
				t.Fatal(err)
			}
			if name := packName(pid); name != "" && alive(pid) {
				out[name] = append(out[name], pid)
			}
		}
	}
	return out
}

// packName tells which pack a process was started as, empty for any other.
func packName(pid int) string {
	environment, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/environ")
	if err != nil {
		return ""
	}
	for _, variable := range strings.Split(string(environment), "\x00") {
		if name, ok := strings.CutPrefix(variable, bePack+"="); ok {
			return name
		}
		if name, ok := strings.CutPrefix(variable, beOther+"="); ok {
			return name
		}
	}
	return ""
}

// alive tells whether a process still runs; one that has ended and was not yet
// collected by its parent does not.
func alive(pid int) bool {
	stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	if err != nil {
		return false
	}
	_, rest, _ := strings.Cut(string(stat), ") ")
	return !strings.HasPrefix(rest, "Z") && !strings.HasPrefix(rest, "X")
}

// signalPack signals every process of a pack of this process, the spare too.
func signalPack(t testing.TB, pack string, signal syscall.Signal) []int {
	t.Helper()
	pids := packsOf(t, os.Getpid())[pack]
	for _, pid := range pids {
		// It may have ended since; then there is nobody to signal.
		_ = syscall.Kill(pid, signal)
	}
	return pids
}
