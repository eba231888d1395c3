package yaml

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A roster is being read.
type roster struct {
	studio.Roster
	file  *file
	books *routine.Catalogue
	nodes []mapping // of the members

	levels []routine.Level // of the templates so far
}

var (
	studentFields = []string{
		"instrument", "level", "minutes", "strain-rise", "soft", "highest", "performances", "off", "off-changes",
		"joined", "consent", "post-at", "remind-at", "plan",
	}
	memberFields = slices.Concat([]string{"id", "name", "role", "age", "accounts", "|", "zone", "lang", "public", "quiet", "wards"}, studentFields)
)

func (r *roster) member(n *yaml.Node) {
	m, ok := r.file.mapping(n, "member", memberFields...)
	if !ok {
		return
	}
	member := studio.Member{
		ID: studio.MemberID(m.id("id")), Studio: r.Studio.ID, Name: m.text("name"),
		Role: word(m, "role", roles), Accounts: each(m, "accounts", r.file.account),
		Zone: m.zone(r.Studio.Zone), Lang: m.lang(r.Studio.Lang), Age: word(m, "age", ageBands),
		Public: m.yes("public"), Wards: listed[studio.MemberID](m, "wards", nil),
	}
	var quiet hours
	m.value("quiet", "21:00-07:00", &quiet)
	member.Quiet = studio.Hours(quiet)
	if member.Role == studio.Student {
		r.student(m, &member)
	} else {
		m.without(member, studentFields)
	}
	if member.Role != studio.Guardian {
		m.without(member, []string{"wards"})
	}
	r.Members = append(r.Members, member)
	r.nodes = append(r.nodes, m)
}

// without reports fields that a member of this role does not have.
func (m mapping) without(member studio.Member, fields []string) {
	for _, name := range fields {
		if m.has(name) && slices.Contains(roles, member.Role) {
			m.wrong(name, "no "+name+" here", "%s is %s, whose entry has no %s", member.ID, an(string(member.Role)), name)
		}
	}
}

func (f *file) account(n *yaml.Node) (a studio.Account, ok bool) {
	m, ok := f.mapping(n, "account", "platform", "id", "|")
	if !ok {
		return a, false
	}
	return studio.Account{Platform: word(m, "platform", platforms), ID: m.text("id")}, true
}

// student reads what only students have.
func (r *roster) student(m mapping, s *studio.Member) {
	s.Player = routine.Player{
		Instrument: m.text("instrument"), Level: routine.Level(m.text("level")), Minutes: m.number("minutes", 0),
		Performances: values[routine.Date](m, "performances", aDate),
	}
	m.value("highest", "G5", &s.Player.Highest)
	s.Player.Rise = m.rise("strain-rise")
	var soft hours
	m.value("soft", "21:00-07:00", &soft)
	s.Soft = studio.Hours(soft)
	m.value("joined", aDate, &s.Joined)
	m.value("consent", aDate, &s.Consent)
	s.PostAt, s.RemindAt = m.spec("post-at"), m.spec("remind-at")
	if m.has("off") {
		s.Off = append(s.Off, streaks.OffDays{Off: m.weekdays("off")})
	}
	s.Off = append(s.Off, each(m, "off-changes", r.file.offChange)...)
	if !slices.IsSortedFunc(s.Off, func(a, b streaks.OffDays) int { return int(a.From - b.From) }) {
		m.wrong("off-changes", "the earliest first", "off-changes are not in the order of their dates")
	}
	plan := routine.Plan{Entries: each(m, "plan", r.file.planEntry)}
	r.Plans[s.ID] = plan
	r.checkPlan(m, plan, s.Player)
}

// checkPlan checks a plan against the books. Problems of the player are those
// of the member.
func (r *roster) checkPlan(m mapping, plan routine.Plan, player routine.Player) {
	books := r.books
	if books == nil {
		books, plan = &routine.Catalogue{}, routine.Plan{}
	}
	problems := books.CheckPlan(plan, player)
	for i := range problems {
		if problems[i].Source.Line == 0 {
			problems[i].Source = r.file.source(m.node)
		}
	}
	r.file.add(problems)
}

func (f *file) offChange(n *yaml.Node) (off streaks.OffDays, ok bool) {
	m, ok := f.mapping(n, "change", "from", "off", "|")
	if !ok {
		return off, false
	}
	m.value("from", aDate, &off.From)
	off.Off = m.weekdays("off")
	return off, true
}

// weekdays reads a list of days of the week.
func (m mapping) weekdays(name string) routine.Weekday {
	var names []string
	for d := time.Sunday; d <= time.Saturday; d++ {
		names = append(names, strings.ToLower(d.String()))
	}
	var set routine.Weekday
	for _, day := range listed(m, name, names) {
		set |= 1 << slices.Index(names, day)
	}
	if set == 1<<7-1 {
		m.wrong(name, "at most six days", "every day of the week is off")
	}
	return set
}

var planFields = []string{"study", "pass", "|", "since", "target", "lines", "pinned", "add", "lock", "hold", "instrument", "interleave", "together", "skips", "ladder", "test-every"}

func (f *file) planEntry(n *yaml.Node) (e routine.PlanEntry, ok bool) {
	m, ok := f.mapping(n, "study of a plan", planFields...)
	if !ok {
		return e, false
	}
	e = routine.PlanEntry{
		Pass: m.number("pass", 0), Lines: m.numbers("lines"), Pinned: m.numbers("pinned"),
		Hold: m.yes("hold"), Instrument: m.text("instrument"), Interleave: m.yes("interleave"),
		Together: m.number("together", 0), Skips: slices.Concat(each(m, "skips", f.skips)...), TestEvery: m.number("test-every", 0), Source: f.source(n),
	}
	var ref studyRef
	m.value("study", "daily-ground/2", &ref)
	e.Study = routine.StudyRef(ref)
	m.value("since", aDate, &e.Since)
	m.value("target", aDate, &e.Target)
	m.value("lock", "quarter=84", &e.Lock)
	m.value("ladder", "5%", &e.Ladder)
	if m.has("add") {
		if add, ok := f.mapping(m.fields["add"].value, "addition", slices.Concat([]string{"|"}, demandFields)...); ok {
			e.Add = add.demands(0)
		}
	}
	return e, e.Study.Book != "" && m.has("pass")
}

// rise reads a limit in percent, or "none" as a negative one.
func (m mapping) rise(name string) int {
	if !m.has(name) {
		return 0
	}
	if m.fields[name].value.Value == "none" {
		return -1
	}
	n := m.number(name, routine.UsualRise)
	if n < 1 {
		m.wrong(name, fmt.Sprintf("a number from 1 to %d, or none for no limit", routine.LargestRise), "%s is %d", name, n)
	}
	return max(0, n)
}

// skips reads which lines are left out until when.
func (f *file) skips(n *yaml.Node) (skips []routine.Skip, ok bool) {
	m, ok := f.mapping(n, "skip", "lines", "until", "|")
	if !ok {
		return nil, false
	}
	var until routine.Date
	m.value("until", aDate, &until)
	for _, line := range m.numbers("lines") {
		skips = append(skips, routine.Skip{Line: line, Until: until})
	}
	return skips, until != 0
}

// A studyRef is read from "daily-ground/2".
type studyRef routine.StudyRef

func (r *studyRef) UnmarshalText(text []byte) error {
	book, number, ok := strings.Cut(string(text), "/")
	n, err := strconv.Atoi(number)
	if !ok || err != nil || book == "" {
		return fmt.Errorf("study %q: write book/number, for example daily-ground/2", text)
	}
	*r = studyRef{Book: routine.BookID(book), Study: n}
	return nil
}

// hours are read from "21:30-07:00".
type hours studio.Hours

func (h *hours) UnmarshalText(text []byte) error {
	from, to, _ := strings.Cut(string(text), "-")
	begin, err1 := time.Parse("15:04", strings.TrimSpace(from))
	end, err2 := time.Parse("15:04", strings.TrimSpace(to))
	if err1 != nil || err2 != nil {
		return fmt.Errorf("hours %q: write from-to, for example 21:30-07:00", text)
	}
	*h = hours{From: begin.Hour()*60 + begin.Minute(), To: end.Hour()*60 + end.Minute()}
	return nil
}

// checkPeople finds what is wrong between members.
func (r *roster) checkPeople(m mapping) {
	r.checkDoubles()
	r.checkWards()
	r.checkGuardians()
	r.checkTeacher(m)
}

// add records a problem of a field of the ith member, unless reading the field
// was a problem already.
func (r *roster) add(i int, field, instead, what string, args ...any) {
	r.file.add([]routine.Problem{{
		Source: r.file.source(r.nodes[i].node), Field: field, What: fmt.Sprintf(what, args...), Instead: instead,
	}})
}

func (r *roster) checkDoubles() {
	ids := map[studio.MemberID]int{}
	accounts := map[studio.Account]*studio.Member{}
	names := map[string]int{}
	for i := range r.Members {
		m := &r.Members[i]
		if line, twice := ids[m.ID]; twice {
			r.add(i, "id", "an id of its own for each member", "member %q is there already, on line %d", m.ID, line)
			continue
		}
		ids[m.ID] = r.nodes[i].node.Line
		name := words.Fold(strings.Join(strings.Fields(m.Name), " "))
		if line, twice := names[name]; twice && name != "" {
			r.add(i, "name", "names that tell members apart, for example "+m.Name+" B", "the name %s is that of the member on line %d too", m.Name, line)
		}
		names[name] = r.nodes[i].node.Line
		if len(m.Accounts) == 0 {
			r.add(i, "accounts", "at least one, for example accounts: [{platform: room, id: ada}]", "%s has no account", m.ID)
		}
		for _, a := range m.Accounts {
			if owner := accounts[a]; owner != nil && !mayShare(owner, m) {
				r.add(i, "accounts", "each account for one member, or for students and guardians with different names", "%s account %q belongs to %s already", a.Platform, a.ID, owner.ID)
				continue
			}
			accounts[a] = m
		}
	}
}

// mayShare reports whether two members may have one account: a family with one
// phone, whose names tell them apart.
func mayShare(a, b *studio.Member) bool {
	family := []studio.Role{studio.Student, studio.Guardian}
	return a.ID != b.ID && slices.Contains(family, a.Role) && slices.Contains(family, b.Role) && !strings.EqualFold(a.Name, b.Name)
}

func (r *roster) find(id studio.MemberID) *studio.Member {
	for i := range r.Members {
		if r.Members[i].ID == id {
			return &r.Members[i]
		}
	}
	return nil
}

func (r *roster) checkWards() {
	for i, m := range r.Members {
		if m.Role != studio.Guardian {
			continue
		}
		if len(m.Wards) == 0 {
			r.add(i, "wards", "wards: and the ids of her students", "guardian %s has no wards", m.ID)
		}
		for _, id := range m.Wards {
			if ward := r.find(id); ward == nil || ward.Role != studio.Student {
				r.add(i, "wards", "the ids of students of the studio", "ward %q of %s is no student", id, m.ID)
			}
		}
	}
}

// checkGuardians finds students who can never be logged because nobody may
// consent for them.
func (r *roster) checkGuardians() {
	for i, m := range r.Members {
		if m.Role != studio.Student || m.Consent != 0 || !slices.Contains(r.Studio.ConsentUnder, m.Age) {
			continue
		}
		if !slices.ContainsFunc(r.Members, func(g studio.Member) bool { return slices.Contains(g.Wards, m.ID) }) {
			r.add(i, "age", fmt.Sprintf("a guardian with wards: [%s], or the date of her consent", m.ID),
				"%s is %s, and nobody may consent for her", m.ID, m.Age)
		}
	}
}

func (r *roster) checkTeacher(m mapping) {
	isTeacher := func(m studio.Member) bool { return m.Role == studio.Teacher }
	if len(r.Members) > 0 && !slices.ContainsFunc(r.Members, isTeacher) {
		m.wrong("members", "one member with role: teacher", "the studio has no teacher")
	}
}
