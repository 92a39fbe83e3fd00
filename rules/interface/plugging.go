package mating

// plugging deals out fans and pumps to the board's headers and their splitters.
// It is searched, not guessed: a header that is said to be overloaded is so in
// every way of plugging that would find all of them a place.
type plugging struct {
	dealt     bool // what follows is that of the case
	consumers []consumer
	outlets   []outlet
	splitters []splitter
	more      int // headers that all splitters add
	unlisted  int // consumers beyond what is listed

	level     level
	undecided bool // the search ended before it was through
	odd       bool // a plug is on a header that does not quite suit it
	steps     int
	spent     []bool // splitters, while they are dealt out
}

// level is how good a way of plugging is, the best first.
type level uint8

const (
	// properAndStart: plugs suit their headers, which bear the starting currents.
	properAndStart level = iota
	// properAndRun: they suit, and bear the running currents alone.
	properAndRun
	// oddAndStart and oddAndRun: some plug is on a header that does not quite suit it.
	oddAndStart
	oddAndRun
	// placed: all have a place, and some header is overloaded.
	placed
	// unplaced: not all find a place.
	unplaced
)

// mostSteps bounds the search of one level. Builds take a few dozens.
const mostSteps = 20000

// open finds the best way of plugging for a build.
func (p *plugging) open(h *hookup) {
	p.listConsumers(h)
	p.listOutlets(h)
	if p.level, p.undecided, p.odd = unplaced, false, false; h.board != nil {
		p.search()
	}
}

// search tries the levels, the best first.
func (p *plugging) search() {
	if p.level = unplaced; p.short() > 0 {
		return
	}
	for p.level = properAndStart; p.level < unplaced; p.level++ {
		p.steps = 0
		p.clear()
		if p.deal(0) {
			break
		}
		p.undecided = p.undecided || p.steps > mostSteps
	}
	p.odd = p.level == oddAndStart || p.level == oddAndRun
	if p.level == placed {
		for i := range p.consumers {
			c := &p.consumers[i]
			p.odd = p.odd || pair(c.plugOr(), p.outlets[c.header].kind) == oddPair
		}
	}
}

// short is how many places are short by mere number.
func (p *plugging) short() int {
	return len(p.consumers) + p.unlisted - p.places()
}

// places is how many plugs the headers take with all splitters.
func (p *plugging) places() int { return len(p.outlets) + p.more*min(1, len(p.outlets)) }

func (p *plugging) clear() {
	for i := range p.consumers {
		p.consumers[i].header = -1
	}
	for i := range p.outlets {
		o := &p.outlets[i]
		o.n, o.run, o.start = 0, 0, 0
	}
}

// plugOr is the consumer's plug; one that is not stated is taken to be a fan's.
func (c *consumer) plugOr() string {
	if c.plug == "" {
		return plugFan4
	}
	return c.plug
}

// deal plugs in the consumers from the i-th on, empty headers before shared ones.
func (p *plugging) deal(i int) bool {
	if i == len(p.consumers) {
		return p.splittersReach()
	}
	if p.steps++; p.steps > mostSteps {
		return false
	}
	from := 0
	if p.consumers[i].alike {
		from = p.consumers[i-1].header // like ones in order; another order brings nothing new
	}
	for _, shared := range [...]bool{false, true} {
		for j := range p.outlets {
			if (p.outlets[j].n > 0) != shared || j < from || p.twin(j) || !p.takes(i, j) {
				continue
			}
			p.plug(i, j, 1)
			if p.extra() <= p.more && p.deal(i+1) {
				return true
			}
			p.plug(i, j, -1)
		}
	}
	return false
}

// twin reports whether the header before is a like one in the same state, so that
// trying this one as well brings nothing new.
func (p *plugging) twin(j int) bool {
	if j == 0 {
		return false
	}
	a, b := &p.outlets[j-1], &p.outlets[j]
	return a.number == b.number && a.n == b.n && a.run == b.run && a.start == b.start
}

// takes reports whether a header takes a consumer at the level that is searched.
func (p *plugging) takes(i, j int) bool {
	c, o := &p.consumers[i], &p.outlets[j]
	switch pair(c.plugOr(), o.kind) {
	case noPair:
		return false
	case oddPair:
		if p.level < oddAndStart {
			return false
		}
	}
	switch p.level {
	case properAndStart, oddAndStart:
		return o.start+c.start <= o.limit+slack
	case properAndRun, oddAndRun:
		return o.run+c.run <= o.limit+slack
	}
	return true
}

// slack swallows the rounding of sums of hundredths of an ampere.
const slack = 1e-9

func (p *plugging) plug(i, j, sign int) {
	c, o := &p.consumers[i], &p.outlets[j]
	o.n += sign
	o.run += float64(sign) * c.run
	o.start += float64(sign) * c.start
	if c.header = j; sign < 0 {
		c.header = -1
	}
	if o.n == 0 {
		o.run, o.start = 0, 0 // not what rounding leaves
	}
}

// extra is how many headers the splitters must add for what is plugged in.
func (p *plugging) extra() (n int) {
	for j := range p.outlets {
		n += max(0, p.outlets[j].n-1)
	}
	return n
}

// splittersReach reports whether the splitters can be dealt out to the headers
// that bear several plugs.
func (p *plugging) splittersReach() bool {
	if p.extra() == 0 {
		return true
	}
	p.spent = zeroed(p.spent, len(p.splitters))
	return p.split(0, max(0, p.outlets[0].n-1))
}

// split gives splitters to the j-th header until it has what it lacks, and goes on.
func (p *plugging) split(j, lacks int) bool {
	if lacks <= 0 {
		if j++; j == len(p.outlets) {
			return true
		}
		return p.split(j, max(0, p.outlets[j].n-1))
	}
	if p.steps++; p.steps > mostSteps {
		return false
	}
	for k := range p.splitters {
		s := &p.splitters[k]
		if p.spent[k] || pair(s.from, p.outlets[j].kind) == noPair || k > 0 && !p.spent[k-1] && *s == p.splitters[k-1] {
			continue
		}
		p.spent[k] = true
		if p.split(j, lacks-s.more) {
			return true
		}
		p.spent[k] = false
	}
	return false
}
