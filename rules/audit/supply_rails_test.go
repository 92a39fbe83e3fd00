package audit

import "testing"

func TestSupplyRails(t *testing.T) {
	table(t, "audit.supply-rails", []row{
		{"12 V times 50 A is the rating", "supply: {rated_w: 600, rails: [{rail: 12v, current_a: 50}]}", []string{"PASS entry"}},
		{"rating ten times", "supply: {rated_w: 6000, rails: [{rail: 12v, current_a: 50}]}", []string{"FAIL entry margin -5100 W"}},
		{"current ten times", "supply: {rated_w: 600, rails: [{rail: 12v, current_a: 500}]}", []string{"FAIL entry margin -446.81 A"}},
		{"rails that share a limit", "supply: {rated_w: 600, rails: [{rail: 12v1, current_a: 40}, {rail: 12v2, current_a: 40}]}", []string{"PASS entry"}},
		{"a supply weaker than its rail", "supply: {rated_w: 500, rails: [{rail: 12v, current_a: 50}]}", []string{"MARGINAL entry margin -64 W"}},
		{"no rating", "supply: {rails: [{rail: 12v, current_a: 50}]}", []string{"UNKNOWN entry missing items[0].part.supply.rated_w"}},
		{"no rails", "supply: {rated_w: 600}", nil},
	})
}
