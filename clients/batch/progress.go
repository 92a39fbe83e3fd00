package batch

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/schollz/progressbar/v3"
)

// Teller tells people how far a run has come: a bar with rate and time left on a
// terminal, a plain line now and then elsewhere.
type Teller struct {
	to      io.Writer
	bar     *progressbar.ProgressBar
	started time.Time
	told    time.Time
	now     func() time.Time
}

// plainEvery is how often a plain line is written.
const plainEvery = 10 * time.Second

// NewTeller tells on a writer, which is a terminal or not.
func NewTeller(to io.Writer, terminal bool) *Teller {
	t := &Teller{to: to, now: time.Now}
	t.started = t.now()
	t.told = t.started
	if terminal {
		t.bar = progressbar.NewOptions64(-1, progressbar.OptionSetWriter(to), progressbar.OptionThrottle(200*time.Millisecond),
			progressbar.OptionSetWidth(24), progressbar.OptionSetPredictTime(true), progressbar.OptionClearOnFinish(),
			progressbar.OptionSetTheme(progressbar.Theme{Saucer: "#", SaucerPadding: ".", BarStart: "[", BarEnd: "]"}))
	}
	return t
}

// Tell takes note of progress.
func (t *Teller) Tell(p Progress) {
	if t.bar != nil {
		if p.Total > 0 && t.bar.GetMax64() != p.Total {
			t.bar.ChangeMax64(p.Total)
		}
		t.bar.Describe(t.words(p))
		_ = t.bar.Set64(p.Done)
		return
	}
	if now := t.now(); now.Sub(t.told) >= plainEvery {
		t.told = now
		fmt.Fprintln(t.to, t.words(p)+t.left(p))
	}
}

// words says how many lines are done, and how fast.
func (t *Teller) words(p Progress) string {
	seconds := t.now().Sub(t.started).Seconds()
	n := p.Tally.Lines()
	return fmt.Sprintf("%d lines, %.0f/s", n, float64(n-p.Resumed)/max(seconds, 0.001))
}

// left says how much of the input is read, and how long the rest will take.
func (t *Teller) left(p Progress) string {
	if p.Total <= 0 || p.Done <= 0 {
		return ""
	}
	share := min(1, float64(p.Done)/float64(p.Total))
	rest := time.Duration(float64(t.now().Sub(t.started)) * (1 - share) / share).Round(time.Second)
	return fmt.Sprintf(", %.1f %% of the input, about %s left", share*100, rest)
}

// End takes the bar away and says what the run came to.
func (t *Teller) End(p Progress) {
	if t.bar != nil {
		_ = t.bar.Clear()
	}
	var b strings.Builder
	b.WriteString(t.words(p))
	if p.Resumed > 0 {
		fmt.Fprintf(&b, ", %d of them by an earlier run", p.Resumed)
	}
	v := p.Tally.Verdicts
	fmt.Fprintf(&b, ": %d pass, %d marginal, %d unknown, %d fail, %d refused", v[1], v[2], v[3], v[4], p.Tally.Refused)
	fmt.Fprintln(t.to, b.String())
}
