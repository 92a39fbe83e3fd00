package packs

import (
	"bufio"
	"path/filepath"
	"strings"
	"testing"
)

// Whatever a pack writes first, nothing is accepted that lies outside its folder, and no
// error shows more of it than a line.
func FuzzGreeting(f *testing.F) {
	dir := f.TempDir()
	for _, seed := range []string{
		"1|1|unix|" + dir + "/s|grpc|\n", "1|1|tcp|127.0.0.1:80|grpc|\n", "1|1|unix|" + dir + "/../s|grpc\n",
		"hello\n", "||||\n", "1|1|unix|" + dir + "/" + strings.Repeat("l", 4000) + "|grpc\n", "1|2|unix||grpc|" + strings.Repeat("c", 100), "",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, output string) {
		line, err := readFirstLine(bufio.NewReaderSize(strings.NewReader(output), 16))
		if len(line) > longestHandshake+16 {
			t.Fatalf("a first line of %d bytes", len(line))
		}
		if err != nil {
			return
		}
		g, err := parseGreeting(line)
		if err == nil {
			err = g.check(dir, false)
		}
		if err == nil {
			t.Fatalf("accepted %q, though there is no socket in %s", line, dir)
		}
		if len(err.Error()) > 8*shownLine+len(dir) {
			t.Fatalf("an error of %d bytes", len(err.Error()))
		}
	})
}

func TestGreetingIsTakenApart(t *testing.T) {
	certificate := strings.Repeat("c", 60)
	got, err := parseGreeting("1|7|unix|/run/x/s|grpc|" + certificate)
	want := greeting{protocol: 7, network: "unix", address: "/run/x/s", transport: "grpc", certify: certificate}
	if err != nil || got != want {
		t.Errorf("%+v, %v\nwant %+v", got, err, want)
	}
	if err := checkAddress("unix", filepath.Join(t.TempDir(), "s"), "/elsewhere"); err == nil {
		t.Error("a socket in another folder was accepted")
	}
}
