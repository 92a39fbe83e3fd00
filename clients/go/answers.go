package slipfit

import (
	"container/list"
	"crypto/sha256"
	"strings"
	"sync"
	"time"

	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
)

// answers keeps answers by question and ruleset digest. What a question asks of the
// ruleset, without its build, is its manner; questions of one manner are answered by
// one ruleset, and each answer tells which that is now. A nil *answers keeps nothing.
type answers struct {
	most  int
	fresh time.Duration

	mu      sync.Mutex
	byHash  map[[sha256.Size]byte]*list.Element
	order   list.List // of *keptAnswer, the one used last first
	rulings map[[sha256.Size]byte]ruling
}

// ruling is the digest that answered a manner last, and when.
type ruling struct {
	digest string
	seen   time.Time
}

type keptAnswer struct {
	hash   [sha256.Size]byte
	answer *v1.CheckResponse
}

// question is a check, ready to be found among those that are kept.
type question struct {
	hash, manner [sha256.Size]byte
	answer       *v1.CheckResponse // that may be given
}

func newAnswers(most int, fresh time.Duration) *answers {
	return &answers{most: most, fresh: fresh, byHash: map[[sha256.Size]byte]*list.Element{}, rulings: map[[sha256.Size]byte]ruling{}}
}

// find looks for an answer that may be given again.
func (a *answers) find(check *v1.CheckRequest) (q question, err error) {
	if check.GetBuild() == nil {
		return q, errNoQuestion
	}
	if a == nil {
		return q, nil
	}
	steady := proto.MarshalOptions{Deterministic: true}
	whole, err := steady.Marshal(check)
	if err != nil {
		return q, err
	}
	manner, err := steady.Marshal(&v1.CheckRequest{Policy: check.Policy, Packs: check.Packs, HouseRules: check.HouseRules})
	if err != nil {
		return q, err
	}
	q.hash, q.manner = sha256.Sum256(whole), sha256.Sum256(manner)
	a.mu.Lock()
	defer a.mu.Unlock()
	element, known := a.byHash[q.hash]
	now := a.rulings[q.manner]
	if !known || time.Since(now.seen) > a.fresh {
		return q, nil
	}
	if kept := element.Value.(*keptAnswer); kept.answer.GetRuleset().GetDigest() == now.digest {
		a.order.MoveToFront(element)
		q.answer = proto.CloneOf(kept.answer)
	}
	return q, nil
}

// keep keeps an answer, unless a pack has left something out of it.
func (a *answers) keep(q question, answer *v1.CheckResponse) {
	if a == nil {
		return
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.rulings) >= a.most {
		clear(a.rulings)
	}
	a.rulings[q.manner] = ruling{answer.GetRuleset().GetDigest(), time.Now()}
	if !whole(answer) {
		return
	}
	if old, known := a.byHash[q.hash]; known {
		a.order.Remove(old)
	}
	a.byHash[q.hash] = a.order.PushFront(&keptAnswer{q.hash, proto.CloneOf(answer)})
	for a.order.Len() > a.most {
		last := a.order.Remove(a.order.Back()).(*keptAnswer)
		delete(a.byHash, last.hash)
	}
}

// whole tells whether every pack answered: a finding of the host's own stands for one
// that did not.
func whole(answer *v1.CheckResponse) bool {
	for _, f := range answer.GetFindings() {
		if strings.HasPrefix(f.GetRule(), "host.") {
			return false
		}
	}
	return true
}
