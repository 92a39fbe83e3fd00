package main

import (
	"strings"
	"testing"
)

func TestPackFolderFlagsSayWhatTheyWant(t *testing.T) {
	for want, args := range map[string][]string{
		"--pack-folder wants --pack-keys":                    {"--pack-folder", "x"},
		"--pack-folder wants --pack-floor":                   {"--pack-folder", "x", "--pack-keys", "y"},
		"are about --pack-folder; name it":                   {"--allow-unsigned-packs"},
		"none.pub cannot be read: no such file or directory": {"--pack-folder", "x", "--pack-keys", "none.pub", "--pack-floor", "z"},
		"the public key is not in minisign's format":         {"--pack-folder", "x", "--pack-keys", written(t, "bad.pub", "no key"), "--pack-floor", "z"},
	} {
		args = append([]string{"serve", "--listen", "127.0.0.1:0", "--operations", ""}, args...)
		if code, _, errOut := slipfit(t, "", args...); code != exitUsage || !strings.Contains(errOut, want) {
			t.Errorf("%v: exit code %d, errors %q, want %q", args, code, errOut, want)
		}
	}
}
