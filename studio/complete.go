package studio

import (
	"context"
	"fmt"
	"strings"

	"ledgerline/routine"
)

// mostCompletions is how many completions a chat is given; no platform shows
// more.
const mostCompletions = 25

// Complete returns what an argument of a command may be completed to, for the
// person who is typing it: names of students, studies, lines, passes. Arg is the
// argument's name as [CommandSpec] has it, in any case. There is nothing for
// somebody who may not give the command, and nothing of another studio than
// her own.
func (s *Service) Complete(ctx context.Context, who Account, command, arg, partial string) []string {
	var found []string
	err := s.store.View(ctx, func(tx Tx) error {
		members, err := tx.MembersWith(who)
		if err != nil {
			return err
		}
		for _, m := range present(members) {
			if mayGive(m.Role, command) {
				some, err := s.completions(tx, &m, strings.ToLower(arg))
				if err != nil {
					return err
				}
				found = append(found, some...)
			}
		}
		return nil
	})
	if err != nil {
		s.log.Error("nothing completed", "command", command, "err", err)
		return nil
	}
	return closest(found, partial)
}

// completions returns all values of an argument in a member's studio, in her
// language.
func (s *Service) completions(tx Tx, m *Member, arg string) ([]string, error) {
	books, v := s.books(m.Studio), s.voice(m)
	switch arg {
	case "name", "model":
		members, err := tx.Members(m.Studio)
		var names []string
		for _, student := range members {
			if student.Role == Student && m.MaySee(&student) {
				names = append(names, student.Name)
			}
		}
		return names, err
	case "study":
		return studies(books), nil
	case "demand":
		return append(demandWords(v), v.Say("arg.none", nil)), nil
	case "kind":
		st, err := tx.Studio(m.Studio)
		kinds := strings.Split(kindIDs(&st), ", ")
		for _, word := range []string{v.Say("meant.kinds", nil), v.Say("meant.list", nil), v.Say("meant.show", nil), v.Say("meant.end", nil)} {
			first, _, _ := strings.Cut(word, ", ")
			kinds = append(kinds, strings.ToLower(first))
		}
		return kinds, err
	case "instrument":
		var names []string
		for _, i := range routine.Instruments() {
			names = append(names, instrumentWords(v, i.Name))
		}
		return names, nil
	case "line", "lines":
		var lines []string
		for _, b := range books.Books {
			for _, st := range b.Studies {
				for _, l := range st.Lines {
					lines = append(lines, routine.LineRef{Book: b.ID, Study: st.Number, Line: l.Number}.String())
				}
			}
		}
		return lines, nil
	}
	return nil, nil
}

func studies(books *routine.Catalogue) []string {
	var all []string
	for _, b := range books.Books {
		for _, st := range b.Studies {
			all = append(all, fmt.Sprintf("%s/%d", b.ID, st.Number))
		}
	}
	return all
}

// closest returns the values that begin with partial, then those that contain
// it, whatever the case.
func closest(values []string, partial string) []string {
	partial = strings.ToLower(strings.TrimSpace(partial))
	var begin, contain []string
	for _, v := range values {
		switch low := strings.ToLower(v); {
		case strings.HasPrefix(low, partial):
			begin = append(begin, v)
		case strings.Contains(low, partial):
			contain = append(contain, v)
		}
	}
	all := append(begin, contain...)
	return all[:min(len(all), mostCompletions)]
}
