package standards

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Vocabulary names a set of tokens; its text is what an error sentence calls it.
type Vocabulary string

// The vocabularies whose tokens this package knows.
const (
	VocabBoard      Vocabulary = "board form factor"
	VocabSupply     Vocabulary = "supply form factor"
	VocabConnector  Vocabulary = "power connector"
	VocabEfficiency Vocabulary = "efficiency mark"
	VocabMemory     Vocabulary = "memory module kind"
	VocabM2Key      Vocabulary = "M.2 key"
	VocabM2Height   Vocabulary = "M.2 height code"
	VocabThread     Vocabulary = "thread"
	VocabHead       Vocabulary = "screw head"
	VocabClass      Vocabulary = "screw property class"
	VocabMaterial   Vocabulary = "nut material"
	VocabHeader     Vocabulary = "internal header"
	VocabUSB        Vocabulary = "USB rate"
	VocabCoupler    Vocabulary = "appliance coupler"
	VocabSocket     Vocabulary = "processor socket"
)

// Vocabularies returns all vocabularies in a fixed order.
func Vocabularies() []Vocabulary {
	return []Vocabulary{
		VocabBoard, VocabSupply, VocabConnector, VocabEfficiency, VocabMemory,
		VocabM2Key, VocabM2Height, VocabThread, VocabHead, VocabClass, VocabMaterial,
		VocabHeader, VocabUSB, VocabCoupler, VocabSocket,
	}
}

// vocabularies holds each vocabulary's tokens, sorted, taken from the tables so
// that a token cannot be known without a row behind it.
var vocabularies = map[Vocabulary][]string{
	VocabBoard:      tokensOf(boards, func(b Board) string { return b.Token }),
	VocabSupply:     tokensOf(supplyForms, func(s SupplyForm) string { return s.Token }),
	VocabConnector:  tokensOf(connectors, func(c Connector) string { return c.Token }),
	VocabEfficiency: tokensOf(efficiencyMarks, func(m EfficiencyMark) string { return m.Mark }),
	VocabMemory:     tokensOf(memoryKinds, func(m MemoryKind) string { return m.Token }),
	VocabM2Key:      tokensOf(m2Keys, func(k M2Key) string { return k.Letter }),
	VocabM2Height:   tokensOf(m2Heights, func(h M2Height) string { return h.Code }),
	VocabThread:     tokensOf(threads, func(t Thread) string { return t.Token }),
	VocabHead:       tokensOf(heads, func(h Head) string { return h.Kind }),
	VocabClass:      tokensOf(torqueCeilings, func(t TorqueCeiling) string { return t.Class }),
	VocabMaterial:   tokensOf(engagements, func(e Engagement) string { return e.Material }),
	VocabHeader:     tokensOf(headers, func(h Header) string { return h.Token }),
	VocabUSB:        tokensOf(usbRates, func(u USBRate) string { return u.Token }),
	VocabCoupler:    tokensOf(couplers, func(c Coupler) string { return c.Token }),
	VocabSocket:     tokensOf(sockets, func(s Socket) string { return s.Token }),
}

func tokensOf[T any](rows []T, token func(T) string) []string {
	out := make([]string, 0, len(rows))
	for _, r := range rows {
		out = append(out, token(r))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Tokens returns the known tokens of a vocabulary, sorted; none for a
// vocabulary that is not listed above.
func Tokens(v Vocabulary) []string { return slices.Clone(vocabularies[v]) }

// Known reports whether the token, spelled exactly so, is one that this package
// checks. An unknown token is no error: vocabularies are open, and unknown
// tokens compare as text.
func Known(v Vocabulary, token string) bool {
	_, found := slices.BinarySearch(vocabularies[v], token)
	return found
}

// maxTokenRunes is the longest token that gets suggestions: the edit distance
// costs the product of both lengths, and a catalogue may hold anything.
const maxTokenRunes = 64

// Nearest returns up to three known tokens that are spelled most like the given
// one, best first, ties in alphabetical order. Case does not count. Tokens that
// differ in more than half their letters are not offered.
func Nearest(v Vocabulary, token string) []string {
	if utf8.RuneCountInString(token) > maxTokenRunes {
		return nil
	}
	folded := strings.ToLower(strings.TrimSpace(token))
	type candidate struct {
		token    string
		distance int
	}
	var found []candidate
	for _, known := range vocabularies[v] {
		d := editDistance(folded, strings.ToLower(known))
		if longest := max(utf8.RuneCountInString(folded), len(known)); 2*d <= longest {
			found = append(found, candidate{known, d})
		}
	}
	slices.SortStableFunc(found, func(a, b candidate) int { return cmp.Compare(a.distance, b.distance) })
	var out []string
	for _, c := range found[:min(3, len(found))] {
		out = append(out, c.token)
	}
	return out
}

// editDistance returns the Levenshtein distance in runes.
func editDistance(a, b string) int {
	from, to := []rune(a), []rune(b)
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i, r := range from {
		diagonal := row[0]
		row[0] = i + 1
		for j, s := range to {
			substitution := diagonal
			if r != s {
				substitution++
			}
			diagonal = row[j+1]
			row[j+1] = min(row[j]+1, row[j+1]+1, substitution)
		}
	}
	return row[len(to)]
}

// UnknownTokenError tells that a table has no row for a token. A rule that
// meets it answers UNKNOWN.
type UnknownTokenError struct {
	// Vocabulary is the table's vocabulary.
	Vocabulary Vocabulary
	// Token is what was asked for.
	Token string
	// Nearest are the closest known spellings, best first; it may be empty.
	Nearest []string
}

// Error returns one sentence with the token, the nearest tokens or else all of
// them, and the next step.
func (e *UnknownTokenError) Error() string {
	shown := e.Token
	if runes := []rune(shown); len(runes) > maxTokenRunes {
		shown = string(runes[:maxTokenRunes]) + "..."
	}
	if len(e.Nearest) > 0 {
		return fmt.Sprintf("the %s %q is not in the tables; nearest known: %s; correct the spelling, or give the part's own figures",
			e.Vocabulary, shown, strings.Join(e.Nearest, ", "))
	}
	return fmt.Sprintf("the %s %q is not in the tables; known: %s; use one of these, or give the part's own figures",
		e.Vocabulary, shown, strings.Join(vocabularies[e.Vocabulary], ", "))
}

func unknown(v Vocabulary, token string) error {
	return &UnknownTokenError{Vocabulary: v, Token: token, Nearest: Nearest(v, token)}
}
