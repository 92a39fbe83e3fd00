package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/fastening"
	"slipfit.example/rules/kit"
)

// joint is what one item, all its pieces together, asks of the boxes.
type joint struct {
	fastening.Joint
	item         *kit.Item
	rule         string // short name of the rule that reports it
	name         string // for sentences, where the rule speaks for several
	need, enough int
	// open is what is not known about the joint itself, if anything. What lies in
	// the part's own box for this purpose is made for it all the same.
	open    kit.Path
	isOpen  bool
	factual bool // the joint is not known without the arrangement

	sure, possible int
	lots           [2]*lot // the first ones that serve it
	doubt          kit.Path
	doubtful       bool
	first, end     int // its suits in the scene
}

// own reports whether a lot lies in the box of the very part that is fastened and
// is meant for this joint.
func (j *joint) own(l *lot) bool { return l.item == j.item && l.kind.Purpose == j.Purpose }

// suits compares a lot with the joint; doubt is what would have to be known.
func (j *joint) suits(l *lot) (f fastening.Fit, doubt kit.Path) {
	own := j.own(l)
	f, missing := j.Fits(&l.kind, own)
	if f == fastening.Unfit {
		return f, doubt
	}
	switch missing {
	case fastening.DoubtJoint:
		doubt = j.open
	case fastening.DoubtThread:
		doubt = l.item.At(l.paths().thread)
	case fastening.DoubtLength:
		doubt = l.item.At(l.paths().length)
	}
	if j.isOpen && !own {
		f, doubt = fastening.Doubtful, j.open
	}
	return f, doubt
}

// Limits within which the boxes are dealt out exactly. Builds stay far below them.
const (
	mostJoints = 900
	mostSuits  = 4096
)

// share deals the boxes out to the joints, exactly: as few as possible are short,
// what is meant for a joint goes to it first, and nothing is counted twice.
func (s *scene) share() {
	s.counts, s.needs, s.dealt = s.counts[:0], s.needs[:0], s.dealt[:0]
	for i := range s.lots {
		s.counts = append(s.counts, s.lots[i].left)
	}
	for i := range s.joints {
		s.needs = append(s.needs, s.joints[i].wants())
		s.match(i)
	}
	deal := s.dealer.Deal
	if len(s.dealt) > mostSuits {
		deal = s.dealer.DealInOrder
	}
	if err := deal(s.counts, s.needs, s.dealt); err != nil {
		panic(err)
	}
	for i := range s.lots {
		s.lots[i].left = s.dealer.Left(i)
	}
	for i := range s.joints {
		s.take(&s.joints[i])
	}
}

// wants is the joint for the deal.
func (j *joint) wants() fastening.Need {
	n := max(0, j.need)
	return fastening.Need{Count: n, Enough: min(max(0, j.enough), n)}
}

// match lists the lots that suit a joint.
func (s *scene) match(joint int) {
	j := &s.joints[joint]
	j.first = len(s.dealt)
	for i := range s.lots {
		l := &s.lots[i]
		if l.left == 0 || j.need <= 0 {
			continue
		}
		if f, _ := j.suits(l); f != fastening.Unfit {
			s.dealt = append(s.dealt, fastening.Suit{
				Lot: i, Joint: joint, Doubtful: f == fastening.Doubtful, Cost: j.Likes(&l.kind, j.own(l)),
			})
		}
	}
	j.end = len(s.dealt)
}

// take notes what a joint was given, the sure ones first.
func (s *scene) take(j *joint) {
	for _, doubtful := range [...]bool{false, true} {
		for _, d := range s.dealt[j.first:j.end] {
			if d.Given == 0 || d.Doubtful != doubtful {
				continue
			}
			l := &s.lots[d.Lot]
			if j.note(l); !doubtful {
				j.sure += d.Given
				continue
			}
			if j.possible += d.Given; !j.doubtful {
				_, j.doubt = j.suits(l)
				j.doubtful = true
			}
		}
	}
}

func (j *joint) note(l *lot) {
	for i := range j.lots {
		if j.lots[i] == nil {
			j.lots[i] = l
			return
		}
	}
}

// judge reports a joint: whether the boxes hold enough for it. Boxes that are
// not described leave open what they hold.
func (s *scene) judge(j *joint, buy string, boxes ...*kit.Item) *kit.Finding {
	c := s.c
	need := kit.Constant(float64(j.need), "")
	f := c.AtLeast(kit.Constant(float64(j.sure), ""), need).About(j.item, s.chassis).Word("part", j.item.Name())
	f.Number("lacking", kit.Constant(float64(j.need-j.sure), "")).Number("need", need)
	for _, l := range j.lots {
		if l != nil {
			f.Using(l.size(c))
		}
	}
	switch {
	case f.Verdict() != kit.Fail:
	case j.factual && !s.arrange:
		f.Using(c.AbsentFact(factArrangement, ""))
	case j.enough > 0 && j.sure >= j.enough:
		f.AtWorst(kit.Marginal)
	case j.sure+j.possible >= j.need:
		f.Using(c.Absent(j.doubt, ""))
	default:
		for _, box := range boxes {
			if box != nil && box.Part.Kit == nil {
				f.Using(c.Absent(box.At("kit.fasteners"), ""))
			}
		}
	}
	return f.Remedy("buy", buy)
}

// stated returns the joint for a purpose and kind that the mount describes, or
// else the part itself.
func stated(mount *v1.Mount, part *v1.Part, purpose, kind string) *v1.Joint {
	for _, list := range [...][]*v1.Joint{mount.GetJoints(), part.GetJoints()} {
		for _, j := range list {
			k := j.GetKind()
			if k == "" {
				k = "screw"
			}
			if j.GetPurpose() == purpose && k == kind {
				return j
			}
		}
	}
	return nil
}

// by makes the joint what the document describes, for so many pieces; what the
// document leaves out stays as it was.
func (j *joint) by(d *v1.Joint, pieces int) {
	j.need = max(0, int(d.GetCount())-int(d.GetCovered())) * pieces
	j.enough = int(d.GetEnough()) * pieces
	if j.Tagged = false; d.ShortestMm != nil || d.LongestMm != nil {
		j.ShortestMM, j.LongestMM = d.GetShortestMm(), d.GetLongestMm()
	}
	if len(d.Heads) > 0 {
		j.Heads = d.Heads
	}
	if d.GetThread() != "" {
		j.Threads, j.AnyThread, j.isOpen = []string{d.GetThread()}, false, false
	}
}

// byHoles bounds the length by the holes that the screws go into: what they clamp
// and how deep the shallowest of them is. Holes of which the depth is not listed, and
// threads that the tables do not have, bound nothing.
func (j *joint) byHoles(holes []*v1.Hole, clampedMM float64) {
	thread, depth := "", 0.0
	for _, h := range holes {
		if h.GetThread() != "" && h.DepthMm != nil && (depth == 0 || h.GetDepthMm() < depth) {
			thread, depth = h.GetThread(), h.GetDepthMm()
		}
	}
	if depth == 0 {
		return
	}
	stack := fastening.Stack{Thread: thread, ClampedMM: []float64{clampedMM}, Material: "steel", ThreadedMM: depth, DepthMM: depth}
	if r, err := stack.Lengths(); err == nil {
		j.ShortestMM, j.LongestMM = r.ShortestMM, r.LongestMM
	}
}

func containsThread(list []string, thread string) bool {
	for _, t := range list {
		if sameThread(t, thread) {
			return true
		}
	}
	return false
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}
