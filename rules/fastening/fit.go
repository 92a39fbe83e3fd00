package fastening

// Fastener is one like in a box.
type Fastener struct {
	// Kind is "screw", "standoff", "nut" and so on.
	Kind string
	// Thread is as the trade writes it, "" where it is not known.
	Thread string
	// LengthMM is the screw's length, 0 where it is not known.
	LengthMM float64
	// Head is the head's kind, "" where it is not known.
	Head string
	// Purpose is what it is meant for, "" for anything.
	Purpose string
}

// Joint is what one screwed place takes.
type Joint struct {
	// Kind of fastener. A thumbscrew serves as a screw.
	Kind string
	// Purpose is what is fastened there, as boxes tag their fasteners.
	Purpose string
	// Threads are those it takes, any of them; none where it is not known.
	Threads []string
	// AnyThread holds where the thread does not matter: the screw cuts its own.
	AnyThread bool
	// Heads are those it takes, any of them; none: all.
	Heads []string
	// Tagged holds where only fasteners meant for the purpose will do.
	Tagged bool
	// ShortestMM and LongestMM bound the length, 0 where there is no bound.
	ShortestMM, LongestMM float64
}

// Fit says how a fastener suits a joint.
type Fit int

// From worst to best.
const (
	// Unfit: it must not go there.
	Unfit Fit = iota
	// Doubtful: it may, and something is not known.
	Doubtful
	// Sure: it does.
	Sure
)

// Doubt says what would have to be known of a doubtful fit.
type Doubt int

// What may be missing.
const (
	NoDoubt Doubt = iota
	// DoubtJoint: the thread of the joint itself.
	DoubtJoint
	// DoubtThread: the thread of the fastener.
	DoubtThread
	// DoubtLength: the length of the fastener.
	DoubtLength
)

// Fits compares a fastener with a joint. own tells that it lies in the box of the
// very part that is fastened and is meant for this: it is made for it, so that a
// thread that nobody states is no doubt.
func (j *Joint) Fits(f *Fastener, own bool) (Fit, Doubt) {
	if f.Kind != j.Kind && !(j.Kind == "screw" && f.Kind == "thumbscrew") {
		return Unfit, NoDoubt
	}
	if f.Purpose != "" && f.Purpose != j.Purpose || f.Purpose == "" && j.Tagged {
		return Unfit, NoDoubt
	}
	if f.Head != "" && len(j.Heads) > 0 && !contains(j.Heads, f.Head) {
		return Unfit, NoDoubt
	}
	fit, doubt := j.fitsThread(f, own)
	if fit == Unfit {
		return Unfit, NoDoubt
	}
	switch {
	case f.LengthMM > 0 && (j.ShortestMM > 0 && f.LengthMM < j.ShortestMM || j.LongestMM > 0 && f.LengthMM > j.LongestMM):
		return Unfit, NoDoubt
	case f.LengthMM == 0 && (j.ShortestMM > 0 || j.LongestMM > 0):
		return Doubtful, DoubtLength
	}
	return fit, doubt
}

func (j *Joint) fitsThread(f *Fastener, own bool) (Fit, Doubt) {
	if j.AnyThread || own && (f.Thread == "" || len(j.Threads) == 0) {
		return Sure, NoDoubt
	}
	if len(j.Threads) == 0 {
		return Doubtful, DoubtJoint
	}
	if f.Thread == "" {
		return Doubtful, DoubtThread
	}
	for _, t := range j.Threads {
		if Same(t, f.Thread) {
			return Sure, NoDoubt
		}
	}
	return Unfit, NoDoubt
}

// Likes is how gladly a fitting fastener is taken for a joint, 0 best, for use as
// Suit.Cost: what is meant for it before what is meant for nothing special, what
// lies in the part's own box before others, and a length near the shortest that
// holds before a longer one.
func (j *Joint) Likes(f *Fastener, own bool) int {
	cost := 0
	if f.Purpose == "" {
		cost += 400
	}
	if !own {
		cost += 100
	}
	if f.LengthMM > 0 && j.ShortestMM > 0 {
		cost += min(99, int(f.LengthMM-j.ShortestMM))
	}
	return cost
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}
