package audit

import (
	"fmt"
	"hash/maphash"
	"math"
	"slices"
	"strings"
	"unicode"

	"google.golang.org/protobuf/reflect/protoreflect"

	v1 "slipfit.example/proto/slipfit/v1"
)

// twins looks for entries that stand twice over a whole catalogue. It keeps hashes,
// not entries, and of the newest entries only: at most twice the reach.
type twins struct {
	seed     maphash.Seed
	reach    int
	forgot   bool
	now, old generation
	files    []string
}

// generation is what is known of so many entries.
type generation struct {
	ids, names, figures map[uint64]known
}

func newGeneration() generation {
	return generation{map[uint64]known{}, map[uint64]known{}, map[uint64]known{}}
}

// known is one entry, in few bytes.
type known struct {
	file    int32
	line    int32
	number  int64
	name    uint64
	figures [figuresKept]figureHash
}

// figuresKept is how many figures of an entry are told apart by name.
const figuresKept = 12

// figureHash is the field and the value of one figure.
type figureHash struct{ field, value uint16 }

// DefaultReach is how many entries a catalogue's doubles may lie apart and are
// still certain to be found.
const DefaultReach = 500_000

func newTwins(reach int) *twins {
	return &twins{seed: maphash.MakeSeed(), reach: reach, now: newGeneration(), old: newGeneration()}
}

// leastFigures is how many figures two entries must share before sameness means
// anything.
const leastFigures = 5

// look compares one entry with those before it, and remembers it.
func (t *twins) look(place Place, part *v1.Part) (out []Remark) {
	k := known{file: t.fileNumber(place.File), line: int32(min(place.Line, math.MaxInt32)), number: place.Number}
	names, all, count := t.figuresOf(part, &k)
	k.name = t.nameOf(part)
	if id := part.GetId(); id != "" {
		key := maphash.String(t.seed, id)
		if before, ok := t.find(key, func(g *generation) map[uint64]known { return g.ids }); ok {
			out = append(out, Remark{Rule: RuleSameID, Verdict: v1.Verdict_VERDICT_FAIL, Path: "id",
				Text: fmt.Sprintf("The id %s is that of %s already; give each entry its own.", id, t.place(before))})
		}
		t.now.ids[key] = k
	}
	if k.name != 0 {
		before, ok := t.find(k.name, func(g *generation) map[uint64]known { return g.names })
		if ok {
			out = append(out, t.sameName(before, k, names)...)
		}
		t.now.names[k.name] = k
	}
	if count >= leastFigures {
		before, ok := t.find(all, func(g *generation) map[uint64]known { return g.figures })
		if ok && before.name != k.name {
			out = append(out, Remark{Rule: RuleSameFigures, Verdict: v1.Verdict_VERDICT_MARGINAL,
				Text: fmt.Sprintf("All figures are those of %s under another name: one of the two may be a copy that was never filled in.", t.place(before))})
		}
		t.now.figures[all] = k
	}
	if len(t.now.ids)+len(t.now.names)+len(t.now.figures) > 3*t.reach {
		t.forgot = t.forgot || len(t.old.ids)+len(t.old.names)+len(t.old.figures) > 0
		t.old, t.now = t.now, newGeneration()
	}
	return out
}

func (t *twins) find(key uint64, of func(*generation) map[uint64]known) (known, bool) {
	if k, ok := of(&t.now)[key]; ok {
		return k, true
	}
	k, ok := of(&t.old)[key]
	return k, ok
}

// sameName tells in which figures two entries of one name differ.
func (t *twins) sameName(before, now known, names []string) []Remark {
	var differ []string
	for i, f := range now.figures {
		if f == (figureHash{}) {
			break
		}
		for _, g := range before.figures {
			if g.field == f.field && g.value != f.value {
				differ = append(differ, names[i])
			}
		}
	}
	if len(differ) == 0 {
		return []Remark{{Rule: RuleSameName, Verdict: v1.Verdict_VERDICT_MARGINAL, Path: "name",
			Text: fmt.Sprintf("Maker and name are those of %s already, and the figures too; one of the two is too many.", t.place(before))}}
	}
	return []Remark{{Rule: RuleSameName, Verdict: v1.Verdict_VERDICT_FAIL, Path: differ[0],
		Text: fmt.Sprintf("Maker and name are those of %s already, but these figures differ: %s. One of the two is wrong.", t.place(before), strings.Join(differ, ", "))}}
}

func (t *twins) place(k known) string {
	return Place{File: t.files[k.file], Line: int64(k.line), Number: k.number}.String()
}

func (t *twins) fileNumber(name string) int32 {
	if n := len(t.files); n > 0 && t.files[n-1] == name {
		return int32(n - 1)
	}
	i := slices.Index(t.files, name)
	if i < 0 {
		t.files = append(t.files, name)
		i = len(t.files) - 1
	}
	return int32(i)
}

// nameOf hashes kind, maker and name as people confuse them: letters and digits,
// in lower case. Without a name it is 0.
func (t *twins) nameOf(part *v1.Part) uint64 {
	var h maphash.Hash
	h.SetSeed(t.seed)
	letters := 0
	for _, text := range [...]string{part.GetMaker(), part.GetName()} {
		for _, r := range text {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				_, _ = h.WriteString(string(unicode.ToLower(r)))
				letters++
			}
		}
		_ = h.WriteByte(0)
	}
	if part.GetName() == "" || letters == 0 {
		return 0
	}
	_, _ = h.WriteString(kindName(part))
	return h.Sum64() | 1
}

// figuresOf hashes the figures of an entry: all together, and the first of them one
// by one with their names.
func (t *twins) figuresOf(part *v1.Part, k *known) (names []string, all uint64, count int) {
	kind := part.ProtoReflect().WhichOneof(kindOneof)
	if kind == nil {
		return nil, 0, 0
	}
	var h maphash.Hash
	h.SetSeed(t.seed)
	var walk func(path string, m protoreflect.Message)
	walk = func(path string, m protoreflect.Message) {
		fields := m.Descriptor().Fields()
		for i := range fields.Len() {
			f := fields.Get(i)
			if !m.Has(f) {
				continue
			}
			switch {
			case f.IsList():
				list := m.Get(f).List()
				for j := range list.Len() {
					if f.Message() != nil {
						walk(path+string(f.Name())+".", list.Get(j).Message())
						continue
					}
					_, _ = h.WriteString(list.Get(j).String())
				}
			case f.Message() != nil:
				walk(path+string(f.Name())+".", m.Get(f).Message())
			default:
				name := path + string(f.Name())
				value := m.Get(f).String()
				_, _ = h.WriteString(name)
				_ = h.WriteByte('=')
				_, _ = h.WriteString(value)
				if count < figuresKept {
					names = append(names, name)
					k.figures[count] = figureHash{
						uint16(maphash.String(t.seed, name)) | 1, uint16(maphash.String(t.seed, value)),
					}
				}
				count++
			}
		}
	}
	walk(string(kind.Name())+".", part.ProtoReflect().Get(kind).Message())
	return names, h.Sum64(), count
}
