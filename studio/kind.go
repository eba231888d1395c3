package studio

import (
	_ "embed"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio/words"
)

// A Kind is a template of challenges: what is measured, of whom, to what goal,
// and the words that announce it. The program has some of its own, written as a
// studio writes hers.
type Kind struct {
	ID      string          `json:"id" yaml:"id"`
	Measure streaks.Measure `json:"measure" yaml:"measure"`
	Per     Per             `json:"per" yaml:"per"`

	// Goal is in percent for a measure that is a share, else a number; 0: none.
	// EachDay says that it is for each scheduled day of every player.
	Goal    float64 `json:"goal,omitempty" yaml:"goal"`
	EachDay bool    `json:"each_day,omitempty" yaml:"each-day"`

	// Ranking says that it is told which teams, or which of the members who chose
	// to appear, are ahead.
	Ranking bool `json:"ranking,omitempty" yaml:"ranking"`

	Teams    int    `json:"teams,omitempty" yaml:"teams"`       // how many are drawn
	Days     int    `json:"days" yaml:"days"`                   // how many it lasts, if nobody says otherwise
	Progress string `json:"progress,omitempty" yaml:"progress"` // when it is told how it goes: middle (or empty), weekly, none, or a number of days

	Words map[string]KindWords `json:"words" yaml:"words"` // by language
}

// KindWords announce a challenge of a kind in one language.
type KindWords struct {
	Title   string `json:"title" yaml:"title"`
	Opening string `json:"opening" yaml:"opening"`
}

// Per says whose figure a challenge is about.
type Per string

// What a figure may be of.
const (
	PerStudio Per = "studio" // all together
	PerTeam   Per = "team"
	PerMember Per = "member" // each for herself
)

// Bounds of a challenge.
const (
	ShortestChallenge = 2 // days
	LongestChallenge  = 92
	FewestTeams       = 2
	MostTeams         = 6
	largestGoal       = 1_000_000
)

//go:embed kinds.yaml
var programKinds []byte

// Kinds returns the kinds that every studio has. Their file is part of the
// program, so that a fault in it is one of the program, and a panic.
func Kinds() []Kind { return kinds() }

var kinds = sync.OnceValue(func() []Kind {
	var file struct{ Kinds []Kind }
	if err := yaml.Unmarshal(programKinds, &file); err != nil {
		panic(fmt.Sprintf("kinds.yaml: %v", err))
	}
	return file.Kinds
})

// Kinds returns the kinds of challenge of a studio: hers, and those of the
// program that she has no other one for.
func (s *Studio) Kinds() []Kind {
	all := slices.Clone(s.OwnKinds)
	for _, k := range Kinds() {
		if !slices.ContainsFunc(s.OwnKinds, func(own Kind) bool { return own.ID == k.ID }) {
			all = append(all, k)
		}
	}
	return all
}

// words returns the words of a kind in a language, or else in English, or in any.
func (k *Kind) words(lang string) KindWords {
	for _, l := range append([]string{lang}, words.Languages()...) {
		if w, ok := k.Words[l]; ok {
			return w
		}
	}
	return KindWords{}
}

// rhythm reads when it is told how a challenge goes: every so many days; middle
// for once, half way.
func (k *Kind) rhythm() (every int, middle bool, ok bool) {
	switch k.Progress {
	case "", "middle":
		return 0, true, true
	case "none":
		return 0, false, true
	case "weekly":
		return 7, false, true
	}
	every, err := strconv.Atoi(k.Progress)
	return every, false, err == nil && every >= 1 && every <= LongestChallenge
}

// Problems says what is wrong with a kind. Fields are named as its file names
// them, and the problems have no source.
func (k *Kind) Problems() (found []routine.Problem) {
	add := func(field, instead, what string, args ...any) {
		found = append(found, routine.Problem{Field: field, What: fmt.Sprintf(what, args...), Instead: instead})
	}
	if k.Measure.IsShare() && (k.Goal < 0 || k.Goal > 100) {
		add("goal", "percent, from 1 to 100", "goal %v is out of bounds", k.Goal)
	} else if k.Goal < 0 || k.Goal > largestGoal {
		add("goal", fmt.Sprintf("a number from 1 to %d", largestGoal), "goal %v is out of bounds", k.Goal)
	}
	if k.EachDay && (k.Measure.IsShare() || k.Goal == 0) {
		add("each-day", "each-day only with a goal that is a number of lines, keys, notes or minutes", "there is nothing of which a day has its part")
	}
	if k.Goal == 0 && !k.Ranking {
		add("goal", "goal: with a number, or ranking: true with per: team or member", "the kind has neither goal nor ranking")
	}
	if k.Ranking && k.Per == PerStudio {
		add("ranking", "per: team or per: member", "there is nobody to be ahead of anybody")
	}
	if amount := k.Measure == streaks.NotesPlayed || k.Measure == streaks.MinutesPlayed; k.Ranking && k.Per == PerMember && amount {
		add("ranking", "per: studio or per: team", "%s are not ranked member against member: nobody is to play longer than is good for her", k.Measure)
	}
	if k.Per == PerTeam && (k.Teams < FewestTeams || k.Teams > MostTeams) {
		add("teams", fmt.Sprintf("a number from %d to %d", FewestTeams, MostTeams), "teams %d is out of bounds", k.Teams)
	} else if k.Per != PerTeam && k.Teams != 0 {
		add("teams", "per: team", "there are teams, but the figure is per %s", k.Per)
	}
	if k.Days < ShortestChallenge || k.Days > LongestChallenge {
		add("days", fmt.Sprintf("a number from %d to %d", ShortestChallenge, LongestChallenge), "days %d is out of bounds", k.Days)
	}
	if _, _, ok := k.rhythm(); !ok {
		add("progress", "middle, weekly, none, or a number of days", "progress %q cannot be read", k.Progress)
	}
	return found
}

// counted returns what a challenge of the kind counts between two dates.
func (k *Kind) counted(from, to routine.Date) streaks.Challenge {
	c := streaks.Challenge{From: from, To: to, Measure: k.Measure, Goal: k.Goal, EachDay: k.EachDay}
	if k.Measure.IsShare() {
		c.Goal /= 100
	}
	return c
}

// kindNamed finds a kind by its id.
func (s *Studio) kindNamed(id string) (Kind, bool) {
	all := s.Kinds()
	i := slices.IndexFunc(all, func(k Kind) bool { return strings.EqualFold(k.ID, id) })
	if i < 0 {
		return Kind{}, false
	}
	return all[i], true
}
