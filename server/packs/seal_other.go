//go:build !linux

package packs

import (
	"errors"
	"os"
)

// seal refuses: without sealed memory, the file that was checked need not be the
// file that runs.
func seal(string, string) (*os.File, error) {
	return nil, errors.New("a program's digest can only be held to on Linux; leave it out or run there")
}
