package studio_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// choir is the test studio with grown-up students besides Ada, and a kind of its
// own in which members are ranked by lines.
func choir(t *testing.T, names ...string) *stage {
	t.Helper()
	r := studiotest.Roster()
	for _, id := range names {
		r.Members = append(r.Members, studiotest.Member(id, studio.Student))
		r.Plans[studio.MemberID(id)] = r.Plans["ada"]
	}
	r.Studio.OwnKinds = []studio.Kind{{
		ID: "solo", Measure: streaks.LinesCovered, Per: studio.PerMember, Ranking: true, Days: 4, Progress: "1",
		Words: map[string]studio.KindWords{"en": {Title: "Solo lines", Opening: "A line each."}},
	}}
	return stageOf(t, studiotest.Catalogue(), r)
}

// days goes through mornings of March, and each time lets some people talk.
func (s *stage) days(from, to int, talk func(day int)) {
	s.t.Helper()
	for day := from; day <= to; day++ {
		s.at(march(day).String() + " 07:00")
		if talk != nil {
			talk(day)
		}
	}
}

// announced returns what was posted in the channel.
func (s *stage) announced() (posts []studio.Post) {
	for _, p := range s.chat.posts {
		if p.Kind == studio.AnnouncedPost {
			posts = append(posts, p)
		}
	}
	return posts
}

// the only challenge of the studio
func (s *stage) theChallenge() (c studio.Challenge) {
	s.t.Helper()
	s.view(func(tx studio.Tx) error {
		all, err := tx.Challenges("harbour")
		if len(all) != 1 {
			s.t.Fatalf("%d challenges, want one", len(all))
		}
		c = all[0]
		return err
	})
	return c
}

// answersPost has a member reply to a post in the channel.
func (s *stage) answersPost(who string, p studio.Post, text string) studio.Message {
	s.t.Helper()
	s.serial++
	m := studio.Message{
		Platform: "room", ID: fmt.Sprintf("m%d", s.serial), Happening: studio.Written,
		Author: studio.Account{Platform: "room", ID: who}, Channel: "studio", ReplyTo: "post-" + string(p.Key), Text: text, At: s.now,
	}
	s.happens(m)
	return m
}

// Every kind of the program opens, tells how it goes, ends and has its result,
// once each, over restarts; each with a picture but the opening, and with words
// that name nobody who did not choose it.
func TestEveryKindRunsItsCourse(t *testing.T) {
	for _, k := range studio.Kinds() {
		t.Run(k.ID, func(t *testing.T) {
			s := choir(t, "bruno", "carla")
			s.says("odile", "challenge "+k.ID+" 8 tell 3")
			s.wantLast("odile", k.Words["en"].Title, "Tuesday 3 March", "Tuesday 10 March", "count until Wednesday 11 March, 12:00")
			s.days(3, 14, func(day int) {
				s.says("ada", "all done 30m")
				s.says("bruno", "1 60 clean, rest done")
				if day%4 == 0 {
					s.restart()
					s.work()
				}
			})
			posts := s.announced()
			var keys []string
			for i, p := range posts {
				what := strings.TrimPrefix(string(p.Key), "challenge/"+string(s.theChallenge().ID)+"/")
				keys = append(keys, strings.TrimSuffix(what, "@room"))
				if got := len(p.Pictures); (got == 1) != (i > 0) {
					t.Errorf("%s has %d pictures", p.Key, got)
				}
				for _, name := range []string{"Ada", "Bruno", "Carla", "Mina"} {
					if strings.Contains(p.Title+p.Text, name) {
						t.Errorf("%s names %s: %s", p.Key, name, p.Text)
					}
				}
				if (len(p.Choices) == 1) != (i < len(posts)-1) {
					t.Errorf("%s offers %v", p.Key, p.Choices)
				}
			}
			if want := []string{"opening", "2026-03-06", "2026-03-09", "last-day", "result"}; !slices.Equal(keys, want) {
				t.Errorf("announced %v, want %v", keys, want)
			}
			t.Log(posts[0].Text, "\n--\n", posts[len(posts)-1].Text)
		})
	}
}

// A correction counts as if it had been said so from the beginning.
func TestCorrectionsCountInAChallenge(t *testing.T) {
	result := func(talk func(s *stage, day int)) string {
		s := newStage(t)
		s.says("odile", "challenge lines 3 8")
		s.days(3, 7, func(day int) { talk(s, day) })
		posts := s.announced()
		return posts[len(posts)-1].Text
	}
	said := result(func(s *stage, day int) {
		if day == 3 {
			s.says("ada", "1 60 clean, 2 skip")
		}
	})
	corrected := result(func(s *stage, day int) {
		switch day {
		case 3:
			m := s.says("ada", "all done 30")
			m.Happening, m.Revision, m.Text = studio.Edited, "2", "1 60 clean, 2 skip"
			s.now = s.now.Add(time.Hour)
			s.happens(m)
		case 4:
			m := s.says("ada", "all done 30")
			m.Happening, m.Text = studio.Deleted, ""
			s.happens(m)
		}
	})
	if said != corrected || !strings.Contains(said, "1 line.") {
		t.Errorf("corrected it ends with %q, said so from the beginning with %q", corrected, said)
	}
}

// Replies for any day count until the hour that was stated, and none after it:
// the result stays as it was posted.
func TestLateRepliesCountUntilTheStatedHour(t *testing.T) {
	s := newStage(t)
	s.says("odile", "challenge 3 90 Three days")
	s.days(3, 5, func(day int) {
		if day != 3 {
			s.says("ada", "all done")
		}
	})
	s.at("2026-03-06 11:59")
	s.says("ada", "Tuesday: all done") // days after that day's own cut-off
	s.at("2026-03-06 12:00")
	s.says("odile", "challenge list")
	s.wantLast("odile", "Three days", "over")
	s.at("2026-03-07 07:00")
	posts := s.announced()
	if last := posts[len(posts)-1]; !strings.Contains(last.Text, "3 of 3 days kept") || !strings.Contains(last.Text, "Reached.") {
		t.Errorf("the result is %q", last.Text)
	}

	s = newStage(t)
	s.says("odile", "challenge 3 90 Three days")
	s.days(3, 5, func(day int) {
		if day != 3 {
			s.says("ada", "all done")
		}
	})
	s.at("2026-03-06 12:00")
	s.says("ada", "Tuesday: all done")
	s.days(7, 20, nil)
	posts = s.announced()
	if last := posts[len(posts)-1]; !strings.Contains(last.Text, "2 of 3 days kept") {
		t.Errorf("after the hour the result is %q", last.Text)
	}
	if n := slices.IndexFunc(posts, func(p studio.Post) bool { return strings.HasPrefix(p.Text, "Together:") }); n != len(posts)-1 {
		t.Errorf("the result was posted more than once: %d of %d", n, len(posts))
	}
}

func TestJoiningAndSittingOut(t *testing.T) {
	s := choir(t, "bruno", "carla", "dora")
	s.says("petra", "consent Mina")
	s.says("odile", "challenge solo")
	s.says("ada", "take-part") // before it opens
	s.wantLast("ada", "beside your name")
	play := func(who, text string) { s.says(who, text) }
	s.days(3, 3, func(int) {
		opening := s.announced()[0]
		if opening.Choices[0].Text != "/take-part" {
			t.Fatalf("choices %+v", opening.Choices)
		}
		s.answersPost("bruno", opening, opening.Choices[0].Text) // a button or a reaction
		s.wantLast("bruno", "beside your name")
		s.answersPost("mina", opening, "take-part") // words, of a minor
		s.wantLast("mina", "Your name is not shown")
		s.answersPost("dora", opening, "take-part")
		taken := s.answersPost("carla", opening, "/take-part")
		taken.Happening, taken.Text = studio.Deleted, "" // the reaction is taken back
		s.happens(taken)
		s.says("dora", "sit-out")
		s.wantLast("dora", "not counted", "I tell nobody")
		for _, who := range []string{"ada", "bruno"} {
			play(who, "1 60 clean, 2 60 clean")
		}
		play("carla", "all done")
		play("dora", "all done")
	})
	s.days(4, 4, nil)
	got := s.announced()[1].Text
	if !strings.Contains(got, "1. Ada and Bruno, level: 2 lines") {
		t.Errorf("progress is %q", got)
	}
	for _, name := range []string{"Carla", "Dora", "Mina"} {
		if strings.Contains(got, name) {
			t.Errorf("it names %s: %q", name, got)
		}
	}
	if pic := s.announced()[1].Pictures[0].Challenge; len(pic.Rows) != 2 || pic.Rows[1].Place != 1 {
		t.Errorf("the picture has %+v", pic.Rows)
	}
	s.says("odile", "challenge show")
	s.wantLast("odile", "Ada and Bruno")
	s.says("ada", "sit-out")
	s.days(5, 5, nil)
	if got := s.announced()[2].Text; strings.Contains(got, "Ada") || !strings.Contains(got, "1. Bruno: ") {
		t.Errorf("after Ada has sat out: %q", got)
	}
}

// TestGuardianSpeaksForHerWard: by the button, a reply or a command a guardian has a
// child counted, once she has agreed that anything of it is kept; a minor is not
// named by that.
func TestGuardianSpeaksForHerWard(t *testing.T) {
	s := choir(t)
	s.says("odile", "challenge solo")
	joined := func(want ...studio.MemberID) {
		t.Helper()
		if c := s.theChallenge(); !slices.Equal(c.Joined, want) {
			t.Errorf("joined %v, want %v", c.Joined, want)
		}
	}
	s.days(3, 3, nil)
	opening := s.announced()[0]
	s.answersPost("petra", opening, "/take-part")
	s.wantLast("petra", "a guardian has to agree first")
	s.answersPost("mina", opening, "/take-part")
	s.wantLast("mina", "a guardian has to agree first")
	joined()
	s.says("petra", "consent Mina")
	pressed := s.answersPost("petra", opening, "/take-part")
	s.wantLast("petra", "Mina is counted in “Solo lines”, and the name is not shown", "“sit-out Mina”")
	joined("mina")
	pressed.Happening, pressed.Text = studio.Deleted, "" // the reaction is taken back
	s.happens(pressed)
	joined()
	s.says("petra", "take-part Mina")
	joined("mina")
	s.says("petra", "sit-out")
	s.wantLast("petra", "Mina is not counted in “Solo lines”")
	if c := s.theChallenge(); len(c.Joined) != 0 || !slices.Equal(c.Out, []studio.MemberID{"mina"}) {
		t.Errorf("joined %v, out %v", c.Joined, c.Out)
	}
	s.says("petra", "take-part Ada")
	s.wantLast("petra", "only for a student you are the guardian of")
	s.answersPost("petra", opening, "take-part")
	joined("mina")
}

// TestGuardianOfTwo: a guardian of several is asked for whom she speaks.
func TestGuardianOfTwo(t *testing.T) {
	r := studiotest.Roster()
	r.Members = append(r.Members, studiotest.Member("bruno", studio.Student))
	for i := range r.Members {
		if m := &r.Members[i]; m.ID == "petra" {
			m.Wards = append(m.Wards, "bruno")
		}
	}
	s := stageOf(t, studiotest.Catalogue(), r)
	s.says("odile", "challenge 7 50 Spring")
	s.says("odile", "challenge 14 80 All together")
	s.days(3, 3, nil)
	s.answersPost("petra", s.announced()[1], "/take-part")
	asked := s.last("petra")
	if asked.Kind != studio.QuestionPost || len(asked.Choices) != 2 || asked.Choices[0].Text != "/take-part Bruno All together" {
		t.Fatalf("asked %+v", asked)
	}
	s.reply("petra", asked, asked.Choices[0].Text)
	s.wantLast("petra", "Bruno is counted in “All together”.")
	s.says("petra", "sit-out Bruno")
	which := s.last("petra")
	if len(which.Choices) != 2 || which.Choices[1].Text != "/sit-out Bruno All together" {
		t.Fatalf("asked %+v", which)
	}
	s.reply("petra", which, which.Choices[1].Text)
	s.wantLast("petra", "Bruno is not counted in “All together”")
}

// Talk in the channel is no answer, and neither is one to another post.
func TestOnlyAnswersToAnAnnouncementJoin(t *testing.T) {
	s := choir(t)
	s.says("odile", "challenge solo")
	s.days(3, 3, nil)
	m := studio.Message{Platform: "room", ID: "talk", Happening: studio.Written, Author: studio.Account{Platform: "room", ID: "ada"}, Channel: "studio", Text: "take-part", At: s.now}
	s.happens(m)
	s.answersPost("ada", s.posts("ada", studio.RoutinePost)[0], "take-part")
	if joined := s.theChallenge().Joined; len(joined) != 0 {
		t.Errorf("joined %v", joined)
	}
}

// A reply that came after the hour does not count, even if the program was away
// then and reads it before it has told the result.
func TestLateReplyReadBeforeTheResult(t *testing.T) {
	s := newStage(t)
	s.says("odile", "challenge 3 90 Three days")
	s.days(3, 5, func(day int) {
		if day != 3 {
			s.says("ada", "all done")
		}
	})
	s.now = time.Date(2026, 3, 6, 12, 30, 0, 0, time.UTC)
	s.says("ada", "Tuesday: all done")
	s.at("2026-03-07 07:00")
	posts := s.announced()
	if last := posts[len(posts)-1]; !strings.Contains(last.Text, "2 of 3 days kept") {
		t.Errorf("the result is %q", last.Text)
	}
}

// Teams are drawn once, at the opening, and told to nobody but their members; who
// comes later goes into the smallest; what is said of them names no last one.
func TestTeams(t *testing.T) {
	s := choir(t, "bruno", "carla", "dora", "emil", "fran")
	s.says("odile", "challenge team-days 6 teams 3 tell 2")
	s.days(3, 3, nil)
	drawn := s.theChallenge().Teams
	if len(drawn) != 3 || len(drawn[0])+len(drawn[1])+len(drawn[2]) != 7 {
		t.Fatalf("drawn %v of seven students", drawn)
	}
	s.restart()
	s.work()
	s.says("odile", "challenge show")
	if again := s.theChallenge().Teams; fmt.Sprint(again) != fmt.Sprint(drawn) {
		t.Errorf("after a restart the teams are %v, were %v", again, drawn)
	}
	told := 0
	for _, p := range s.chat.posts {
		if strings.Contains(p.Text, "the lot has put you") {
			if told++; p.To.Account == "" {
				t.Errorf("told in the channel: %q", p.Text)
			}
		}
	}
	if told != 7 {
		t.Errorf("%d were told their team, want 7", told)
	}
	smallest := slices.MinFunc([]int{0, 1, 2}, func(a, b int) int { return len(drawn[a]) - len(drawn[b]) })
	err := s.store.Update(t.Context(), func(tx studio.Tx) error {
		gus := studiotest.Member("gus", studio.Student)
		gus.Joined = march(4)
		return tx.PutMember(gus)
	})
	if err != nil {
		t.Fatal(err)
	}
	s.days(4, 11, func(day int) {
		for i, team := range drawn {
			for _, id := range team {
				if i == smallest || day == 6 {
					s.says(string(id), "all done")
				}
			}
		}
	})
	if got := s.theChallenge().Teams[smallest]; !slices.Contains(got, "gus") {
		t.Errorf("Gus came later and is not in the smallest team, %v", s.theChallenge().Teams)
	}
	posts := s.announced()
	names := []string{"Bells", "Valves", "Slides"}
	for _, p := range posts[1:] {
		for i, name := range names {
			if strings.Contains(p.Text, name) != (i == smallest) {
				t.Errorf("only the %s are ahead, but it says %q", names[smallest], p.Text)
			}
		}
	}
}

// A morning that was missed is made up for, and only by what matters still.
func TestChallengeAfterAnOutage(t *testing.T) {
	s := choir(t)
	s.says("odile", "challenge 12 50 tell 2 Twelve days")
	s.days(5, 5, nil) // away on the first two mornings
	s.at("2026-03-12 07:00")
	var texts []string
	for _, p := range s.announced() {
		texts = append(texts, p.Text)
	}
	if len(texts) != 2 || !strings.HasPrefix(texts[0], "Until Saturday 14 March.") || !strings.HasPrefix(texts[1], "So far") {
		t.Errorf("announced %q", texts)
	}
}

func TestEndingAndCallingOff(t *testing.T) {
	s := choir(t)
	s.says("odile", "challenge 12 50 Twelve days")
	s.says("odile", "challenge end")
	s.wantLast("odile", "called off")
	s.days(3, 4, nil)
	if n := len(s.announced()); n != 0 {
		t.Errorf("%d announcements of what was called off", n)
	}
	s.says("odile", "challenge keys 7 Round the circle")
	s.days(5, 6, nil)
	s.says("odile", "challenge end round the CIRCLE")
	s.wantLast("odile", "Today is the last day", "Saturday 7 March, 12:00")
	s.days(7, 9, nil)
	var keys []string
	for _, p := range s.announced() {
		_, what, _ := strings.Cut(strings.TrimPrefix(string(p.Key), "challenge/"), "/")
		keys = append(keys, what)
	}
	if want := []string{"opening@room", "last-day@room", "result@room"}; !slices.Equal(keys, want) {
		t.Errorf("announced %v, want %v", keys, want)
	}
	s.says("odile", "challenge list")
	s.wantLast("odile", "Round the circle", "over", "Twelve days", "called off")
}

func TestChallengeCommandGoneWrong(t *testing.T) {
	s := choir(t)
	for _, c := range []struct{ said, want string }{
		{"challenge", "challenge keys 7 12"},
		{"challenge tides", "no kind of challenge “tides”; write one of solo, days"},
		{"challenge 1 80 x", "lasts 2 to 92 days"},
		{"challenge notes 500", "lasts 2 to 92 days"},
		{"challenge notes 14 0 x", "The goal is a number"},
		{"challenge 14 101 x", "in percent up to 100"},
		{"challenge NaN 4", "no kind of challenge “NaN”"},
		{"challenge 1e300 4", "lasts 2 to 92 days"},
		{"challenge list", "no challenge yet"},
		{"challenge days 7 Inf", "“Inf” runs from"},
		{"challenge end", "called off"},
		{"challenge team-days 14 teams 9", "2 to 6"},
		{"challenge days 14 teams 2", "for kinds that have teams"},
		{"challenge notes tell often", "middle, weekly, none"},
		{"challenge show", "no challenge now"},
		{"challenge end", "no challenge now"},
		{"challenge kinds", "minute-test: A minute against oneself"},
		{"challenge keys", "Keys of the week"},
		{"challenge keys", "already"},
		{"challenge notes", "A tide of notes"},
		{"challenge show", "Which one is meant?"},
		{"challenge show nothing", "no challenge “nothing” now; write one of these titles: Keys of the week, A tide of notes"},
		{"challenge show a tide of notes", "The goal: 300 notes for each scheduled day"},
	} {
		s.says("odile", c.said) // all at the same moment
		s.wantLast("odile", c.want)
	}
	s.says("ada", "/take-part")
	s.wantLast("ada", "Which one is meant?")
	s.says("ada", s.last("ada").Choices[0].Text)
	s.wantLast("ada", "You are counted")
}

// What pain, illness and rest take off the days to be played they take off the
// goal.
func TestGoalShrinksWithExcusedDays(t *testing.T) {
	s := choir(t)
	s.says("odile", "challenge notes 4 100 Tide")
	s.days(3, 3, func(int) { s.says("ada", "ill") })
	s.days(4, 4, func(int) {
		s.says("odile", "challenge show")
		pic := s.last("odile").Pictures[0].Challenge
		if pic.Goal != 300 {
			t.Errorf("with a day of four ill the goal is %v, want 300", pic.Goal)
		}
	})
	s.days(5, 5, func(int) {
		s.says("ada", "1 60 clean, my lip hurts")
		s.says("odile", "challenge show")
		if pic := s.last("odile").Pictures[0].Challenge; pic.Goal != 200 || pic.Values[2] != 32 {
			t.Errorf("the day on which pain is reported counts with its 32 notes and the next is excused: goal %v, values %v", pic.Goal, pic.Values)
		}
	})
}

// A minute test is compared with one of long before the challenge.
func TestOwnBestFromLongAgo(t *testing.T) {
	s := choir(t)
	tested := func(d routine.Date, bpm float64) {
		t.Helper()
		err := s.store.Update(t.Context(), func(tx studio.Tx) error {
			return tx.AppendReport(&studio.Report{Member: "ada", At: s.now, Day: routine.DayReport{Date: d, Played: true}, Entries: []routine.Entry{{
				Date: d, Item: 1, Lines: []routine.LineRef{{Book: "daily-ground", Study: 1, Line: 1}}, Pass: 1,
				Outcome: routine.Clean, To: routine.Tempo{BPM: bpm, Note: routine.Quarter}, Test: true,
			}}})
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	tested(march(1), 80)
	s.now = s.now.AddDate(0, 6, 0)
	s.work()
	s.says("odile", "challenge minute-test 4")
	s.says("ada", "take-part")
	first := routine.DateOf(s.now, time.UTC) + 1
	s.at(first.String() + " 07:00")
	tested(first, 88)
	s.says("odile", "challenge show")
	s.wantLast("odile", "1. Ada: 10% faster", "10% faster than before, with 1 player tested")
}
