package charts

import (
	"math"
	"strings"
	"testing"

	"ledgerline/streaks"
	"ledgerline/studio"
)

func TestDescribeChallenge(t *testing.T) {
	tide, gains := tide(), gains()
	for _, tt := range []struct {
		picture studio.Picture
		want    string
	}{
		{studio.Picture{Challenge: &tide}, "Spring tide, from 2 Mar to 15 Mar 2026: 25,820 notes, the goal is 31,200."},
		{studio.Picture{Challenge: &gains}, "A minute against oneself, from 2 Mar to 22 Mar 2026: 4.2 percent faster. Ahead: 1. Jonah, 12.3%; 2. Marguerite Oldcastle-Vane, 8.4%; 2. no. 3, 山田花子, 8.4%."},
		{studio.Picture{Challenge: &tide, Lang: "de"}, "Spring tide, vom 2. März bis 15. März 2026: 25.820 Töne, das Ziel ist 31.200."},
	} {
		if got := New(nil).Describe(tt.picture); got != tt.want {
			t.Errorf("got  %s\nwant %s", got, tt.want)
		}
	}
}

// A challenge on whose first morning nothing was played yet is drawn, and what
// is no challenge is refused.
func TestChallengeAtItsEdges(t *testing.T) {
	empty := studio.ChallengePicture{Title: "Keys", From: march, To: march, Measure: streaks.KeysVisited}
	if _, err := New(nil).Draw(studio.Picture{Challenge: &empty}); err != nil {
		t.Error(err)
	}
	for what, change := range map[string]func(*studio.ChallengePicture){
		"values for 15 days": func(p *studio.ChallengePicture) { p.Values = append(p.Values, 1, 1, 1, 1, 1) },
		"no days":            func(p *studio.ChallengePicture) { p.To = p.From - 1 },
		"a loss":             func(p *studio.ChallengePicture) { p.Values[3] = -1 },
		"no number":          func(p *studio.ChallengePicture) { p.Goal = math.NaN() },
		"too many rows":      func(p *studio.ChallengePicture) { p.Rows = make([]studio.ChallengeRow, MostChallengeRows+1) },
	} {
		p := tide()
		change(&p)
		if _, err := New(nil).Draw(studio.Picture{Challenge: &p}); err == nil || !strings.Contains(err.Error(), "Spring tide") {
			t.Errorf("%s: %v", what, err)
		}
	}
}

func TestLadder(t *testing.T) {
	for _, tt := range []struct{ most, step, top float64 }{
		{0, 1, 1}, {3, 1, 3}, {5, 1, 5}, {6, 2, 6}, {12, 5, 15}, {26, 10, 30}, {31200, 10000, 40000}, {1e6, 200000, 1e6},
	} {
		if l := ladderTo(tt.most, 0, 1); l.step != tt.step || l.most != tt.top {
			t.Errorf("up to %v: steps of %v to %v, want %v to %v", tt.most, l.step, l.most, tt.step, tt.top)
		}
	}
}
