package batch

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

type protojsonMessage = proto.Message

// answers gathers what comes back for one chunk, in whatever order, each line once.
type answers struct {
	chunk *Chunk
	lines [][]byte
	tally Tally
	last  bool // no further attempt follows: what is there is taken
}

func newAnswers(c *Chunk) *answers { return &answers{chunk: c, lines: make([][]byte, len(c.Lines))} }

// open gives the questions that have no answer yet.
func (w *answers) open(questions [][]byte) (out [][]byte) {
	for i, line := range w.lines {
		if line == nil {
			out = append(out, questions[i])
		}
	}
	return out
}

// outcome is one line of the output.
type outcome struct {
	Line     int64            `json:"line"`
	ID       string           `json:"id,omitempty"`
	Verdict  string           `json:"verdict,omitempty"`
	Findings []briefFinding   `json:"findings,omitempty"`
	Answer   json.RawMessage  `json:"answer,omitempty"`
	Refused  *refusedDocument `json:"refused,omitempty"`
}

// briefFinding is a finding that does not pass.
type briefFinding struct {
	Rule     string   `json:"rule"`
	Verdict  string   `json:"verdict"`
	Subjects []string `json:"subjects,omitempty"`
	Text     string   `json:"text"`
	Margin   *float64 `json:"margin,omitempty"`
	Unit     string   `json:"unit,omitempty"`
	Missing  []string `json:"missing,omitempty"`
	Buy      []string `json:"buy,omitempty"`
}

type refusedDocument struct {
	Reason     string            `json:"reason"`
	Violations []refusedProperty `json:"violations,omitempty"`
}

type refusedProperty struct {
	Path   string `json:"path,omitempty"`
	Reason string `json:"reason"`
}

// write sets one line of output. Its label goes in behind the line's number.
func (w *answers) write(i int, o outcome) {
	line := &w.chunk.Lines[i]
	o.Line = line.Number
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(o); err != nil {
		panic(err) // only strings and finite numbers, which the service has checked
	}
	text := b.Bytes()
	if line.Label != "" {
		head := `{"line":` + strconv.FormatInt(line.Number, 10) + ","
		text = append([]byte(head+line.Label+","), text[len(head):]...)
	}
	w.lines[i] = text
}

func (w *answers) refuse(i int, r *v1.Refusal) {
	o := outcome{Refused: &refusedDocument{Reason: r.GetReason()}}
	for _, v := range r.Violations {
		o.Refused.Violations = append(o.Refused.Violations, refusedProperty{v.GetPath(), v.GetReason()})
	}
	w.tally.Refused++
	w.write(i, o)
}

// take sets one encoded slipfit.v1.CheckManyResponse into its place. One that came
// before an attempt failed is the same and is passed over.
func (w *answers) take(reply []byte) error {
	if w.chunk.Job.Detail != DetailFull {
		reply = withoutPasses(reply)
	}
	var r v1.CheckManyResponse
	if err := r.UnmarshalVT(reply); err != nil {
		return fmt.Errorf("an answer cannot be read: %w", err)
	}
	i, err := strconv.Atoi(r.GetTag())
	if err != nil || i < 0 || i >= len(w.lines) {
		return fmt.Errorf("an answer bears the tag %q, which was not asked", r.GetTag())
	}
	if w.lines[i] != nil {
		return nil
	}
	if refusal := r.GetRefusal(); refusal != nil {
		if refusal.GetCode() == resourceExhausted && !w.last {
			return nil // asked again with the next attempt
		}
		w.refuse(i, refusal)
		return nil
	}
	answer := r.GetCheck()
	if !w.last && silent(answer) {
		return nil // a pack was away for a moment: asked again
	}
	o := outcome{ID: answer.GetBuildId(), Verdict: strings.TrimPrefix(answer.GetVerdict().String(), "VERDICT_")}
	switch w.chunk.Job.Detail {
	case DetailFindings:
		o.Findings = brief(answer)
	case DetailFull:
		encoded, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(answer)
		if err != nil {
			return err
		}
		var b bytes.Buffer
		if err := json.Compact(&b, encoded); err != nil {
			return err
		}
		o.Answer = b.Bytes()
	}
	if v := int(answer.GetVerdict()); v < len(w.tally.Verdicts) {
		w.tally.Verdicts[v]++
	}
	w.write(i, o)
	return nil
}

// resourceExhausted is the status code of google.rpc.Code.
const resourceExhausted = 8

// silent tells that a pack did not answer, so that the answer is not the one that
// the same question gets at another time.
func silent(answer *v1.CheckResponse) bool {
	for _, f := range answer.Findings {
		if f.GetRule() == "host.pack-answers" {
			return true
		}
	}
	return false
}

func brief(answer *v1.CheckResponse) (out []briefFinding) {
	for _, f := range answer.Findings {
		if f.GetVerdict() == v1.Verdict_VERDICT_PASS {
			continue
		}
		b := briefFinding{
			Rule: f.GetRule(), Verdict: strings.TrimPrefix(f.GetVerdict().String(), "VERDICT_"), Subjects: f.Subjects,
			Text: f.GetSummary().GetText(), Missing: append(f.Missing, f.MissingFacts...),
		}
		if f.Margin != nil {
			b.Margin, b.Unit = f.Margin.Nominal, f.Margin.GetUnit()
		}
		for _, r := range f.Remedies {
			b.Buy = append(b.Buy, r.Buy...)
		}
		out = append(out, b)
	}
	return out
}

func (w *answers) answer() (Answer, error) {
	size := 0
	for i, line := range w.lines {
		if line == nil {
			return Answer{}, fmt.Errorf("line %d got no answer", w.chunk.Lines[i].Number)
		}
		size += len(line)
	}
	out := make([]byte, 0, size)
	for _, line := range w.lines {
		out = append(out, line...)
	}
	return Answer{out, w.tally}, nil
}

// RefuseAll answers every line of a chunk with one refusal.
func RefuseAll(c *Chunk, reason string) Answer {
	w := newAnswers(c)
	for i := range c.Lines {
		w.refuse(i, &v1.Refusal{Reason: &reason})
	}
	answer, err := w.answer()
	if err != nil {
		panic(err) // every line has been written
	}
	return answer
}
