package crew

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// A frame is one byte that says what it is, four bytes of length, and as many bytes.
const (
	frameChunk   = 'c' // to a hand: a chunk to answer
	frameCareful = 'k' // to a hand: the same, telling of every line as soon as it is done
	frameReady   = 'r' // from a hand: it is ready; the text names its rules
	frameLine    = 'l' // from a hand: place, outcome and output of one line
)

// greatestFrame bounds what one frame may have; a chunk is some megabytes.
const greatestFrame = 256 << 20

func writeFrame(w io.Writer, kind byte, pieces ...[]byte) error {
	var head [5]byte
	head[0] = kind
	size := 0
	for _, p := range pieces {
		size += len(p)
	}
	if size > greatestFrame {
		return fmt.Errorf("a frame of %d bytes is larger than the %d allowed", size, greatestFrame)
	}
	binary.LittleEndian.PutUint32(head[1:], uint32(size))
	if _, err := w.Write(head[:]); err != nil {
		return err
	}
	for _, p := range pieces {
		if _, err := w.Write(p); err != nil {
			return err
		}
	}
	return nil
}

func readFrame(r *bufio.Reader) (kind byte, data []byte, err error) {
	var head [5]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return 0, nil, err
	}
	size := binary.LittleEndian.Uint32(head[1:])
	if size > greatestFrame {
		return 0, nil, errors.New("a frame is too large; this is a fault of the program")
	}
	data = make([]byte, size)
	if _, err := io.ReadFull(r, data); err != nil {
		return 0, nil, err
	}
	return head[0], data, nil
}
