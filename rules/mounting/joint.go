package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
)

// joint is what one item, all its pieces together, asks of the boxes.
type joint struct {
	item    *kit.Item
	rule    string   // short name of the rule that reports it
	kind    string   // of fastener
	purpose string   // as boxes tag it
	threads []string // any of them; none: not known
	heads   []string // any of them; none: all
	// anyThread holds where the thread does not matter, because the screw cuts
	// its own or the part is made for its own box.
	anyThread bool
	// tagged holds where only fasteners meant for the purpose will do.
	tagged            bool
	shortest, longest float64 // in mm, 0 where there is no bound
	need, enough      int
	// open is what is not known about the joint itself, if anything. What lies in
	// the part's own box for this purpose is made for it all the same.
	open    kit.Path
	isOpen  bool
	factual bool // the joint is not known without the arrangement

	sure, possible int
	lots           [2]*lot // the first ones that serve it
	doubt          kit.Path
	doubtful       bool
}

// fit says how a lot suits a joint.
type fit int

const (
	unfit fit = iota
	doubtfulFit
	sureFit
)

// suits compares a lot with the joint; doubt is what would have to be known.
func (j *joint) suits(l *lot) (f fit, doubt kit.Path) {
	f = sureFit
	fastener := l.fastener
	if fastener.GetKind() != j.kind && !(j.kind == "screw" && fastener.GetKind() == "thumbscrew") {
		return unfit, doubt
	}
	if p := fastener.GetPurpose(); p != "" && p != j.purpose || p == "" && j.tagged {
		return unfit, doubt
	}
	thread := fastener.GetThread()
	ownBox := l.item == j.item && fastener.GetPurpose() == j.purpose
	if !j.anyThread && !(ownBox && (thread == "" || len(j.threads) == 0)) {
		switch {
		case len(j.threads) == 0:
			f, doubt = doubtfulFit, j.open
		case thread == "":
			f, doubt = doubtfulFit, l.item.At(l.paths().thread)
		case !containsThread(j.threads, thread):
			return unfit, doubt
		}
	}
	return j.suitsLength(l, f, doubt)
}

func (j *joint) suitsLength(l *lot, f fit, doubt kit.Path) (fit, kit.Path) {
	if length := l.fastener.LengthMm; length != nil {
		if j.shortest > 0 && *length < j.shortest || j.longest > 0 && *length > j.longest {
			return unfit, doubt
		}
	} else if j.shortest > 0 || j.longest > 0 {
		f, doubt = doubtfulFit, l.item.At(l.paths().length)
	}
	if j.isOpen && !(l.item == j.item && l.fastener.GetPurpose() == j.purpose) {
		f, doubt = doubtfulFit, j.open
	}
	if head := l.fastener.GetHead(); head != "" && len(j.heads) > 0 && !contains(j.heads, head) {
		return unfit, doubt
	}
	return f, doubt
}

// share deals the boxes out to the joints: first what is meant for them, then
// what is meant for nothing special; first what is sure to fit, then what may.
// Nothing is counted twice.
func (s *scene) share() {
	for _, least := range [...]fit{sureFit, doubtfulFit} {
		for _, tagged := range [...]bool{true, false} {
			for i := range s.joints {
				s.deal(&s.joints[i], least, tagged)
			}
		}
	}
}

func (s *scene) deal(j *joint, wanted fit, tagged bool) {
	for i := range s.lots {
		l := &s.lots[i]
		lacking := j.need - j.sure - j.possible
		if lacking <= 0 {
			return
		}
		if l.left == 0 || (l.fastener.GetPurpose() != "") != tagged {
			continue
		}
		f, doubt := j.suits(l)
		if f != wanted {
			continue
		}
		n := min(l.left, lacking)
		l.left -= n
		j.take(l, n, f, doubt)
	}
}

func (j *joint) take(l *lot, n int, f fit, doubt kit.Path) {
	if f == sureFit {
		j.sure += n
	} else {
		j.possible += n
		if !j.doubtful {
			j.doubt, j.doubtful = doubt, true
		}
	}
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
	j.need = (int(d.GetCount()) - int(d.GetCovered())) * pieces
	j.enough = int(d.GetEnough()) * pieces
	j.shortest, j.longest, j.heads, j.tagged = d.GetShortestMm(), d.GetLongestMm(), d.Heads, false
	if d.GetThread() != "" {
		j.threads, j.anyThread, j.isOpen = []string{d.GetThread()}, false, false
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
