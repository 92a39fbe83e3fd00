package main

import (
	"errors"
	"fmt"
	"os"

	"github.com/spf13/pflag"

	"slipfit.example/server/shelf"
)

// shelfOptions are the flags about the folder of external packs.
type shelfOptions struct {
	path     string
	keys     []string
	floor    string
	unsigned bool
}

func (o *shelfOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.path, "pack-folder", "", "serve the external packs of `FOLDER` too, and follow its changes")
	f.StringSliceVar(&o.keys, "pack-keys", nil, "trust what the public keys of `FILES` have signed, in minisign's format")
	f.StringVar(&o.floor, "pack-floor", "", "keep the least revision of the folder in `FILE`, outside the folder")
	f.BoolVar(&o.unsigned, "allow-unsigned-packs", false, "run external packs that nobody has signed; for development only")
}

// folder is the folder that the flags name, nil where they name none.
func (o *shelfOptions) folder() (*shelf.Folder, error) {
	switch {
	case o.path == "":
		if len(o.keys) > 0 || o.floor != "" || o.unsigned {
			return nil, errors.New("--pack-keys, --pack-floor and --allow-unsigned-packs are about --pack-folder; name it")
		}
		return nil, nil
	case len(o.keys) == 0 && !o.unsigned:
		return nil, errors.New("--pack-folder wants --pack-keys, the public keys that may sign it")
	case o.floor == "" && !o.unsigned:
		return nil, errors.New("--pack-folder wants --pack-floor, a file outside the folder that keeps old manifests from coming back")
	}
	out := &shelf.Folder{Path: o.path, AllowUnsigned: o.unsigned}
	for _, name := range o.keys {
		text, err := os.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("public key %s cannot be read: %w", name, errors.Unwrap(err))
		}
		key, err := shelf.ParseKey(string(text))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		out.Keys = append(out.Keys, key)
	}
	if o.floor != "" {
		floor, err := shelf.OpenFloor(o.floor)
		if err != nil {
			return nil, err
		}
		out.Floor = floor
	}
	return out, nil
}
