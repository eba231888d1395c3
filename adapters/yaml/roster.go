package yaml

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"ledgerline/routine"
	"ledgerline/studio"
)

// ReadRoster reads a studio, its members and their plans from one file:
//
//	id: harbour-row
//	name: Harbour Row Brass
//	zone: Europe/Lisbon          # of the studio's own dates
//	lang: en
//	channels:
//	  - {platform: room, channel: harbour-row}
//	post-at: "0 7 * * *"         # minute hour day month weekday, in each member's zone
//	remind-at: "0 19 * * *"      # or never
//	digest-at: "0 18 * * 0"      # in the studio's zone
//	cut-off: 12                  # hours after the end of a day in which a reply still counts
//	lesson-lead: 15              # minutes from the sheet of a lesson to the lesson
//	consent-under: [under-13]
//	holidays:
//	  - {from: 2026-04-03, to: 2026-04-06}
//	members:
//	  - id: odile
//	    name: Odile
//	    role: teacher
//	    age: adult
//	    accounts: [{platform: room, id: odile}]
//	  - id: tobias
//	    name: Tobias
//	    role: student
//	    age: adult
//	    zone: Europe/Berlin      # the studio's if left out, and so is lang
//	    accounts: [{platform: room, id: tobias}]
//	    public: true
//	    quiet: 21:30-07:00
//	    instrument: flugelhorn
//	    level: growing
//	    minutes: 35              # of playing and rest on one day
//	    highest: G5              # nothing above it is assigned
//	    off: [sunday]
//	    performances: [2026-05-09]
//	    joined: 2026-02-23
//	    plan:                    # most important first
//	      - {study: slur-atlas/2, pass: 1, since: 2026-02-23}
//	      - study: daily-ground/3
//	        pass: 2
//	        lines: [1-6, 9]      # all of the study's if left out
//	        pinned: [4]
//	        add: {dynamic: p}
//	        target: 2026-05-09
//	      - study: articulate-hour/3
//	        pass: 1
//	        together: 2          # lines in one item; as the study says if left out
//	        ladder: 5%           # step of the tempo; the marks of the metronome if left out
//	        test-every: 14       # days from one minute test to the next; none if left out
//	templates:                   # what a student of a level begins with
//	  - level: beginner
//	    plan:
//	      - {study: daily-ground/2, pass: 1, lines: [1-4]}
//
// A guardian names her students as wards, a student who changes days off lists
// off-changes with the date from which each holds, and whoever is to be written
// to at another time than the rest has a post-at and remind-at of her own. The
// plans are checked against the books, unless there are none.
func ReadRoster(fsys fs.FS, name string, books *routine.Catalogue) (studio.Roster, []routine.Problem) {
	data, err := fs.ReadFile(fsys, name)
	if err != nil {
		return studio.Roster{}, []routine.Problem{unreadable(name, err)}
	}
	return rosterOf(data, name, books)
}

// rosterOf reads the text of a file as ReadRoster reads the file.
func rosterOf(data []byte, name string, books *routine.Catalogue) (studio.Roster, []routine.Problem) {
	f := newFile(name)
	n := f.root(data)
	if n == nil {
		return studio.Roster{}, f.sorted()
	}
	m, ok := f.mapping(n, "studio", studioFields...)
	if !ok {
		return studio.Roster{}, f.sorted()
	}
	r := &roster{file: f, books: books, Roster: studio.Roster{
		Studio: f.studio(m), Plans: map[studio.MemberID]routine.Plan{},
	}}
	for _, n := range m.items("members") {
		r.member(n)
	}
	r.Studio.Templates = each(m, "templates", r.template)
	r.checkPeople(m)
	return r.Roster, f.sorted()
}

var studioFields = []string{
	"id", "name", "zone", "lang", "post-at", "digest-at", "members", "|",
	"channels", "remind-at", "cut-off", "lesson-lead", "consent-under", "holidays", "templates",
}

// maxCutOff is the longest time, in hours, in which a late reply may count.
const maxCutOff = 48

func (f *file) studio(m mapping) studio.Studio {
	st := studio.Studio{
		ID: studio.StudioID(m.id("id")), Name: m.text("name"), Zone: m.zone(""), Lang: m.lang(""),
		Channels: each(m, "channels", f.channel),
		PostAt:   m.spec("post-at"), RemindAt: m.spec("remind-at"), DigestAt: m.spec("digest-at"),
		CutOff:       m.number("cut-off", 12),
		LessonLead:   m.number("lesson-lead", 0),
		ConsentUnder: listed(m, "consent-under", ageBands),
		Holidays:     each(m, "holidays", f.holiday),
	}
	if !m.has("remind-at") {
		st.RemindAt = "never"
	}
	if st.CutOff < 0 || st.CutOff > maxCutOff {
		m.wrong("cut-off", fmt.Sprintf("hours from 0 to %d", maxCutOff), "cut-off %d is out of bounds", st.CutOff)
	}
	if m.has("lesson-lead") && (st.LessonLead < 1 || st.LessonLead > studio.MostLead) {
		m.wrong("lesson-lead", fmt.Sprintf("minutes from 1 to %d", studio.MostLead), "lesson-lead %d is out of bounds", st.LessonLead)
	}
	return st
}

// Words with a fixed meaning.
var (
	platforms = []studio.Platform{"room", "discord", "matrix"}
	langs     = []string{"en", "de", "fr", "es"}
	ageBands  = []studio.AgeBand{studio.Under13, studio.From13To15, studio.From16To17, studio.Adult}
	roles     = []studio.Role{studio.Teacher, studio.Assistant, studio.Student, studio.Guardian}
)

func (f *file) channel(n *yaml.Node) (a studio.Address, ok bool) {
	m, ok := f.mapping(n, "channel", "platform", "channel", "|")
	if !ok {
		return a, false
	}
	return studio.Address{Platform: word(m, "platform", platforms), Channel: m.text("channel")}, true
}

func (f *file) holiday(n *yaml.Node) (s studio.Span, ok bool) {
	m, ok := f.mapping(n, "holiday", "from", "to", "|")
	if !ok {
		return s, false
	}
	m.value("from", aDate, &s.From)
	m.value("to", aDate, &s.To)
	if s.From > s.To && s.To != 0 {
		m.wrong("from", "from: the first and to: the last day", "the holiday begins on %v and ends on %v", s.From, s.To)
	}
	return s, true
}

// aDate shows how a date is written.
const aDate = "2026-03-04"

// word returns a field that is one of some words.
func word[S ~string](m mapping, name string, known []S) S {
	w := S(m.text(name))
	if w != "" && !slices.Contains(known, w) {
		m.wrong(name, instead(string(w), texts(known)), "%s %q is unknown", name, clip(string(w)))
	}
	return w
}

// listed returns a field that is a list of some words, or of any if none are
// known.
func listed[S ~string](m mapping, name string, known []S) []S {
	var list []S
	for _, n := range m.words(name) {
		if known != nil && !slices.Contains(known, S(n.Value)) {
			m.file.wrong(n, name, instead(n.Value, texts(known)), "%s %s is unknown", name, kindOf(n))
			continue
		}
		list = append(list, S(n.Value))
	}
	return list
}

func texts[S ~string](words []S) []string {
	var list []string
	for _, w := range words {
		list = append(list, string(w))
	}
	return list
}

// id returns a field that is an id.
func (m mapping) id(name string) string {
	id := m.text(name)
	ok := strings.Trim(id, "abcdefghijklmnopqrstuvwxyz0123456789-") == "" && !strings.HasPrefix(id, "-")
	if !ok {
		m.wrong(name, "lower-case letters, digits and hyphens", "%s %q is not usable", name, clip(id))
	}
	return id
}

// zone returns the time zone, or otherwise if it is left out.
func (m mapping) zone(otherwise string) string {
	zone := m.text("zone")
	if zone == "" {
		return otherwise
	}
	if _, err := time.LoadLocation(zone); err != nil || zone == "Local" {
		m.wrong("zone", "an IANA name, for example Europe/Lisbon or America/New_York", "time zone %q is unknown", clip(zone))
	}
	return zone
}

// lang returns the language, or otherwise if it is left out.
func (m mapping) lang(otherwise string) string {
	if lang := word(m, "lang", langs); lang != "" {
		return lang
	}
	return otherwise
}

// spec returns a time of posting.
func (m mapping) spec(name string) string {
	spec := m.text(name)
	if spec == "" {
		return ""
	}
	if err := studio.CheckSpec(spec); err != nil {
		what, correct, _ := strings.Cut(err.Error(), ": write ")
		m.wrong(name, correct, "%s: %s cannot be read", name, what)
	}
	return spec
}
