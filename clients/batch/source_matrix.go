package batch

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/cespare/xxhash/v2"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/server/document"
)

// Axis is one side of a matrix: a role in the build, and the parts that take it in
// turn.
type Axis struct {
	Role  string
	Parts []*v1.Part
}

// MatrixSource gives all combinations of parts, the last axis turning fastest. It
// holds the parts, never the combinations.
type MatrixSource struct {
	job   *Job
	base  []byte     // encoded fields of slipfit.v1.Build that all have
	items [][][]byte // encoded items by axis
	label [][]string
	total int64
	at    int64
	sum   uint64 // of the parts themselves
}

// Field numbers of slipfit.v1.Build and Item.
const (
	buildItems = 3
	itemID     = 1
	itemPart   = 2
)

// NewMatrixSource makes the combinations of the axes, each set into the base build;
// a nil base is an empty one.
func NewMatrixSource(base *v1.Build, axes []Axis, job *Job) (*MatrixSource, error) {
	s := &MatrixSource{job: job, total: 1}
	if base != nil {
		encoded, err := proto.MarshalOptions{Deterministic: true}.Marshal(base)
		if err != nil {
			return nil, err
		}
		s.base = encoded
	}
	sum := xxhash.New()
	_, _ = sum.Write(s.base)
	for _, axis := range axes {
		if len(axis.Parts) == 0 {
			return nil, fmt.Errorf("there is no part for the role %s", axis.Role)
		}
		if s.total > (1<<62)/int64(len(axis.Parts)) {
			return nil, errors.New("the matrix is too large to be counted")
		}
		s.total *= int64(len(axis.Parts))
		var items [][]byte
		var labels []string
		for _, part := range axis.Parts {
			encoded, err := proto.MarshalOptions{Deterministic: true}.Marshal(part)
			if err != nil {
				return nil, err
			}
			item := protowire.AppendString(protowire.AppendTag(nil, itemID, protowire.BytesType), axis.Role)
			item = protowire.AppendBytes(protowire.AppendTag(item, itemPart, protowire.BytesType), encoded)
			items = append(items, protowire.AppendBytes(protowire.AppendTag(nil, buildItems, protowire.BytesType), item))
			_, _ = sum.Write(item)
			labels = append(labels, label(axis.Role, part))
		}
		s.items, s.label = append(s.items, items), append(s.label, labels)
	}
	s.sum = sum.Sum64()
	return s, nil
}

// label names a part in the answer.
func label(role string, part *v1.Part) string {
	name := part.GetId()
	if name == "" {
		name = part.GetName()
	}
	key, _ := json.Marshal(role)
	value, _ := json.Marshal(name)
	return string(key) + ":" + string(value)
}

// Done tells how many combinations have been given.
func (s *MatrixSource) Done() (done, total int64) { return s.at, s.total }

// Skip goes on behind a checkpoint.
func (s *MatrixSource) Skip(to checkpoint) error {
	if to.Through > 0 && (to.Sum != s.sum || to.Through > s.total) {
		return errors.New("the parts of the matrix have changed since an earlier run; restore them, or remove the output's part and journal to begin anew")
	}
	s.at = to.Through
	return nil
}

// Next gives the next chunk.
func (s *MatrixSource) Next() (*Chunk, error) {
	if s.at == s.total {
		return nil, io.EOF
	}
	c := &Chunk{Job: s.job, Binary: true}
	for size := 0; len(c.Lines) < chunkLines && s.at < s.total && size < 4*chunkBytes; s.at++ {
		line := s.combination(s.at)
		size += len(line.Text)
		c.Lines = append(c.Lines, line)
	}
	c.through = checkpoint{Through: s.at, Sum: s.sum}
	c.ID = chunkID(c.Lines[0].Number, c.through)
	return c, nil
}

func (s *MatrixSource) combination(n int64) Line {
	text := slices.Clone(s.base)
	labels := make([]string, len(s.items))
	for axis := len(s.items) - 1; axis >= 0; axis-- {
		size := int64(len(s.items[axis]))
		i := n % size
		n /= size
		text = append(text, s.items[axis][i]...)
		labels[axis] = s.label[axis][i]
	}
	return Line{Number: s.at + 1, Text: text, Label: `"parts":{` + strings.Join(labels, ",") + `}`}
}

// ReadParts reads the parts of a file, or of all files of a folder in the order of
// their names.
func ReadParts(path string, resolve func(fromFile, ref string) (*v1.Part, error)) ([]*v1.Part, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be opened: %w", path, errors.Unwrap(err))
	}
	files := []string{path}
	if info.IsDir() {
		if files, err = filepath.Glob(filepath.Join(path, "*")); err != nil {
			return nil, err
		}
		files = slices.DeleteFunc(files, func(f string) bool {
			return !slices.Contains([]string{".yaml", ".yml", ".json", ".ndjson", ".binpb"}, filepath.Ext(f))
		})
	}
	var out []*v1.Part
	for _, name := range files {
		f, err := os.Open(name)
		if err != nil {
			return nil, fmt.Errorf("%s cannot be opened: %w", name, errors.Unwrap(err))
		}
		for entry := range document.ReadAll(name, f, document.Options{Resolve: resolve}, func() *v1.Part { return new(v1.Part) }) {
			if entry.Err != nil {
				_ = f.Close()
				return nil, entry.Err
			}
			out = append(out, entry.Message)
		}
		_ = f.Close()
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s holds no part", path)
	}
	return out, nil
}
