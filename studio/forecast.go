package studio

import (
	"context"
	"slices"
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/streaks/forecast"
	"ledgerline/studio/words"
)

// A LineForecast says when one line, or a minute test of it, is likely to be at
// the goal of its pass.
type LineForecast struct {
	Key  routine.StandingKey
	Test bool
	Goal routine.Tempo
	forecast.Forecast
}

// locked is why nothing is forecast of a line whose tempo the teacher has locked:
// its log says nothing of how fast it could go.
const locked forecast.Reason = "its tempo is locked"

// Forecasts returns the forecasts of all lines that a student works on, in the
// order of her plan, and after each line that of its minute test, if it has any.
func (s *Service) Forecasts(ctx context.Context, id MemberID) (all []LineForecast, err error) {
	err = s.store.View(ctx, func(tx Tx) error {
		m, err := tx.Member(id)
		if err != nil {
			return err
		}
		all, err = s.forecasts(tx, &m)
		return err
	})
	return all, err
}

func (s *Service) forecasts(tx Tx, m *Member) ([]LineForecast, error) {
	plan, err := planOf(tx, m.ID)
	if err != nil {
		return nil, err
	}
	standings, err := tx.Standings(m.ID)
	if err != nil {
		return nil, err
	}
	var all []LineForecast
	for i := range plan.Entries {
		e := &plan.Entries[i]
		study := s.books(m.Studio).Study(e.Study)
		if study == nil || e.Hold {
			continue
		}
		for _, line := range study.Lines {
			key := routine.StandingKey{Line: e.Study.Line(line.Number), Pass: e.Pass}
			if standings[key].State != routine.Working {
				continue
			}
			some, err := s.lineForecasts(tx, m, e, key)
			if err != nil {
				return nil, err
			}
			all = append(all, some...)
		}
	}
	return all, nil
}

// lineForecasts returns the forecasts of one working line; none if its pass has
// no goal. Its entry on the plan may be nil.
func (s *Service) lineForecasts(tx Tx, m *Member, e *routine.PlanEntry, key routine.StandingKey) ([]LineForecast, error) {
	rule, known := s.rule(m.Studio, key)
	if !known || rule.Goal.IsZero() {
		return nil, nil
	}
	entries, err := tx.LineEntries(m.ID, key.Line, key.Pass)
	if err != nil {
		return nil, err
	}
	today := s.today(m)
	line := LineForecast{Key: key, Goal: rule.Goal, Forecast: forecast.Forecast{None: locked}}
	if e == nil || e.Lock.IsZero() {
		line.Forecast = streaks.ForecastOf(entries, rule.Goal, today)
	}
	all := []LineForecast{line}
	if slices.ContainsFunc(entries, func(e routine.Entry) bool { return e.Test }) {
		all = append(all, LineForecast{key, true, rule.Goal, streaks.MinuteForecastOf(entries, rule.Goal, today)})
	}
	return all, nil
}

// when says a forecast in words.
func (f *LineForecast) when(v *voice) string {
	tempo := v.Tempo(f.Goal)
	if f.Test {
		tempo = v.Say("forecast.for-a-minute", with{"tempo": tempo})
	}
	if f.None != "" {
		return v.Say("forecast.none", with{"tempo": tempo, "reason": v.Say("forecast."+strings.ReplaceAll(string(f.None), " ", "-"), nil)})
	}
	return v.Say("forecast.likely", with{"tempo": tempo, "when": betweenWords(v, f.From, f.To)})
}

// forecastCommand shows when the lines a student works on are likely to be at
// their goals: to herself, or to a teacher who names her.
func (t *turn) forecastCommand(args []string) (Post, error) {
	m, err := t.who, error(nil)
	if t.who.Role != Student {
		if m, _, err = t.member(args); err != nil {
			return Post{}, err
		}
	}
	all, err := t.forecasts(t.tx, &m)
	if err != nil {
		return Post{}, err
	}
	if len(all) == 0 {
		return t.answered("forecast.nothing", nil)
	}
	return Post{
		Title: t.voice.Say("forecast.title", with{"name": m.Name}),
		Text:  t.voice.Say("forecast.how-sure", nil),
		Items: t.forecastItems(all),
	}, nil
}

// forecastItems shows forecasts as one item for each study, in which lines of
// which the same is said are put together.
func (t *turn) forecastItems(all []LineForecast) []PostItem {
	var items []PostItem
	for len(all) > 0 {
		ref, pass := all[0].Key.Line.StudyRef(), all[0].Key.Pass
		n := slices.IndexFunc(all, func(f LineForecast) bool { return f.Key.Line.StudyRef() != ref || f.Key.Pass != pass })
		if n < 0 {
			n = len(all)
		}
		items = append(items, PostItem{
			N: len(items) + 1, Head: t.voice.Say("study-pass", with{"study": studyName(t.books(t.studio.ID), ref), "pass": pass}), Detail: alikeWords(t.voice, all[:n]),
		})
		all = all[n:]
	}
	return items
}

// alikeWords says the forecasts of the lines of one study.
func alikeWords(v *voice, all []LineForecast) string {
	var said []string
	lines := map[string][]int{}
	for i := range all {
		when := all[i].when(v)
		if lines[when] == nil {
			said = append(said, when)
		}
		lines[when] = append(lines[when], all[i].Key.Line.Line)
	}
	for i, when := range said {
		said[i] = words.Sentence(v.Say("labelled", with{"label": linesWords(v, lines[when]), "text": when}))
	}
	return strings.Join(said, "\n")
}
