package clearance

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/route"
)

// Costs of giving a plug to a socket, in tenths of a millimetre of what it is too
// long. Each is worth more than all below it of a build together.
const (
	costOwn    = int64(1) << 24 // the supply's own, where the build names others
	costUntold = int64(1) << 28 // its length is not stated
	costEmpty  = int64(1) << 30 // a socket that may stay empty does
	costShort  = int64(1) << 32 // it does not reach
	costBare   = int64(1) << 36 // a socket that needs a cable has none
)

// Sockets and plugs that are dealt at the least cost; of more, the rest come after,
// first come first served.
const (
	dealtSockets = 128
	dealtPlugs   = 512
)

// deal gives each run the plug of a cable, so that as many sockets as possible have
// one, as few as possible are too short, cables that the build names go before the
// supply's own, and as little as possible is left over. needs are estimates of the
// ways' lengths.
func deal(c *kit.Case, list []run, stocks []stock, needs []float64) {
	rows := min(len(list), dealtSockets)
	var units []int
	for i := range stocks {
		for range min(stocks[i].left, rows, dealtPlugs-len(units)) {
			units = append(units, i)
		}
	}
	cost := make([][]int64, rows)
	all := make([]int64, rows*(len(units)+rows))
	for i := range cost {
		cost[i], all = all[:len(units)+rows], all[len(units)+rows:]
		for j := range cost[i] {
			if j < len(units) {
				cost[i][j] = stocks[units[j]].costFor(&list[i], needs[i])
			} else if cost[i][j] = costBare; list[i].socket.GetDispensable() {
				cost[i][j] = costEmpty
			}
		}
	}
	for i, j := range assign(cost) {
		if j >= len(units) || cost[i][j] >= forbidden {
			list[i].take(c, nil)
			continue
		}
		stocks[units[j]].left--
		list[i].take(c, &stocks[units[j]])
	}
	for i := rows; i < len(list); i++ {
		list[i].take(c, firstLeft(stocks, &list[i]))
	}
}

func firstLeft(stocks []stock, r *run) *stock {
	for i := range stocks {
		if s := &stocks[i]; s.left > 0 && fillsSocket(s.end.GetConnector(), r.socket.GetConnector()) {
			s.left--
			return s
		}
	}
	return nil
}

// costFor is the cost of a plug in a socket whose way needs so many mm.
func (s *stock) costFor(r *run, need float64) int64 {
	cost := int64(0)
	switch {
	case !fillsSocket(s.end.GetConnector(), r.socket.GetConnector()):
		return forbidden
	case s.end.LengthMm == nil:
		cost = costUntold
	case s.end.GetLengthMm() < need:
		cost = costShort + int64((need-s.end.GetLengthMm())*10)
	default:
		cost = int64((s.end.GetLengthMm() - need) * 10)
	}
	if s.item == nil {
		cost += costOwn
	}
	return cost
}

// estimates are how long the ways of runs are about, by a usual cable along the
// axes: found once for a plan, since all cables of it are.
func (l *laying) estimates(kept *[]float64, c *kit.Case, a *v1.Arrangement, list []run) []float64 {
	l.Lock()
	defer l.Unlock()
	if len(*kept) == len(list) {
		return *kept
	}
	out := make([]float64, len(list))
	for i := range list {
		r := list[i]
		if !r.placed {
			r.place(c, a)
		}
		if r.placed && l.isRoom {
			out[i] = r.laid.about(&l.room, r.kind())
		}
	}
	*kept = out
	return out
}

// about is the length of a way along the axes, or where none is at hand as the crow
// flies.
func (r laid) about(room *route.Room, cable route.Cable) float64 {
	r.bound(room, cable, false)
	if r.upper > 0 {
		return r.upper
	}
	return r.lower
}
