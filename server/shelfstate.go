package server

import (
	"time"

	packv1 "slipfit.example/proto/slipfit/pack/v1"
	v1 "slipfit.example/proto/slipfit/v1"
)

// shelfState is how the folder of external packs is. The zero value is that of a
// service without one.
type shelfState struct {
	revision      uint64
	since, agreed time.Time
	refused       error
}

// state is for metrics; a nil keeper has one too.
func (k *shelfKeeper) state() (s shelfState) {
	if k == nil {
		return s
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.content != nil {
		s.revision = k.content.Revision
	}
	s.since, s.agreed, s.refused = k.since, k.agreed, k.refused
	return s
}

// message is the state for whoever asks; nil where there is no folder.
func (k *shelfKeeper) message() *v1.PackFolder {
	if k == nil {
		return nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	out := &v1.PackFolder{Path: &k.folder.Path, AllowsUnsigned: ptr(k.folder.AllowUnsigned)}
	if c := k.content; c != nil {
		out.Revision, out.Digest, out.ServingSince = &c.Revision, &c.Digest, moment(k.since)
		if !c.Expires.IsZero() {
			out.Expires = ptr(c.Expires.Format(time.DateOnly))
		}
	}
	if !k.agreed.IsZero() {
		out.AgreedAt = moment(k.agreed)
	}
	return out
}

func moment(t time.Time) *string { return ptr(t.UTC().Format(time.RFC3339)) }

// describe is what a pack says of itself, or said last.
func (k *shelfKeeper) describe(s shelved) *packv1.DescribeResponse {
	if instance, err := s.source.pack.Instance(); err == nil {
		return instance.Describe()
	}
	for _, st := range k.pipeline.Packs() {
		if st.Source == s.source {
			return st.Description
		}
	}
	return nil
}
