package document

import (
	"encoding/binary"
	"math"
	"math/bits"
	"slices"
	"unicode/utf8"

	"google.golang.org/protobuf/encoding/protowire"
)

// accept walks an encoded message of a shape.
func (t *table) accept(root *shape, encoded []byte) bool {
	if len(encoded) == 0 || len(encoded) > MaxEncoded {
		return false
	}
	w := t.walkers.Get().(*walker)
	w.reset(t, encoded)
	ok := w.message(root, 0, len(encoded)) && w.messages <= MaxMessages
	w.data = nil
	t.walkers.Put(w)
	return ok
}

// span is a piece of the encoded document.
type span struct {
	start, end uint32
}

// keyed is a key that was seen in a list of a message that is still open.
type keyed struct {
	span
	list uint8
}

// named is a reference whose list is not complete yet.
type named struct {
	span
	ref uint8
}

// pathRef marks the path of a figure among the references.
const pathRef = math.MaxUint8

// walker is one walk over encoded bytes.
type walker struct {
	table    *table
	data     []byte
	messages int
	keys     []keyed
	names    []named
	curve    curveState
	places   []place
	wishes   []wish
	// items are those of the build, and counts the pieces that its placements count.
	items, counts []pieces
	// key and captured are what the message that ended last leaves behind.
	key      span
	captured [3]float64
	// layout is the one that the arrangement names.
	layout     span
	hasLayout  bool
	hasChassis bool
}

func (w *walker) reset(t *table, data []byte) {
	*w = walker{
		table: t, data: data,
		keys: w.keys[:0], names: w.names[:0], places: w.places[:0], wishes: w.wishes[:0],
		items: w.items[:0], counts: w.counts[:0],
	}
}

func (w *walker) at(s span) []byte { return w.data[s.start:s.end] }

// frame is what a walk keeps about one open message.
type frame struct {
	shape *shape
	seen  uint64
	// value holds captured numbers.
	value [3]float64
	key   span
	// start is where the message starts: no other has the same.
	start uint32
	// keys, names and places are how much there was when the message started.
	keys, names, places uint32
	counts              [slots]uint8
	hadChassis          bool
}

// message walks one message and everything in it.
func (w *walker) message(s *shape, pos, end int) bool {
	w.messages++
	var f frame
	f.shape, f.start, f.hadChassis = s, uint32(pos), w.hasChassis
	f.keys, f.names, f.places = uint32(len(w.keys)), uint32(len(w.names)), uint32(len(w.places))
	data := w.data[:end]
	for pos < len(data) {
		tag := uint(data[pos])
		pos++
		if tag >= 0x80 {
			// No field of the contract needs a tag of three bytes.
			if pos >= len(data) || data[pos] >= 0x80 {
				return false
			}
			tag = tag&0x7f | uint(data[pos])<<7
			pos++
		}
		number := tag >> 3
		if number >= uint(len(s.steps)) {
			return false
		}
		st := &s.steps[number]
		field := uint64(1) << (number & 63)
		if f.seen&field != 0 && !st.list {
			return false
		}
		f.seen |= field
		if tag&7 == uint(protowire.Fixed64Type) {
			if len(data)-pos < 8 || st.kind != doubleStep || !w.double(&f, st, binary.LittleEndian.Uint64(data[pos:])) {
				return false
			}
			pos += 8
			continue
		}
		// The other two wire types both go on with a varint, mostly of one byte.
		if pos >= len(data) {
			return false
		}
		v, size := uint64(data[pos]), 1
		if v >= 0x80 {
			if v, size = protowire.ConsumeVarint(data[pos:]); size <= 0 {
				return false
			}
		}
		pos += size
		switch tag & 7 {
		case uint(protowire.VarintType):
			if !w.whole(&f, st, v) {
				return false
			}
		case uint(protowire.BytesType):
			if v > uint64(len(data)-pos) || !w.bytes(&f, st, uint8(number), pos, pos+int(v)) {
				return false
			}
			pos += int(v)
		default:
			return false
		}
	}
	return w.close(&f)
}

// point walks a message that has single numbers of double precision only. Points
// are every other message of a document, so they get by without a frame.
func (w *walker) point(s *shape, pos, end int) bool {
	w.messages++
	w.key, w.captured = span{}, [3]float64{}
	var seen uint64
	const size = 1 + 8
	for ; pos < end; pos += size {
		if end-pos < size {
			return false
		}
		tag := w.data[pos]
		number := tag >> 3
		if tag >= 0x80 || tag&7 != byte(protowire.Fixed64Type) || int(number) >= len(s.steps) {
			return false
		}
		st := &s.steps[number]
		v := math.Float64frombits(binary.LittleEndian.Uint64(w.data[pos+1:]))
		if st.kind != doubleStep || seen&(1<<number) != 0 || !(v >= st.lo && v <= st.hi) {
			return false
		}
		seen |= 1 << number
		if st.capture != 0 {
			w.captured[st.capture-1] = v
		}
	}
	return seen&s.required == s.required
}

// counted takes one more element of a list.
func (f *frame) counted(st *step) bool {
	if !st.list {
		return true
	}
	f.counts[st.slot]++
	return f.counts[st.slot] <= st.most
}

// whole looks at a varint: a whole number, a bool or an enum.
func (w *walker) whole(f *frame, st *step, v uint64) bool {
	switch st.kind {
	case wholeStep:
		if v > math.MaxUint32 || float64(v) < st.lo || float64(v) > st.hi {
			return false
		}
	case boolStep:
		if v > 1 {
			return false
		}
	case enumStep:
		if v >= 64 || st.values&(1<<v) == 0 {
			return false
		}
	default:
		return false
	}
	if st.capture != 0 {
		f.value[st.capture-1] = float64(v)
	}
	return f.counted(st)
}

func (w *walker) double(f *frame, st *step, encoded uint64) bool {
	v := math.Float64frombits(encoded)
	// Not the other way round: every comparison with NaN is false.
	if !(v >= st.lo && v <= st.hi) {
		return false
	}
	if st.capture != 0 {
		f.value[st.capture-1] = v
	}
	return f.counted(st)
}

// bytes looks at a text, a message or a packed list.
func (w *walker) bytes(f *frame, st *step, number uint8, pos, end int) bool {
	switch st.kind {
	case textStep:
		return f.counted(st) && w.text(f, st, number, pos, end)
	case messageStep:
		return f.counted(st) && w.child(f, st, number, pos, end)
	case doubleStep:
		if !st.list || (end-pos)%8 != 0 {
			return false
		}
		for ; pos < end; pos += 8 {
			if !w.double(f, st, binary.LittleEndian.Uint64(w.data[pos:end])) {
				return false
			}
		}
		return true
	case wholeStep, enumStep, boolStep:
		for st.list && pos < end {
			v, size := protowire.ConsumeVarint(w.data[pos:end])
			if size <= 0 || !w.whole(f, st, v) {
				return false
			}
			pos += size
		}
		return st.list
	default:
		return false
	}
}

// characters counts the characters of a text; false where it is no UTF-8.
func characters(b []byte) (uint32, bool) {
	const high = 0x8080808080808080
	i := 0
	for ; i+8 <= len(b); i += 8 {
		if binary.LittleEndian.Uint64(b[i:])&high != 0 {
			return uint32(utf8.RuneCount(b)), utf8.Valid(b)
		}
	}
	for ; i < len(b); i++ {
		if b[i] >= utf8.RuneSelf {
			return uint32(utf8.RuneCount(b)), utf8.Valid(b)
		}
	}
	return uint32(len(b)), true
}

func (w *walker) text(f *frame, st *step, number uint8, pos, end int) bool {
	b := w.data[pos:end]
	n, ok := characters(b)
	if !ok || n < st.least || n > st.longest {
		return false
	}
	if st.text != nil {
		if st.text.matches != nil && !st.text.matches(b) {
			return false
		}
		if len(st.text.in) > 0 && !slices.ContainsFunc(st.text.in, func(s string) bool { return s == string(b) }) {
			return false
		}
	}
	at := span{uint32(pos), uint32(end)}
	if f.shape.key == number {
		f.key = at
	}
	if st.ref != 0 && len(b) > 0 {
		w.names = append(w.names, named{span: at, ref: st.ref})
	}
	switch st.mark {
	case layoutMark:
		w.layout, w.hasLayout = at, true
	case mountMark:
		// The element of the arrangement is closed before the next one opens.
		w.wishes = append(w.wishes, wish{mount: at})
	case fieldPathMark:
		// What the part is may come behind its figures.
		w.names = append(w.names, named{span: at, ref: pathRef})
	case dayMark:
		return calendarDay(b)
	}
	return true
}

// child walks a message within a message, and then looks at what it left.
func (w *walker) child(f *frame, st *step, number uint8, pos, end int) bool {
	if st.mark == chassisMark {
		if w.hasChassis {
			return false
		}
		w.hasChassis = true
	}
	if st.child.onlyNumbers {
		if !w.point(st.child, pos, end) {
			return false
		}
	} else if !w.message(st.child, pos, end) {
		return false
	}
	if st.unique && w.key.end > w.key.start && !w.fresh(f, number) {
		return false
	}
	return st.curve == nil || w.curve.next(f.start, st.curve, f.counts[st.slot], w.captured)
}

// fresh takes the key of an element; false where the list has it already.
func (w *walker) fresh(f *frame, list uint8) bool {
	key := w.at(w.key)
	for _, k := range w.keys[f.keys:] {
		if k.list == list && string(w.at(k.span)) == string(key) {
			return false
		}
	}
	w.keys = append(w.keys, keyed{span: w.key, list: list})
	return true
}

// close looks at a message as a whole.
func (w *walker) close(f *frame) bool {
	s := f.shape
	if f.seen&s.required != s.required || (!s.plain && !w.closeFully(f)) {
		return false
	}
	w.keys = w.keys[:f.keys]
	w.key = f.key
	if s.captures {
		w.captured = f.value
	}
	return true
}

func (w *walker) closeFully(f *frame) bool {
	s := f.shape
	for _, members := range s.choices {
		if bits.OnesCount64(f.seen&members) != 1 {
			return false
		}
	}
	for _, members := range s.oneofs {
		if bits.OnesCount64(f.seen&members) > 1 {
			return false
		}
	}
	for _, floor := range s.floors {
		if f.counts[floor.slot] < floor.min {
			return false
		}
	}
	if !w.closeSpecially(f) {
		return false
	}
	for _, scope := range s.scopes {
		if !w.settle(f, scope) {
			return false
		}
	}
	return true
}
