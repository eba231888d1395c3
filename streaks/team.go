package streaks

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"strings"
)

// A Player is somebody who is drawn into a team.
type Player struct {
	ID    string
	Habit float64 // what teams are balanced by, such as the share of days kept lately
}

// Draw deals players into teams whose sizes differ by one at most, and returns
// the ids of each. The same seed draws the same teams, in whatever order the
// players come.
//
// Those with the strongest habit are dealt first, one to each team, the next in
// the opposite order, and so on; among equals, and for which team is first, the
// lot decides.
func Draw(players []Player, teams int, seed uint64) [][]string {
	lot := rand.New(rand.NewPCG(seed, uint64(teams)))
	order := slices.SortedFunc(slices.Values(players), func(a, b Player) int { return strings.Compare(a.ID, b.ID) })
	lot.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
	slices.SortStableFunc(order, func(a, b Player) int { return cmp.Compare(b.Habit, a.Habit) })
	turns, drawn := lot.Perm(teams), make([][]string, teams)
	for i, p := range order {
		if i > 0 && i%teams == 0 {
			slices.Reverse(turns)
		}
		team := turns[i%teams]
		drawn[team] = append(drawn[team], p.ID)
	}
	return drawn
}
