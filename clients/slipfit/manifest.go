package main

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"slipfit.example/server/packs"
	"slipfit.example/server/shelf"
)

// manifestOptions are the flags of packs manifest.
type manifestOptions struct {
	revision     uint64
	expires      string
	interpreters interpreters
}

func manifestCommand() *cobra.Command {
	o := &manifestOptions{}
	cmd := &cobra.Command{
		Use:   "manifest FOLDER",
		Short: "Write the manifest of a folder of packs, to be signed",
		Long: `Start every program in a folder, ask it which pack it is, and write packs.yaml:
names, versions, facts and digests. This RUNS the programs: use it on packs of your
own. What begins with #! is run by the interpreter of that line, which has to be
allowed.

A service takes the folder once packs.yaml is signed with a key that it trusts.`,
		Example: "  slipfit packs manifest packs/\n  minisign -Sm packs/packs.yaml",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.write(cmd.Context(), args[0], cmd.OutOrStdout()); err != nil {
				return &exit{exitUsage, err}
			}
			return nil
		},
	}
	cmd.Flags().Uint64Var(&o.revision, "revision", 0, "give the manifest this `NUMBER`; 0 is one above that of the last")
	cmd.Flags().StringVar(&o.expires, "expires", "", "have hosts refuse the manifest after this `DATE`, such as 2027-12-31")
	o.interpreters.flag(cmd.Flags())
	return cmd
}

func (o *manifestOptions) write(ctx context.Context, folder string, out io.Writer) error {
	m, err := o.begin(folder)
	if err != nil {
		return err
	}
	names, err := os.ReadDir(folder)
	if err != nil {
		return fmt.Errorf("the folder %s cannot be read: %w", folder, errors.Unwrap(err))
	}
	for _, n := range names {
		if n.Name() == shelf.ManifestFile || n.Name() == shelf.SignatureFile || strings.HasPrefix(n.Name(), ".") {
			continue
		}
		if !n.Type().IsRegular() {
			return fmt.Errorf("%s is no regular file, and a pack folder holds nothing else; take it out", filepath.Join(folder, n.Name()))
		}
		e, err := o.entry(ctx, folder, n.Name())
		if err != nil {
			return err
		}
		m.Packs = append(m.Packs, e)
	}
	if len(m.Packs) == 0 {
		return fmt.Errorf("no program lies in %s; build one into it first", folder)
	}
	slices.SortFunc(m.Packs, func(a, b shelf.Entry) int {
		return cmp.Or(strings.Compare(a.Name, b.Name), strings.Compare(a.Version, b.Version))
	})
	file := filepath.Join(folder, shelf.ManifestFile)
	encoded, err := m.Encode()
	if err == nil {
		err = os.WriteFile(file, encoded, 0o644)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%s, revision %d:\n", file, m.Revision)
	for _, e := range m.Packs {
		fmt.Fprintf(out, "  %s, protocol %d, in %s\n", e, e.Protocol, e.Program)
	}
	fmt.Fprintf(out, "Sign it: minisign -Sm %s\n", file)
	return nil
}

// begin makes an empty manifest with its revision and its expiry.
func (o *manifestOptions) begin(folder string) (*shelf.Manifest, error) {
	m := &shelf.Manifest{Revision: o.revision}
	if o.expires != "" {
		day, err := time.Parse(time.DateOnly, o.expires)
		if err != nil {
			return nil, fmt.Errorf("--expires is a day such as 2027-12-31, not %q", o.expires)
		}
		m.Expires = day
	}
	if m.Revision != 0 {
		return m, nil
	}
	m.Revision = 1
	last, err := os.ReadFile(filepath.Join(folder, shelf.ManifestFile))
	if errors.Is(err, fs.ErrNotExist) {
		return m, nil
	}
	if err != nil {
		return nil, fmt.Errorf("the last manifest cannot be read: %w", err)
	}
	before, err := shelf.ReadManifest(last)
	if err != nil {
		return nil, fmt.Errorf("%w; mend it, or say which --revision the new one has", err)
	}
	m.Revision = before.Revision + 1
	return m, nil
}

// entry asks one program what it is, run as a host would run it.
func (o *manifestOptions) entry(ctx context.Context, folder, name string) (shelf.Entry, error) {
	file := filepath.Join(folder, name)
	body, err := os.ReadFile(file)
	if err != nil {
		return shelf.Entry{}, fmt.Errorf("the program %s cannot be read: %w", file, errors.Unwrap(err))
	}
	sum := sha256.Sum256(body)
	e := shelf.Entry{Program: name, SHA256: hex.EncodeToString(sum[:]), Interpreter: interpreterOf(body)}
	if e.Interpreter != "" && o.interpreters[e.Interpreter] == nil {
		return shelf.Entry{}, fmt.Errorf("%s wants to be run by %s; allow it with --pack-interpreter '%s=/usr/bin/%s', or wherever it lies here", file, e.Interpreter, e.Interpreter, e.Interpreter)
	}
	d, err := packs.Ask(ctx, packs.Launch{
		Command: []string{file}, SHA256: e.SHA256, Interpreter: o.interpreters[e.Interpreter],
	}, packs.Options{Logger: slog.New(slog.DiscardHandler), StartTimeout: 20 * time.Second})
	if err != nil {
		return shelf.Entry{}, err
	}
	e.Name, e.Version, e.Protocol, e.Needs, e.Provides = d.GetName(), d.GetVersion(), int(d.GetProtocol()), d.Needs, d.Provides
	return e, nil
}

// interpreterOf is the name of the program in a file's first line, where that begins
// with #! as POSIX shells and their systems have it; empty for any other file.
func interpreterOf(body []byte) string {
	line, _, _ := bytes.Cut(body[:min(len(body), 256)], []byte("\n"))
	rest, ok := bytes.CutPrefix(line, []byte("#!"))
	words := strings.Fields(string(rest))
	if !ok || len(words) == 0 {
		return ""
	}
	if path.Base(words[0]) == "env" && len(words) > 1 {
		return words[len(words)-1]
	}
	return path.Base(words[0])
}
