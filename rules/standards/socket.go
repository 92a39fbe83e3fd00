package standards

import (
	"fmt"
	"slices"
)

var (
	srcSocketName   = register("socket-names", "processor sockets as the trade names them", "", CommonPractice)
	srcSocketHoles  = register("socket-holes", "cooler mounting holes by socket", "", Memory)
	srcSocketSystem = register("socket-none", "cooler mounting holes by socket", "pattern not known", Memory)
)

// Socket is a processor socket with the mounting holes of coolers round it.
type Socket struct {
	// Token is the trade's name in lower case.
	Token string
	// HoleXMM and HoleYMM are the distances of the four holes, along the
	// shorter and the longer side; 0 where they are not known.
	HoleXMM, HoleYMM float64
	// HolesSource is that of the holes; Source that of the name.
	Source, HolesSource Source
}

func socket(token string, x, y float64) Socket {
	s := Socket{token, x, y, srcSocketName, srcSocketHoles}
	if x == 0 {
		s.HolesSource = srcSocketSystem
	}
	return s
}

var sockets = []Socket{
	socket("am2", 48, 96), socket("am2+", 48, 96), socket("am3", 48, 96), socket("am3+", 48, 96),
	socket("am4", 54, 90), socket("am5", 54, 90),
	socket("fm1", 48, 96), socket("fm2", 48, 96), socket("fm2+", 48, 96),
	socket("lga775", 72, 72), socket("lga1366", 80, 80),
	socket("lga1150", 75, 75), socket("lga1151", 75, 75), socket("lga1155", 75, 75),
	socket("lga1156", 75, 75), socket("lga1200", 75, 75),
	socket("lga1700", 78, 78), socket("lga1851", 78, 78),
	socket("lga2011", 80, 80), socket("lga2011-3", 80, 80), socket("lga2066", 80, 80),
	socket("lga3647", 0, 0), socket("lga4189", 0, 0), socket("lga4677", 0, 0),
	socket("tr4", 0, 0), socket("strx4", 0, 0), socket("str5", 0, 0), socket("sp3", 0, 0), socket("sp5", 0, 0),
}

// Sockets returns the sockets that are known by name.
func Sockets() []Socket { return slices.Clone(sockets) }

// SocketByToken returns one socket, or an [UnknownTokenError].
func SocketByToken(token string) (Socket, error) {
	i := slices.IndexFunc(sockets, func(s Socket) bool { return s.Token == token })
	if i < 0 {
		return Socket{}, unknown(VocabSocket, token)
	}
	return sockets[i], nil
}

// HolesKnown reports whether the mounting holes are known.
func (s Socket) HolesKnown() bool { return s.HoleXMM > 0 && s.HoleYMM > 0 }

// SocketMatch tells whether two sockets share the cooler's mounting holes.
type SocketMatch struct {
	// Determined is false where the holes of one are not known.
	Determined bool
	// Shared is the answer where it is determined.
	Shared bool
	// Reason is a sentence for a finding; Source is never firm for unlike
	// sockets, so that a rule warns and does not fail.
	Reason string
	Source Source
}

// SharesCoolerHoles tells whether a cooler for one socket finds its holes round
// another. Height and pressure may differ all the same. Equal tokens share,
// also unknown ones; other unknown tokens leave the answer undetermined.
func SharesCoolerHoles(a, b string) SocketMatch {
	if a == b {
		return SocketMatch{true, true, fmt.Sprintf("both are %s", shorten(a)), srcSocketName}
	}
	first, errA := SocketByToken(a)
	second, errB := SocketByToken(b)
	if errA != nil || errB != nil || !first.HolesKnown() || !second.HolesKnown() {
		return SocketMatch{Reason: fmt.Sprintf("the mounting holes of %s or %s are not known", shorten(a), shorten(b)), Source: srcSocketSystem}
	}
	holes := func(s Socket) string { return fmt.Sprintf("%s has %g x %g mm", s.Token, s.HoleXMM, s.HoleYMM) }
	return SocketMatch{
		Determined: true,
		Shared:     first.HoleXMM == second.HoleXMM && first.HoleYMM == second.HoleYMM,
		Reason:     holes(first) + " and " + holes(second),
		Source:     srcSocketHoles,
	}
}
