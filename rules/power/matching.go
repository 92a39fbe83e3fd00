package power

// matching assigns plugs to sockets. Plugs of one kind are alike, and so are
// sockets, so that both sides are counted and not listed: left nodes are kinds of
// plugs with how many there are, right nodes kinds of sockets. Cheapest augmenting
// paths make the number of filled sockets the greatest there is, for those right
// nodes first that are filled first (a transversal matroid: what has been filled
// stays filled), and among these assignments the number of partial plugs the least
// (successive shortest paths of a flow of least cost).
type matching struct {
	fits     []fit // [left*rights + right]
	have     []int // plugs of each left node
	used     []int
	flow     []int // [left*rights + right]
	rights   int
	halfOpen bool // partial plugs may be used now
	partials int  // partial plugs in use

	// Of the path that is being looked for.
	cost []int // least cost of freeing a plug for each right node
	left []int // by taking a plug of this left node
	from []int // for this right node
	work []int // right nodes whose cost has come down
}

// fit is how a plug goes into a socket.
type fit uint8

const (
	noFit fit = iota
	partialFit
	fullFit
)

// unreached is a cost that no path has.
const unreached = 1 << 30

// reset empties the assignment for so many kinds of plugs and sockets, and keeps
// what fits.
func (m *matching) reset(lefts, rights int) {
	m.rights, m.halfOpen, m.partials = rights, false, 0
	m.have = zeroed(m.have, lefts)
	m.used = zeroed(m.used, lefts)
	m.flow = zeroed(m.flow, lefts*rights)
	m.cost, m.left, m.from = zeroed(m.cost, rights), zeroed(m.left, rights), zeroed(m.from, rights)
}

// zeroed is a slice of n zero values in the memory of old where it suffices.
func zeroed[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n)
	}
	old = old[:n]
	clear(old)
	return old
}

// fill assigns plugs to up to want sockets of a right node and returns to how
// many. No socket is filled whose price in partial plugs is above most.
func (m *matching) fill(right, want, most int) int {
	for n := range want {
		if !m.augment(right, most) {
			return n
		}
	}
	return want
}

// augment fills one more socket of a right node, moving other plugs where that
// helps.
func (m *matching) augment(right, most int) bool {
	if m.partials == 0 { // then nothing is cheaper than a whole plug at once
		for left := range m.have {
			if m.fits[left*m.rights+right] == fullFit && m.free(left) > 0 {
				m.put(left, right)
				m.used[left]++
				return true
			}
		}
	}
	last, end, price := m.cheapest(right)
	if price > most {
		return false
	}
	m.shift(right, last, end)
	return true
}

// cheapest looks for the cheapest way to free a plug for a right node: the right
// node at the end of the path, the plug that it takes, and the price.
func (m *matching) cheapest(right int) (last, end, price int) {
	for r := range m.cost {
		m.cost[r] = unreached
	}
	m.cost[right], price = 0, unreached
	m.work = append(m.work[:0], right)
	for len(m.work) > 0 {
		r := m.work[len(m.work)-1]
		m.work = m.work[:len(m.work)-1]
		for left := range m.have {
			if m.have[left] == 0 || !m.open(left, r) {
				continue
			}
			cost := m.cost[r] + m.costOf(left, r)
			if m.free(left) > 0 && cost < price {
				last, end, price = r, left, cost
			}
			m.relax(left, r, cost)
		}
	}
	return last, end, price
}

// relax notes right nodes that would give up a plug of a left node for r.
func (m *matching) relax(left, r, cost int) {
	for other := range m.rights {
		if other == r || m.flow[left*m.rights+other] == 0 {
			continue
		}
		if c := cost - m.costOf(left, other); c < m.cost[other] {
			m.cost[other], m.left[other], m.from[other] = c, left, r
			m.work = append(m.work, other)
		}
	}
}

// shift moves plugs along the path that ends with a free plug at last.
func (m *matching) shift(right, last, end int) {
	m.used[end]++
	for r, left := last, end; ; {
		m.put(left, r)
		if r == right {
			return
		}
		left = m.left[r]
		m.take(left, r)
		r = m.from[r]
	}
}

func (m *matching) put(left, right int) {
	m.flow[left*m.rights+right]++
	m.partials += m.costOf(left, right)
}

func (m *matching) take(left, right int) {
	m.flow[left*m.rights+right]--
	m.partials -= m.costOf(left, right)
}

// costOf is 1 for a partial plug and 0 for a whole one.
func (m *matching) costOf(left, right int) int {
	if m.fits[left*m.rights+right] == partialFit {
		return 1
	}
	return 0
}

func (m *matching) open(left, right int) bool {
	f := m.fits[left*m.rights+right]
	return f == fullFit || f == partialFit && m.halfOpen
}

// partial counts the sockets of a right node that have a partial plug.
func (m *matching) partial(right int) (n int) {
	for left := range m.have {
		n += m.flow[left*m.rights+right] * m.costOf(left, right)
	}
	return n
}

// free counts the plugs of a left node that are left over.
func (m *matching) free(left int) int { return m.have[left] - m.used[left] }
