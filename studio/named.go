package studio

import (
	"slices"
	"strings"
	"unicode"

	"ledgerline/studio/words"
)

// member finds a student of the studio by the name that args begin with, and
// understands what follows it, which is no more than the command takes.
func (t *turn) member(args []string) (Member, []string, error) {
	m, rest, err := t.named(args)
	if err != nil {
		return m, nil, err
	}
	rest = t.voice.Understand(rest, t.Service.today(&m))
	if most, limited := mostAfterName(t.doing); limited && len(rest) > most {
		return m, nil, spare(rest[most:])
	}
	return m, rest, nil
}

// mostAfterName returns how many words may follow the name in a command whose
// arguments are written as in help; some take any number.
func mostAfterName(args string) (most int, limited bool) {
	for _, free := range []string{"WORDS", "DAYS", "ZONE", "RULE", "REASON", "DEMAND", "ITEM or"} {
		if strings.Contains(args, free) {
			return 0, false
		}
	}
	_, after, named := strings.Cut(args, " ")
	return len(strings.Fields(after)), named || args != ""
}

// spare says that words at the end of a command mean nothing there.
func spare(args []string) error {
	return usage("wrong.spare", with{"words": clip(strings.Join(args, " "), 40)})
}

// named finds a student of the studio by the name that args begin with.
func (t *turn) named(args []string) (Member, []string, error) {
	return t.find(args, Student)
}

// anyMember finds a member of the studio, whatever her role, by her name.
func (t *turn) anyMember(args []string) (Member, error) {
	m, rest, err := t.find(args, Student, Teacher, Assistant, Guardian)
	if err == nil && len(rest) > 0 {
		err = spare(rest)
	}
	return m, err
}

// find finds the one member with one of the roles whose name, or the beginning of
// it, args begin with.
func (t *turn) find(args []string, roles ...Role) (Member, []string, error) {
	members, err := t.tx.Members(t.studio.ID)
	if err != nil {
		return Member{}, nil, err
	}
	members = slices.DeleteFunc(members, func(m Member) bool { return !slices.Contains(roles, m.Role) })
	found, took := byName(members, args)
	switch {
	case len(found) == 1:
		return found[0], args[took:], nil
	case len(found) > 1:
		return Member{}, nil, usage("wrong.which-one", with{"name": strings.Join(args[:took], " "), "names": t.namesOf(found)})
	case len(args) == 0 && slices.Contains(roles, Teacher):
		return Member{}, nil, usage("wrong.member", with{"names": t.namesOf(members)})
	case len(args) == 0:
		return Member{}, nil, usage("wrong.name-a-student", with{"names": t.namesOf(members)})
	}
	near := slices.DeleteFunc(slices.Clone(members), func(m Member) bool { return !nearName(m.Name, args[0]) })
	if len(near) > 0 {
		members = near
	}
	return Member{}, nil, usage("wrong.no-student", with{"name": clip(args[0], 40), "names": t.namesOf(members)})
}

// namesOf lists the names of those members whom the author may see.
func (t *turn) namesOf(members []Member) string {
	var names []string
	for _, m := range members {
		if t.may(&m) {
			names = append(names, m.Name)
		}
	}
	return strings.Join(names, ", ")
}

// byName returns the members whose names share the most leading words with args,
// and how many: a whole name before the beginning of a longer one. Capitals and
// accents make no difference.
func byName(members []Member, args []string) (found []Member, took int) {
	for _, m := range members {
		n := leading(strings.Fields(m.Name), args)
		if n == 0 || n < took {
			continue
		}
		if n > took {
			found, took = nil, n
		}
		found = append(found, m)
	}
	for _, m := range found {
		if len(strings.Fields(m.Name)) == took {
			return slices.DeleteFunc(found, func(m Member) bool { return len(strings.Fields(m.Name)) != took }), took
		}
	}
	return found, took
}

// leading returns how many words a name and args have in common at their begin.
func leading(name, args []string) (n int) {
	for n < len(name) && n < len(args) && words.Fold(name[n]) == words.Fold(args[n]) {
		n++
	}
	return n
}

// nearName reports whether a word is one slip of the finger away from the first
// word of a name.
func nearName(name, word string) bool {
	first, _, _ := strings.Cut(name, " ")
	return oneSlip([]rune(words.Fold(first)), []rune(words.Fold(word)))
}

// wordsAfter returns what stands in the message after the command and the first
// args, spaces and all.
func (t *turn) wordsAfter(args int) string {
	text := strings.TrimPrefix(t.text, "/")
	for range 1 + args {
		text = strings.TrimLeftFunc(text, unicode.IsSpace)
		text = text[max(0, strings.IndexFunc(text+" ", unicode.IsSpace)):]
	}
	return strings.TrimSpace(text)
}
