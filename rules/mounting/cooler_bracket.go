package mounting

import (
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/standards"
)

var coolerBracketRule = kit.Rule{
	ID: "mounting.cooler-bracket", Title: "Cooler bracket for the socket", Since: "0.1.0", Alone: true,
	Why: "A cooler is held by a bracket made for the socket's holes; without it nothing presses it on the processor.",
	Formula: "One of the cooler's brackets must name the board's socket, and what it needs must lie in a box or stand in the build. A bracket for a socket with the " +
		"same holes may do; those holes are known from memory only, so that this stays doubtful.",
	Sources: []sourceOf{kit.CommonPractice, sourceByID("socket-holes")},
	Reads:   []string{"board.socket", "air_cooler.brackets", "liquid_loop.brackets", "kit.pieces", "accessory.provides"},
	Texts: map[string]string{
		"pass":     "{cooler} has a bracket for {socket}.",
		"provided": "{cooler} takes {socket} by {accessory}, which is at hand.",
		"marginal": "{cooler} names no bracket for {socket}, but one for {kin}, which has the same holes as far as is known.",
		"fail":     "{cooler} has no bracket for {socket}.",
		"lacking":  "{cooler} takes {socket} by {accessory}, which is in no box of this build.",
		"unknown":  "Whether {cooler} can be fastened cannot be told without {missing}; the sockets stand in the data sheets of cooler and board.",
		"no-board": "The build names no board, so that it cannot be told whether {cooler} can be fastened; add the board.",
	},
	Remedies: map[string]string{
		"buy":   "Buy the bracket, which makers often send for the asking.",
		"check": "Ask the cooler's maker whether the bracket for {kin} serves {socket}: height and pressure may differ though the holes agree.",
	},
	Cautions: map[string]string{
		"loose": "Do not run a processor under a cooler that is only laid on: it overheats within seconds, and a heavy cooler that falls breaks the card.",
	},
	Judge: judgeCoolerBracket,
}

func judgeCoolerBracket(c *kit.Case) {
	s := sceneOf(c)
	for it := range c.Items(kit.KindAirCooler) {
		s.judgeBracket(it, "air_cooler.brackets", it.Part.GetAirCooler().Brackets)
	}
	for it := range c.Items(kit.KindLiquidLoop) {
		s.judgeBracket(it, "liquid_loop.brackets", it.Part.GetLiquidLoop().Brackets)
	}
}

func (s *scene) judgeBracket(it *kit.Item, field string, brackets []*v1.CoolerBracket) {
	c, board := s.c, s.c.First(kit.KindBoard)
	if board == nil {
		c.Judged(kit.Unknown, c.Absent(noItem, "")).About(it).Word("cooler", it.Name()).Say("no-board")
		return
	}
	socket := c.Word(board, "board.socket", board.Part.GetBoard().Socket)
	bracket, needs := s.bracketFor(brackets, socket.Word)
	verdict, text, kin := kit.Pass, "pass", ""
	switch {
	case bracket != nil && needs == "":
	case bracket != nil && s.provided(needs) > 0:
		text = "provided"
	case bracket != nil:
		verdict, text = kit.Fail, "lacking"
	default:
		needs = "bracket-" + socket.Word
		if verdict, text = kit.Fail, "fail"; s.provided(needs) > 0 {
			verdict, text = kit.Pass, "provided"
		} else if kin = kinOf(brackets, socket.Word); kin != "" {
			verdict, text = kit.Marginal, "marginal"
		}
	}
	f := c.Judged(verdict, socket).About(it, board).Word("cooler", it.Name()).Word("socket", socket.Word).
		Word("accessory", needs).Word("kin", kin)
	switch {
	case len(brackets) == 0:
		f.Using(c.Absent(it.At(field), ""))
	case text == "lacking" && it.Part.Kit == nil:
		f.Using(c.Absent(it.At("kit.pieces"), ""))
	case kin != "":
		f.Remedy("check")
	default:
		f.Remedy("buy", needs)
	}
	if f.Verdict() != kit.Unknown {
		f.Say(text).CautionWhen("loose")
	}
}

// bracketFor is the bracket that names the socket, one that needs nothing or
// what is at hand before others, with what it needs.
func (s *scene) bracketFor(brackets []*v1.CoolerBracket, socket string) (best *v1.CoolerBracket, needs string) {
	for _, b := range brackets {
		if !contains(b.Sockets, socket) {
			continue
		}
		if b.GetNeeds() == "" || s.provided(b.GetNeeds()) > 0 {
			return b, b.GetNeeds()
		}
		if best == nil {
			best, needs = b, b.GetNeeds()
		}
	}
	return best, needs
}

// kinOf is a socket of the brackets whose holes are those of another socket, ""
// where there is none.
func kinOf(brackets []*v1.CoolerBracket, socket string) string {
	for _, b := range brackets {
		for _, own := range b.Sockets {
			if m := standards.SharesCoolerHoles(own, socket); m.Determined && m.Shared {
				return own
			}
		}
	}
	return ""
}
