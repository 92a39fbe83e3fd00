package packs

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"
)

// Limits on what a pack prints. Whatever is over them is read and dropped, so that
// the pack never waits for its host.
const (
	longestLine  = 2 << 10 // bytes of a line that are kept
	linesBurst   = 100     // lines that may come at once
	linesASecond = 20      // lines in the long run
	crashLines   = 40      // lines of a crash that pass whatever came before
)

// lineSink takes output line by line.
type lineSink struct {
	emit func(line string)
	now  func() time.Time

	mu      sync.Mutex
	tokens  float64
	last    time.Time
	dropped int
	// words is the last line, or the first of a crash: the runtime says why first.
	words string
	// crash counts down the lines of a crash that are still to pass.
	crash   int
	crashed bool
}

func newLineSink(emit func(line string)) *lineSink {
	return &lineSink{emit: emit, now: time.Now, tokens: linesBurst}
}

// drain reads r to its end. It never stops because of what it reads.
func (s *lineSink) drain(r io.Reader) {
	w := &lineWriter{sink: s}
	_, _ = io.Copy(w, r)
	w.flush()
}

// lineWriter cuts what is written to it into lines. It belongs to one stream.
type lineWriter struct {
	sink    *lineSink
	pending []byte // the start of a line, cut off at longestLine
}

// Write takes a chunk and never fails.
func (w *lineWriter) Write(chunk []byte) (int, error) {
	n := len(chunk)
	for {
		piece, rest, ended := bytes.Cut(chunk, []byte{'\n'})
		w.pending = append(w.pending, piece[:min(len(piece), longestLine-len(w.pending))]...)
		if !ended {
			return n, nil
		}
		w.flush()
		chunk = rest
	}
}

// flush ends the line at hand.
func (w *lineWriter) flush() {
	w.sink.line(string(w.pending))
	w.pending = w.pending[:0]
}

func (s *lineSink) line(text string) {
	text = strings.ToValidUTF8(strings.TrimRight(text, "\r"), "\uFFFD")
	if text == "" {
		return
	}
	s.mu.Lock()
	s.remember(text)
	pass := s.crash > 0 || s.take()
	s.crash = max(s.crash-1, 0)
	dropped := 0
	if pass {
		dropped, s.dropped = s.dropped, 0
	} else {
		s.dropped++
	}
	s.mu.Unlock()
	if dropped > 0 {
		s.emit(fmt.Sprintf("(%d lines dropped here)", dropped))
	}
	if pass {
		s.emit(text)
	}
}

// remember notes what tells most about an end.
func (s *lineSink) remember(text string) {
	if s.crashed {
		return
	}
	s.words = text
	if strings.HasPrefix(text, "panic: ") || strings.HasPrefix(text, "fatal error: ") {
		s.crashed, s.crash = true, crashLines
	}
}

// take uses one token of a bucket that fills with time.
func (s *lineSink) take() bool {
	now := s.now()
	if !s.last.IsZero() {
		s.tokens = min(linesBurst, s.tokens+now.Sub(s.last).Seconds()*linesASecond)
	}
	s.last = now
	if s.tokens < 1 {
		return false
	}
	s.tokens--
	return true
}

// lastWords is the line that tells most about a pack's end: the first of a crash, else
// the last of all. Empty if it printed nothing.
func (s *lineSink) lastWords() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.words
}
