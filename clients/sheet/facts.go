package sheet

import (
	"cmp"
	"strconv"
	"strings"

	v1 "slipfit.example/proto/slipfit/v1"
)

type arrangement struct {
	Layout, Margin string
	Feasible       bool
	Seats          []seat
	Gaps           []gap
	MoreGaps       int
	Needs          []string
}

type seat struct{ Item, Mount, Detail string }

type gap struct {
	First, Second, Nominal, Low, Required, Reason string
	Short                                         bool
}

type cable struct{ From, To, Connector, Needed, Order, Have, State string }

// mostGaps is how many gaps the page shows, tightest first.
const mostGaps = 12

func (v *view) readArrangement(a *v1.Arrangement) {
	for _, b := range a.GetBoxes() {
		name := v.name(b.GetItem())
		if b.GetItem() == "" {
			name = "enclosure"
		}
		if b.GetBody() != "" {
			name += ", " + plain(b.GetBody())
		}
		v.shapes[b.GetShape()] = name
	}
	out := &arrangement{Layout: plain(a.GetLayout()), Feasible: a.GetFeasible()}
	if a.MarginMm != nil {
		out.Margin = mm(a.MarginMm)
	}
	for _, s := range a.GetSeats() {
		out.Seats = append(out.Seats, seat{v.name(s.GetItem()), plain(s.GetMount()), seatDetail(s)})
	}
	for _, g := range a.GetGaps() {
		if len(out.Gaps) == mostGaps {
			out.MoreGaps = len(a.GetGaps()) - mostGaps
			break
		}
		out.Gaps = append(out.Gaps, gap{
			v.shape(g.GetFirst()), v.shape(g.GetSecond()), mm(g.NominalMm), mm(g.LowMm), mm(g.RequiredMm), plain(g.GetReason()),
			g.GetLowMm() < g.GetRequiredMm(),
		})
	}
	for _, n := range a.GetNeeds() {
		out.Needs = append(out.Needs, plain(n))
	}
	v.Arrangement = out
	v.readRoutes(a.GetRoutes())
}

func seatDetail(s *v1.Seat) string {
	var parts []string
	if s.Count != nil && s.GetCount() > 1 {
		parts = append(parts, strconv.Itoa(int(s.GetCount()))+" pieces")
	}
	switch s.GetFlow() {
	case v1.Flow_FLOW_INTAKE:
		parts = append(parts, "blows in")
	case v1.Flow_FLOW_EXHAUST:
		parts = append(parts, "blows out")
	}
	for _, o := range s.GetOffsetsMm() {
		if o != 0 {
			parts = append(parts, "set off by "+number(o)+" mm")
		}
	}
	if s.GetSide() != "" {
		parts = append(parts, plain(s.GetSide())+" side")
	}
	return strings.Join(parts, ", ")
}

func (v *view) shape(id string) string { return cmp.Or(v.shapes[id], plain(id)) }

func (v *view) readRoutes(routes []*v1.Route) {
	for _, r := range routes {
		c := cable{
			From: v.name(r.GetFrom()), To: v.name(r.GetTo()), Connector: plain(r.GetConnector()),
			Needed: mm(r.NeededMm), Order: mm(r.OrderMm), Have: mm(r.HaveMm), State: "long enough",
		}
		switch {
		case r.HaveMm == nil:
			c.State, c.Have = "none at hand", "–"
		case r.GetHaveMm() < r.GetNeededMm():
			c.State = "too short"
		}
		v.Cables = append(v.Cables, c)
	}
}

type assembly struct {
	Mass     string
	Barred   string
	Steps    []step
	Joints   []joint
	LeftOver []string
	Buy      []purchase
	Cost     string // of all that is to buy; "" where no price is known
	Reaches  []reach
}

type step struct {
	Number         int
	ID             string
	Action         string
	Screws, Cables []string
	Tool, Caution  string
	Reopens        []string
}

type joint struct {
	Joint, Takes string
	Given        []string
	Short        int
}

type purchase struct {
	ID, What, Rule, Part, Price string
	About                       []string
	Count                       int
	Settles                     int // place of the finding that it settles; 0: none is on the page
}

// money prints a price: "12.50 EUR".
func money(amount *float64, currency string) string {
	if amount == nil {
		return "price unknown"
	}
	return strings.TrimSpace(strconv.FormatFloat(*amount, 'f', 2, 64) + " " + plain(currency))
}

// cost tells what all purchases come to, and what that leaves out.
func cost(a *v1.Assembly) string {
	if a.PurchasesCost == nil {
		return ""
	}
	text := "Together " + money(a.PurchasesCost, a.GetPurchasesCurrency())
	switch n := a.GetPurchasesUnpriced(); n {
	case 0:
		return text
	case 1:
		return text + ", without the one piece of unknown price"
	default:
		return text + ", without the " + strconv.Itoa(int(n)) + " pieces of unknown price"
	}
}

type reach struct {
	Item  string
	First []string
}

func (v *view) readAssembly(a *v1.Assembly) {
	out := &assembly{Barred: plain(a.GetBarred())}
	if a.MassG != nil {
		out.Mass = number(a.GetMassG()/1000) + " kg"
	}
	for i, s := range a.GetSteps() {
		out.Steps = append(out.Steps, v.step(i+1, s))
	}
	for _, j := range a.GetJoints() {
		out.Joints = append(out.Joints, v.joint(j))
	}
	for _, f := range a.GetLeftOver() {
		out.LeftOver = append(out.LeftOver, v.fastener(f))
	}
	for i, p := range a.GetPurchases() {
		out.Buy = append(out.Buy, purchase{
			ID: "buy-" + strconv.Itoa(i+1), What: plain(p.GetWhat()), Rule: plain(p.GetRule()), Part: plain(p.GetPart()),
			About: v.namesOf(p.GetItems()), Count: int(max(1, p.GetCount())), Price: money(p.Price, p.GetCurrency()), Settles: v.settledBy(p),
		})
	}
	out.Cost = cost(a)
	for _, r := range a.GetReaches() {
		if len(r.GetFirstOut()) > 0 {
			out.Reaches = append(out.Reaches, reach{v.name(r.GetItem()), v.namesOf(r.GetFirstOut())})
		}
	}
	v.Assembly = out
}

func (v *view) namesOf(ids []string) (out []string) {
	for _, id := range ids {
		out = append(out, v.name(id))
	}
	return out
}

func (v *view) step(n int, s *v1.Step) step {
	out := step{Number: n, ID: "step-" + strconv.Itoa(n), Action: plain(s.GetAction()), Caution: plain(s.GetCaution()), Reopens: v.namesOf(s.GetReopens())}
	for _, f := range s.GetFasteners() {
		out.Screws = append(out.Screws, v.fastener(f))
	}
	for _, c := range s.GetCables() {
		out.Cables = append(out.Cables, plain(c))
	}
	var tool []string
	if s.GetDriver() != "" {
		tool = append(tool, "driver "+plain(s.GetDriver()))
	}
	if s.TorqueLowNm != nil && s.TorqueHighNm != nil {
		tool = append(tool, number(s.GetTorqueLowNm())+" to "+number(s.GetTorqueHighNm())+" N·m")
	}
	out.Tool = strings.Join(tool, ", ")
	return out
}

func (v *view) joint(j *v1.FastenedJoint) joint {
	out := joint{Joint: v.jointName(j), Short: int(j.GetShort())}
	if j.Count != nil {
		out.Takes = strconv.Itoa(int(j.GetCount()))
	}
	if j.GetThread() != "" {
		out.Takes += " × " + plain(j.GetThread())
	}
	switch {
	case j.ShortestMm != nil && j.LongestMm != nil:
		out.Takes += ", " + number(j.GetShortestMm()) + " to " + number(j.GetLongestMm()) + " mm"
	case j.ShortestMm != nil:
		out.Takes += ", from " + number(j.GetShortestMm()) + " mm"
	case j.LongestMm != nil:
		out.Takes += ", up to " + number(j.GetLongestMm()) + " mm"
	}
	for _, f := range j.GetFasteners() {
		out.Given = append(out.Given, v.fastener(f))
	}
	return out
}

// jointName tells a joint by what people call its items: "Zinne 168 on Aue B1 Mini
// (bar)".
func (v *view) jointName(j *v1.FastenedJoint) string {
	if len(j.GetItems()) == 0 {
		return plain(j.GetJoint())
	}
	name := strings.Join(v.namesOf(j.GetItems()), " on ")
	if at := strings.Index(j.GetJoint(), " ("); at >= 0 {
		name += plain(j.GetJoint()[at:])
	}
	return name
}

func (v *view) fastener(f *v1.FastenerCount) string {
	text := strconv.Itoa(int(f.GetCount())) + " × " + plain(f.GetFastener())
	if f.GetFrom() == "" {
		return text + ", to buy"
	}
	return text + " (box of " + v.name(f.GetFrom()) + ")"
}

type link struct{ Item, Into, Rate string }

func (v *view) readLinks(l *v1.Links) {
	for _, x := range l.GetLinks() {
		out := link{Item: v.name(x.GetItem()), Into: plain(x.GetInto())}
		var rate []string
		if x.Generation != nil && x.Lanes != nil {
			rate = append(rate, "generation "+strconv.Itoa(int(x.GetGeneration()))+", "+strconv.Itoa(int(x.GetLanes()))+" lanes")
		}
		if x.RateGbs != nil {
			rate = append(rate, number(x.GetRateGbs())+" GB/s")
		}
		out.Rate = strings.Join(rate, ", ")
		v.Links = append(v.Links, out)
	}
}

// number prints a number without trailing zeros.
func number(x float64) string {
	text := strconv.FormatFloat(x, 'f', 2, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return strings.Replace(text, "-", "−", 1)
}

func mm(x *float64) string {
	if x == nil {
		return "–"
	}
	text := strconv.FormatFloat(*x, 'f', 1, 64)
	if text == "-0.0" {
		text = "0.0"
	}
	return strings.Replace(text, "-", "−", 1)
}
