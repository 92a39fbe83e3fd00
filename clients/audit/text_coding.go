package audit

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// sniffed is how much of a table is looked at to tell its coding.
const sniffed = 64 << 10

// decoded reads a table as UTF-8. A byte order mark says what it is written in,
// else the map, else the look of its start: UTF-8 where that is valid, UTF-16
// where every other byte is zero, and Latin-1 with Windows' additions otherwise.
func decoded(from io.Reader, said string) (io.Reader, string, error) {
	r := bufio.NewReaderSize(from, sniffed)
	start, err := r.Peek(sniffed)
	if err != nil && !errors.Is(err, io.EOF) && len(start) == 0 {
		return nil, "", err
	}
	for mark, name := range map[string]string{"\xef\xbb\xbf": "utf-8", "\xff\xfe": "utf-16le", "\xfe\xff": "utf-16be"} {
		if bytes.HasPrefix(start, []byte(mark)) {
			said = name
			_, _ = r.Discard(len(mark))
		}
	}
	if said == "" || said == "auto" {
		said = codingOf(start)
	}
	var coding encoding.Encoding
	switch said {
	case "utf-8":
		return r, said, nil
	case "utf-16le", "utf-16":
		coding = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	case "utf-16be":
		coding = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	case "latin-1", "windows-1252":
		coding = charmap.Windows1252
	default:
		return nil, "", fmt.Errorf("encoding is utf-8, utf-16le, utf-16be, latin-1 or auto, not %q", said)
	}
	return coding.NewDecoder().Reader(r), said, nil
}

func codingOf(start []byte) string {
	var even, odd int
	for i, b := range start {
		if b == 0 {
			if i%2 == 0 {
				even++
			} else {
				odd++
			}
		}
	}
	switch quarter := len(start) / 8; {
	case odd > quarter:
		return "utf-16le"
	case even > quarter:
		return "utf-16be"
	case utf8.Valid(whole(start)):
		return "utf-8"
	default:
		return "latin-1"
	}
}

// whole cuts off a character that the sniffed start may end in the middle of.
func whole(b []byte) []byte {
	for i := 1; i <= utf8.UTFMax && i <= len(b); i++ {
		if utf8.RuneStart(b[len(b)-i]) {
			if !utf8.FullRune(b[len(b)-i:]) {
				return b[:len(b)-i]
			}
			break
		}
	}
	return b
}
