package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"strings"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// buildEntry is one build of a file, with its places there.
type buildEntry = document.Entry[*v1.Build]

// openBuilds reads the builds of a file, or of standard input where the name is
// "-". Parts that a build names by their files are looked up beside it.
func openBuilds(input io.Reader, name string) (entries iter.Seq[buildEntry], closeFile func(), err error) {
	from, closeFile := input, func() {}
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, nil, fmt.Errorf("%s cannot be opened: %w", name, errors.Unwrap(err))
		}
		from, closeFile = f, func() { _ = f.Close() }
	}
	resolve := document.FileResolver("/")
	options := document.Options{Resolve: func(fromFile, ref string) (*v1.Part, error) {
		absolute, err := filepath.Abs(fromFile)
		if err != nil {
			return nil, err
		}
		return resolve(absolute, ref)
	}}
	return document.ReadAll(shownName(name), from, options, func() *v1.Build { return new(v1.Build) }), closeFile, nil
}

func shownName(name string) string {
	if name == "-" {
		return "standard input"
	}
	return name
}

// tagOf names a build by its file, and by its place in it where there are several.
func tagOf(entry buildEntry) string {
	if entry.Number > 1 {
		return fmt.Sprintf("%s, document %d", entry.File, entry.Number)
	}
	return entry.File
}

// oneBuild reads the only build of a file.
func oneBuild(input io.Reader, name string) (entry buildEntry, err error) {
	entries, closeFile, err := openBuilds(input, name)
	if err != nil {
		return entry, &exit{exitUsage, err}
	}
	defer closeFile()
	found := 0
	for e := range entries {
		if found++; found == 1 {
			entry = e
		}
	}
	switch {
	case found == 0:
		return entry, &exit{exitUsage, fmt.Errorf("%s holds no build", shownName(name))}
	case found > 1:
		return entry, &exit{exitUsage, fmt.Errorf("%s holds %d builds; give a file with one", shownName(name), found)}
	}
	return entry, nil
}

// badBuild is an error about a document, not about the asking.
type badBuild struct{ reason error }

func (b *badBuild) Error() string { return b.reason.Error() }

func (b *badBuild) Unwrap() error { return b.reason }

// ask sends a build with a request that says what is wanted of it. The error is a
// badBuild where the document is at fault.
func ask(ctx context.Context, client v1.CheckServiceClient, entry buildEntry, request *v1.CheckRequest) (*v1.CheckResponse, error) {
	if entry.Err != nil {
		return nil, &badBuild{entry.Err}
	}
	request.Build = entry.Message
	tag := tagOf(entry)
	if size := proto.Size(request); size > document.MaxEncoded {
		return nil, &badBuild{fmt.Errorf("%s takes %d bytes encoded, more than the %d allowed; leave out parts that are not used", tag, size, document.MaxEncoded)}
	}
	answer, err := client.Check(ctx, request)
	if st := status.Convert(err); st.Code() == codes.InvalidArgument {
		return nil, &badBuild{violationsOf(st, tag, entry.Places)}
	}
	return answer, err
}

// violationsOf tells each violation with its place in the file.
func violationsOf(st *status.Status, file string, places *document.Places) error {
	return violationsBelow("", st, file, places)
}

// violationsBelow does so where the build stands below a path of the request.
func violationsBelow(at string, st *status.Status, file string, places *document.Places) error {
	var lines []string
	for _, d := range st.Details() {
		bad, ok := d.(*errdetails.BadRequest)
		if !ok {
			continue
		}
		for _, v := range bad.FieldViolations {
			// The request wraps the build that the file holds.
			field := strings.TrimPrefix(v.GetField(), at)
			path := strings.TrimPrefix(strings.TrimPrefix(field, "build"), ".")
			where := file
			if line, column := places.Find(path); line > 0 && strings.HasPrefix(field, "build") {
				where = fmt.Sprintf("%s:%d:%d", file, line, column)
			}
			if path != "" {
				path += ": "
			}
			lines = append(lines, where+": "+path+v.GetDescription())
		}
	}
	if len(lines) == 0 {
		lines = append(lines, file+": "+st.Message())
	}
	return errors.New(strings.Join(lines, "\n"))
}

// writeJSON writes a message by protobuf's JSON mapping with the contract's field
// names, the same bytes for the same message.
func writeJSON(out io.Writer, m proto.Message, indent bool) error {
	encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(m)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if indent {
		err = json.Indent(&b, encoded, "", "  ")
	} else {
		err = json.Compact(&b, encoded)
	}
	if err != nil {
		return err
	}
	b.WriteByte('\n')
	_, err = out.Write(b.Bytes())
	return err
}
