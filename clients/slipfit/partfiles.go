package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"slipfit.example/clients/report"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/catalogue"
	"slipfit.example/server/document"
	"slipfit.example/server/shortlist"
)

// partEntry is one part of a file, with its place there.
type partEntry = document.Entry[*v1.Part]

// partFiles are where candidates come from: files, folders of them, or "-" for
// standard input.
type partFiles struct {
	input io.Reader
	paths []string
	kinds []string // wanted; empty: all
	other int      // parts of other kinds, which were left out
}

// all reads one part after the other. A file that cannot be opened ends it; an entry
// that cannot be read says so.
func (p *partFiles) all() iter.Seq2[partEntry, error] {
	return func(yield func(partEntry, error) bool) {
		for _, path := range p.paths {
			files, err := partFilesIn(path)
			if err != nil {
				yield(partEntry{}, err)
				return
			}
			for _, file := range files {
				if !p.read(file, yield) {
					return
				}
			}
		}
	}
}

// partFilesIn lists the part files of a folder; a file stands for itself.
func partFilesIn(path string) ([]string, error) {
	info, err := os.Stat(path)
	if path == "-" || err == nil && !info.IsDir() {
		return []string{path}, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be opened: %w", path, errors.Unwrap(err))
	}
	var files []string
	err = filepath.WalkDir(path, func(name string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() && catalogue.Holds(name) {
			files = append(files, name)
		}
		return err
	})
	if err == nil && len(files) == 0 {
		err = fmt.Errorf("the folder %s holds no part files; they end in %s", path, strings.Join(catalogue.Endings(), ", "))
	}
	return files, err
}

func (p *partFiles) read(name string, yield func(partEntry, error) bool) bool {
	from, options := p.input, document.Options{}
	if name == "-" {
		from, options.Format = linesOr(p.input)
	}
	if name != "-" {
		file, err := os.Open(name)
		if err != nil {
			yield(partEntry{}, fmt.Errorf("%s cannot be opened: %w", name, errors.Unwrap(err)))
			return false
		}
		defer func() { _ = file.Close() }()
		from = file
	}
	for entry := range document.ReadAll(shownName(name), from, options, func() *v1.Part { return new(v1.Part) }) {
		if entry.Err == nil && len(p.kinds) > 0 && !slices.Contains(p.kinds, shortlist.KindOf(entry.Message)) {
			p.other++
			continue
		}
		if !yield(entry, nil) {
			return false
		}
	}
	return true
}

// linesOr tells whether text without a name is JSON lines: its first line is a document
// by itself. Anything else is told from the content.
func linesOr(input io.Reader) (io.Reader, document.Format) {
	const probe = 64 << 10
	buffered := bufio.NewReaderSize(input, probe)
	head, _ := buffered.Peek(probe) // what is wrong shows when it is read
	line, _, _ := bytes.Cut(bytes.TrimLeft(head, " \t\r\n"), []byte("\n"))
	if len(line) > 0 && line[0] == '{' && json.Valid(line) {
		return buffered, document.FormatLines
	}
	return buffered, document.FormatUnknown
}

// kindsFor are the kinds of part that are sought for an item: those named, else that
// of the part that the build holds there.
func kindsFor(build *v1.Build, item string, named []string) ([]string, error) {
	for _, kind := range named {
		if !shortlist.IsKind(kind) {
			return nil, fmt.Errorf("%q is no kind of part; kinds are %s", kind, strings.Join(shortlist.Kinds(), ", "))
		}
	}
	if len(named) > 0 {
		return named, nil
	}
	var ids []string
	for _, it := range build.GetItems() {
		if it.GetId() == item {
			return []string{shortlist.KindOf(it.Part)}, nil
		}
		ids = append(ids, it.GetId())
	}
	return nil, fmt.Errorf("the build holds no item %q, so that its kind is not known: name the kind with --kind, such as --kind air_cooler, or an item that it holds (%s)",
		item, strings.Join(ids, ", "))
}

// plainError is an error's text, harmless for a terminal.
func plainError(err error) string { return report.Plain(err.Error()) }
