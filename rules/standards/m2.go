package standards

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

const m2Spec = "PCI Express M.2 specification"

var (
	srcM2Size   = register("m2-sizes", m2Spec, "sizes and name form, as described", Published)
	srcM2Key    = drawings("m2-keys", m2Spec, "key positions, two descriptions", 2)
	srcM2Use    = drawings("m2-key-use", m2Spec, "interfaces by key", 1)
	srcM2KeyMin = register("m2-key-memory", m2Spec, "interfaces of key A", Memory)
	srcM2Height = register("m2-heights", m2Spec, "component height codes", Memory)
	srcM2Screw  = register("m2-screw", "M.2 module screw and notch", "", Memory)
)

var (
	m2Widths  = []int{12, 16, 22, 30}
	m2Lengths = []int{16, 26, 30, 38, 42, 60, 80, 110}
)

// M2Widths returns the module widths of the standard in mm, ascending.
func M2Widths() []int { return slices.Clone(m2Widths) }

// M2Lengths returns the module lengths of the standard in mm, ascending.
func M2Lengths() []int { return slices.Clone(m2Lengths) }

// M2SizeSource is the source of the sizes and of the name form.
func M2SizeSource() Source { return srcM2Size }

// M2Size is the outline of an M.2 module.
type M2Size struct {
	// WidthMM and LengthMM are in the standard's lists.
	WidthMM, LengthMM int
}

// String returns the standard's size code, such as "2280" or "22110".
func (s M2Size) String() string { return fmt.Sprintf("%02d%02d", s.WidthMM, s.LengthMM) }

// ParseM2Size reads a size code: two digits of width and two or three of
// length, both in the standard's lists.
func ParseM2Size(code string) (M2Size, error) {
	width, length, ok := m2Digits(code)
	if !ok {
		return M2Size{}, fmt.Errorf("the M.2 size %q is no size code; write two digits of width and two or three of length, such as 2280 or 22110", shorten(code))
	}
	if !slices.Contains(m2Widths, width) {
		return M2Size{}, fmt.Errorf("the M.2 size %q has a width of %d mm, which the standard does not list; nearest: %v mm", code, width, nearestNumbers(width, m2Widths))
	}
	if !slices.Contains(m2Lengths, length) {
		return M2Size{}, fmt.Errorf("the M.2 size %q has a length of %d mm, which the standard does not list; nearest: %v mm", code, length, nearestNumbers(length, m2Lengths))
	}
	return M2Size{width, length}, nil
}

// m2Digits splits a size code. Three digits of length do not begin with a zero,
// so that each size has one code.
func m2Digits(code string) (width, length int, ok bool) {
	if len(code) < 4 || len(code) > 5 || (len(code) == 5 && code[2] == '0') {
		return 0, 0, false
	}
	for i := range len(code) {
		digit := int(code[i]) - '0'
		if digit < 0 || digit > 9 {
			return 0, 0, false
		}
		if i < 2 {
			width = 10*width + digit
		} else {
			length = 10*length + digit
		}
	}
	return width, length, true
}

// nearestNumbers returns the two closest entries, closest first.
func nearestNumbers(n int, list []int) []int {
	sorted := slices.Clone(list)
	distance := func(v int) int { return max(v-n, n-v) }
	slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(distance(a), distance(b)) })
	return sorted[:min(2, len(sorted))]
}

// shorten keeps a quoted token from flooding an error sentence.
func shorten(token string) string {
	if runes := []rune(token); len(runes) > maxTokenRunes {
		return string(runes[:maxTokenRunes]) + "..."
	}
	return token
}

// M2Height is a component height code of a module.
type M2Height struct {
	// Code is S1 to S3 (single-sided) or D1 to D5 (double-sided).
	Code string
	// TopMM and BottomMM are the highest components; bottom 0 for S codes.
	TopMM, BottomMM float64
	// Source is that of the row.
	Source Source
}

var m2Heights = []M2Height{
	{"S1", 1.20, 0, srcM2Height},
	{"S2", 1.35, 0, srcM2Height},
	{"S3", 1.50, 0, srcM2Height},
	{"D1", 1.20, 1.35, srcM2Height},
	{"D2", 1.35, 1.35, srcM2Height},
	{"D3", 1.50, 1.35, srcM2Height},
	{"D4", 1.50, 0.70, srcM2Height},
	{"D5", 1.50, 1.50, srcM2Height},
}

// M2Heights returns the component height codes.
func M2Heights() []M2Height { return slices.Clone(m2Heights) }

// M2HeightByCode returns one height code, or an [UnknownTokenError].
func M2HeightByCode(code string) (M2Height, error) {
	i := slices.IndexFunc(m2Heights, func(h M2Height) bool { return h.Code == code })
	if i < 0 {
		return M2Height{}, unknown(VocabM2Height, code)
	}
	return m2Heights[i], nil
}

// M2Key is a key of the M.2 connector.
type M2Key struct {
	// Letter is the key's name.
	Letter string
	// FirstPin to LastPin are the contacts that the notch takes.
	FirstPin, LastPin int
	// Interfaces are what a socket with the key may bring; a board's manual
	// says which of them it does.
	Interfaces []string
	// Source is that of the position, InterfaceSource of the interfaces.
	Source, InterfaceSource Source
}

var m2Keys = []M2Key{
	{"A", 8, 15, []string{"2 x PCIe x1", "USB 2.0"}, srcM2Key, srcM2KeyMin},
	{"B", 12, 19, []string{"PCIe x2", "SATA", "USB"}, srcM2Key, srcM2Use},
	{"E", 24, 31, []string{"2 x PCIe x1", "USB 2.0"}, srcM2Key, srcM2Use},
	{"M", 59, 66, []string{"PCIe x4", "SATA"}, srcM2Key, srcM2Use},
}

// M2Keys returns the keys.
func M2Keys() []M2Key {
	out := slices.Clone(m2Keys)
	for i := range out {
		out[i].Interfaces = slices.Clone(out[i].Interfaces)
	}
	return out
}

// M2KeyByLetter returns one key, or an [UnknownTokenError].
func M2KeyByLetter(letter string) (M2Key, error) {
	i := slices.IndexFunc(m2Keys, func(k M2Key) bool { return k.Letter == letter })
	if i < 0 {
		return M2Key{}, unknown(VocabM2Key, letter)
	}
	k := m2Keys[i]
	k.Interfaces = slices.Clone(k.Interfaces)
	return k, nil
}

// M2KeyFits tells whether a module with notches (one letter or more) goes into
// a socket with one key: it does where one of its notches is the socket's.
// Letters outside the table compare as text where they are equal.
func M2KeyFits(notches []string, socket string) (Answer, error) {
	if slices.Contains(notches, socket) {
		return Answer{true, fmt.Sprintf("the module has a notch for key %s", socket), srcM2Key}, nil
	}
	if len(notches) == 0 {
		return Answer{}, fmt.Errorf("the module's keys are missing; give the letters of its notches")
	}
	key, err := M2KeyByLetter(socket)
	if err != nil {
		return Answer{}, fmt.Errorf("the socket's key cannot be compared: %w", err)
	}
	var where []string
	for _, n := range notches {
		notch, err := M2KeyByLetter(n)
		if err != nil {
			return Answer{}, fmt.Errorf("the module's key cannot be compared: %w", err)
		}
		where = append(where, fmt.Sprintf("%s at contacts %d to %d", notch.Letter, notch.FirstPin, notch.LastPin))
	}
	return Answer{false, fmt.Sprintf("the module is notched for %s, the socket is keyed %s at contacts %d to %d",
		strings.Join(where, " and "), key.Letter, key.FirstPin, key.LastPin), srcM2Key}, nil
}

// M2Code is a module's full name: size, height and keys.
type M2Code struct {
	// Size is the outline.
	Size M2Size
	// Height is the component height code; empty where the name omits it.
	Height string
	// Keys are the notches' letters; empty where the name omits them.
	Keys []string
}

// ParseM2Code reads a module name of the form wwll-HH-K-K, such as "2280-S3-M"
// or "2242-D2-B-M". Height and keys may be left out from the end.
func ParseM2Code(code string) (M2Code, error) {
	fields := strings.Split(code, "-")
	size, err := ParseM2Size(fields[0])
	if err != nil {
		return M2Code{}, fmt.Errorf("the M.2 name %q cannot be read: %w", shorten(code), err)
	}
	out := M2Code{Size: size}
	if len(fields) == 1 {
		return out, nil
	}
	height, err := M2HeightByCode(fields[1])
	if err != nil {
		return M2Code{}, fmt.Errorf("the M.2 name %q cannot be read: %w", shorten(code), err)
	}
	out.Height = height.Code
	if len(fields) > 4 {
		return M2Code{}, fmt.Errorf("the M.2 name %q has %d keys; a module has one or two", shorten(code), len(fields)-2)
	}
	for _, letter := range fields[2:] {
		key, err := M2KeyByLetter(letter)
		if err != nil {
			return M2Code{}, fmt.Errorf("the M.2 name %q cannot be read: %w", shorten(code), err)
		}
		if slices.Contains(out.Keys, key.Letter) {
			return M2Code{}, fmt.Errorf("the M.2 name %q names key %s twice; name each notch once", shorten(code), key.Letter)
		}
		out.Keys = append(out.Keys, key.Letter)
	}
	return out, nil
}

// M2LengthFits tells whether a socket with standoffs at the given lengths (mm)
// holds a module: one of them has to be at the module's length.
func M2LengthFits(size M2Size, standoffsMM []int) (Answer, error) {
	if len(standoffsMM) == 0 {
		return Answer{}, fmt.Errorf("the socket's standoff lengths are missing; give those of the board, such as 60 and 80 mm")
	}
	if slices.Contains(standoffsMM, size.LengthMM) {
		return Answer{true, fmt.Sprintf("the socket has a standoff at %d mm", size.LengthMM), srcM2Size}, nil
	}
	return Answer{false, fmt.Sprintf("the module is %d mm long and the socket has standoffs at %v mm", size.LengthMM, standoffsMM), srcM2Size}, nil
}

// Figures of M.2 modules.
var (
	// M2Positions and M2Pins are the connector's positions and most contacts.
	M2Positions = figure("M.2 connector positions", 75, "", srcM2Key)
	M2Pins      = figure("M.2 connector contacts, most", 67, "", srcM2Key)
	// M2Notch is the half-round notch for the screw.
	M2Notch = figure("M.2 screw notch diameter", 3.5, "mm", srcM2Screw)
)

// M2Screw returns the usual screw's thread token and its source; some boards
// have M3 or hold without a tool.
func M2Screw() (string, Source) { return ThreadM2, srcM2Screw }
