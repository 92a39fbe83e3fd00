package packs

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/hashicorp/go-plugin"
)

// longestHandshake bounds the handshake line in bytes. With a certificate it has
// about 1 KiB.
const longestHandshake = 8 << 10

// shownLine is how much of a wrong first line an error shows, in bytes.
const shownLine = 120

// errNoLine says that output ended before a first line did.
var errNoLine = errors.New("output ended before its first line")

// readFirstLine reads to the first line feed, which it leaves out.
func readFirstLine(r *bufio.Reader) (string, error) {
	var line []byte
	for {
		piece, err := r.ReadSlice('\n')
		line = append(line, piece...)
		switch {
		case err == nil:
			return strings.TrimRight(string(line), "\r\n"), nil
		case len(line) > longestHandshake:
			return string(line), fmt.Errorf("its first line has more than %d bytes", longestHandshake)
		case errors.Is(err, bufio.ErrBufferFull):
		case errors.Is(err, io.EOF), errors.Is(err, fs.ErrClosed):
			return string(line), errNoLine
		default:
			return string(line), fmt.Errorf("reading its output: %w", err)
		}
	}
}

// greeting is a handshake line taken apart: fields between bars, of which go-plugin
// defines the first six.
type greeting struct {
	protocol           int
	network, address   string
	transport, certify string
}

// parseGreeting refuses everything that is not a handshake line.
func parseGreeting(line string) (greeting, error) {
	unlike := fmt.Errorf("it wrote %s to standard output before the handshake; let it print to standard error", shown(line))
	fields := strings.Split(line, "|")
	if len(fields) < 5 {
		return greeting{}, unlike
	}
	core, err := strconv.Atoi(fields[0])
	if err != nil {
		return greeting{}, unlike
	}
	if core != plugin.CoreProtocolVersion {
		return greeting{}, fmt.Errorf("its handshake has the form %d and this host reads the form %d; build the pack with the same release of go-plugin", core, plugin.CoreProtocolVersion)
	}
	g := greeting{network: fields[2], address: fields[3], transport: fields[4]}
	if g.protocol, err = strconv.Atoi(fields[1]); err != nil {
		return greeting{}, unlike
	}
	if len(fields) > 5 {
		g.certify = fields[5]
	}
	return g, nil
}

// check refuses a greeting that this host must not follow. dir is the folder that
// the pack was given for its socket.
func (g greeting) check(dir string, wantCertificate bool) error {
	if err := checkProtocol(g.protocol); err != nil {
		return err
	}
	if g.transport != string(plugin.ProtocolGRPC) {
		return fmt.Errorf("it offers the transport %s and only gRPC is spoken; build it with the pack kit", shown(g.transport))
	}
	// go-plugin takes a short field for filler of an old release.
	if wantCertificate && len(g.certify) <= 50 {
		return errors.New("it offers no certificate though the host asked for one; build it with a current go-plugin, or run the host without certificates")
	}
	return checkAddress(g.network, g.address, dir)
}

// checkAddress refuses every address but a Unix socket that lies in the pack's own
// folder: a pack must not be able to send its host anywhere else.
func checkAddress(network, address, dir string) error {
	if network != "unix" {
		return fmt.Errorf("it offers the address %s; only a Unix socket in its own folder is dialled", shown(network+" "+address))
	}
	if filepath.Clean(address) != address || filepath.Dir(address) != filepath.Clean(dir) {
		return fmt.Errorf("it offers the socket %s, which is not in its own folder; let go-plugin choose the socket", shown(address))
	}
	info, err := os.Lstat(address)
	if err != nil {
		// The path that the error repeats has the pack's own length.
		return fmt.Errorf("it offers the socket %s, which cannot be looked at: %w", shown(address), errors.Unwrap(err))
	}
	if info.Mode().Type() != fs.ModeSocket {
		return fmt.Errorf("it offers %s, which is no socket; let go-plugin make the socket", shown(address))
	}
	return nil
}

// shown quotes what a pack wrote, cut to a readable length.
func shown(text string) string {
	if len(text) > shownLine {
		return strconv.Quote(text[:shownLine]) + " and more"
	}
	return strconv.Quote(text)
}
