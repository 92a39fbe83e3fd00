package electric

import "fmt"

// Contacts is a set of contacts side by side in one connector, each with a
// wire of its own.
type Contacts struct {
	Name string
	// Count is the number of contacts, Open how many of them carry nothing:
	// broken, bent back, not inserted.
	Count, Open int
	// Ohms is the resistance of one contact, anywhere in its range.
	Ohms Range
	// WireOhms is what lies in series with each contact before the wires meet
	// again, the same for all: longer wires even out the sharing.
	WireOhms Range
}

// ContactShare is how contacts share a current.
type ContactShare struct {
	// Amps is the current of the contact that carries most: Low and Nominal
	// when the contacts are alike, High with one contact at the low end of its
	// resistance and all others at the high end.
	Amps Range
	// Factor is the worst contact's current over an equal share among all
	// contacts, the open ones counted: 1 is perfect.
	Factor float64
}

// Share finds the worst current on one contact when the set carries total
// amperes. It errs when nothing is left closed or a figure is wrong.
func (c Contacts) Share(total Range) (ContactShare, error) {
	if err := c.check(total); err != nil {
		return ContactShare{}, err
	}
	closed := float64(c.Count - c.Open)
	even := total.scale(1 / closed)
	// the shorter the wire, the less it evens out
	low := 1 / max(floorOhms, c.Ohms.Low+c.WireOhms.Low)
	high := 1 / max(floorOhms, c.Ohms.High+c.WireOhms.Low)
	share := low / (low + (closed-1)*high)
	return ContactShare{
		Amps:   Range{even.Low, even.Nominal, total.High * share},
		Factor: share * float64(c.Count),
	}, nil
}

func (c Contacts) check(total Range) error {
	kind := "connector"
	switch {
	case c.Count < 1:
		return inputErrorf(kind, c.Name, "has %d contacts: give their number", c.Count)
	case c.Open < 0 || c.Open >= c.Count:
		return inputErrorf(kind, c.Name, "has %d of its %d contacts open: leave at least one closed", c.Open, c.Count)
	}
	for _, q := range []struct {
		r    Range
		what string
		most float64
	}{{c.Ohms, "contact resistance in ohm", mostOhms}, {c.WireOhms, "wire resistance in ohm", mostOhms}, {total, "current in A", mostAmps}} {
		if err := q.r.checkNotNegative(q.what); err != nil {
			return inputErrorf(kind, c.Name, "is wrong: its %s", err)
		}
		if q.r.High > q.most {
			return inputErrorf(kind, c.Name, "is wrong: its %s is %g: give at most %g", q.what, q.r.High, q.most)
		}
	}
	return nil
}

// MostOpen is how many contacts may open before the worst of the others
// passes its rated amperes at the high end of the total; -1 when it does with
// none open.
func (c Contacts) MostOpen(total Range, ratedA float64) (int, error) {
	if !(ratedA > 0) {
		return 0, inputErrorf("connector", c.Name, "has contacts rated %g A: give a rating above zero", ratedA)
	}
	for open := range max(1, c.Count) {
		c.Open = open
		s, err := c.Share(total)
		if err != nil {
			return 0, fmt.Errorf("with %d contacts open: %w", open, err)
		}
		if s.Amps.High > ratedA {
			return open - 1, nil
		}
	}
	return c.Count - 1, nil
}
