package harbour

import (
	"container/heap"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
)

// A Story plays the life of the studio: as its clock goes forward, invented
// students answer their routines through the same door as anybody else, and the
// service does its work at the moments it would have done it.
type Story struct {
	service *studio.Service
	store   studio.Store
	clock   *Clock
	seed    uint64
	begin   routine.Date // day 0
	events  events

	// outage is the time during which the service does not work, as if the
	// machine were off. Messages arrive after it.
	outage [2]time.Time

	Told  int // messages told to the service
	Twice int // of them, told a second time on purpose
}

// An event is something that happens in the story.
type event struct {
	at time.Time
	do func(context.Context) error
}

type events []event

func (e events) Len() int           { return len(e) }
func (e events) Less(i, j int) bool { return e[i].at.Before(e[j].at) }
func (e events) Swap(i, j int)      { e[i], e[j] = e[j], e[i] }
func (e *events) Push(x any)        { *e = append(*e, x.(event)) }
func (e *events) Pop() any {
	last := (*e)[len(*e)-1]
	*e = (*e)[:len(*e)-1]
	return last
}

// outageDay is the day of the story on whose morning the machine goes off, for
// a little over a day.
const outageDay = 31

// Begin is when the story begins: a Monday.
var Begin = time.Date(2026, time.February, 23, 0, 0, 0, 0, time.UTC)

// After returns the moment, on a Sunday evening, at which the given number of
// weeks have been played.
func After(weeks int) time.Time {
	if weeks == 0 {
		return Begin
	}
	return Begin.AddDate(0, 0, 7*weeks-1).Add(20 * time.Hour)
}

// timeMark is the name under which the store remembers how far the story is.
const timeMark = "story/now"

// NewStory applies the studio to the store and returns its story, from the
// beginning or from where the store has it.
func NewStory(ctx context.Context, service *studio.Service, store studio.Store, clock *Clock, roster studio.Roster, seed uint64) (*Story, error) {
	s := &Story{
		service: service, store: store, clock: clock, seed: seed,
		begin: routine.DateOf(Begin, time.UTC),
	}
	if err := s.recall(ctx); err != nil {
		return nil, fmt.Errorf("looking how far the story is: %w", err)
	}
	if err := service.Apply(ctx, roster); err != nil {
		return nil, err
	}
	off, _ := (s.begin + outageDay).At(5, 0, time.UTC)
	s.outage = [2]time.Time{off, off.Add(27 * time.Hour)}
	s.propose()
	for _, p := range players() {
		m, err := s.member(ctx, p.id)
		if err != nil {
			return nil, fmt.Errorf("student %s of the story: %w", p.id, err)
		}
		s.expect(&p, &m, routine.DateOf(clock.Now(), m.Location()))
	}
	return s, nil
}

// recall sets the clock to where the store has the story.
func (s *Story) recall(ctx context.Context) error {
	return s.store.View(ctx, func(tx studio.Tx) error {
		mark, err := tx.Mark(timeMark)
		if errors.Is(err, studio.ErrNotFound) {
			return nil
		}
		if err != nil {
			return err
		}
		now, err := time.Parse(time.RFC3339, mark)
		s.clock.set(now)
		return err
	})
}

// remember keeps where the story is.
func (s *Story) remember(ctx context.Context) error {
	return s.store.Update(ctx, func(tx studio.Tx) error {
		return tx.PutMark(timeMark, s.clock.Now().Format(time.RFC3339))
	})
}

// Now returns the time of the story.
func (s *Story) Now() time.Time { return s.clock.Now() }

func (s *Story) member(ctx context.Context, id studio.MemberID) (m studio.Member, err error) {
	err = s.store.View(ctx, func(tx studio.Tx) (err error) {
		m, err = tx.Member(id)
		return err
	})
	return m, err
}

// AdvanceTo lets the story go on until t. Progress, if not nil, is told now and
// then how far the clock has come.
func (s *Story) AdvanceTo(ctx context.Context, t time.Time, progress func(time.Time)) error {
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := s.work(ctx); err != nil {
			return err
		}
		next, err := s.next(ctx)
		if err != nil {
			return err
		}
		if next.After(t) {
			s.clock.set(t)
			return errors.Join(s.work(ctx), s.remember(ctx))
		}
		s.clock.set(next)
		if progress != nil {
			progress(next)
		}
		for len(s.events) > 0 && !s.events[0].at.After(next) {
			ev := heap.Pop(&s.events).(event)
			if err := ev.do(ctx); err != nil {
				return err
			}
		}
	}
}

// Step lets the story go on for d.
func (s *Story) Step(ctx context.Context, d time.Duration) error {
	return s.AdvanceTo(ctx, s.clock.Now().Add(d), nil)
}

// next returns when something happens next: in the story, or in the service.
func (s *Story) next(ctx context.Context) (time.Time, error) {
	next := s.events[0].at
	if s.off(s.clock.Now()) {
		if s.outage[1].Before(next) {
			next = s.outage[1]
		}
		return next, nil
	}
	due, err := s.service.NextAt(ctx)
	if err == nil && !due.IsZero() && due.Before(next) {
		next = due
	}
	return next, err
}

func (s *Story) off(t time.Time) bool { return !t.Before(s.outage[0]) && t.Before(s.outage[1]) }

func (s *Story) work(ctx context.Context) error {
	if s.off(s.clock.Now()) {
		return nil
	}
	return s.service.Work(ctx)
}

// expect plans a student's answer for a date, and the planning of the next.
func (s *Story) expect(p *player, m *studio.Member, date routine.Date) {
	r := s.random(p, date)
	hour := p.hour + p.spread*(2*r.Float64()-1)
	at, _ := date.At(0, 0, m.Location())
	at = at.Add(time.Duration(min(max(hour, 0.5), 23.9) * float64(time.Hour)))
	if s.off(at) {
		at = s.outage[1].Add(time.Duration(r.IntN(90)+5) * time.Minute)
	}
	heap.Push(&s.events, event{at, func(ctx context.Context) error {
		defer s.expect(p, m, date+1)
		return s.answer(ctx, p, m, date, r)
	}})
}

// A teaching is something written in the story that is no reply to a routine: on a day of it, at
// an hour, in UTC.
type teaching struct {
	day  int
	hour float64
	who  string
	text string
}

// teachings are the challenges that Odile runs and who takes part by name, when she
// teaches whom, and what she writes after a lesson.
func teachings() []teaching {
	return []teaching{
		{0, 6, "odile", "lesson Mina 2026-02-24 16:30 weekly"},
		{0, 6.1, "odile", "lesson Tobias 2026-02-25 10:00 fortnightly"},
		{0, 6.2, "odile", "lesson Dario 2026-03-07 15:00"},
		{0, 6.3, "odile", "lesson Dario 2026-04-04 15:00"},
		{8, 17.1, "odile", "after Mina Slur Atlas 1 at 60, long breath before the slur, shoulders down"},
		{10, 19.5, "odile", "challenge 14 75 Two weeks together"},
		{12, 16.2, "odile", "after Dario pin Daily Ground 7 line 3, 50 min, third valve on the low E flat"},
		{16, 11.1, "odile", "after Tobias the Andante slower and with more air, as you sang it"},
		{22, 17.1, "odile", "after Mina unlock Slur Atlas 1, the slurs are round now"},
		{25, 19.5, "odile", "challenge circle"},
		{26, 19.5, "ilka", "take-part"},
		{27, 19.5, "auguste", "take-part"},
		{28, 19.5, "odile", "challenge notes 10"},
		{29, 17.1, "odile", "after Mina pin Daily Ground 2 line 3, count the rests aloud"},
		{36, 17.1, "odile", "after Mina bring the duet next week, both parts"},
	}
}

// propose plans the teachings.
func (s *Story) propose() {
	for i, told := range teachings() {
		midnight, _ := (s.begin + routine.Date(told.day)).At(0, 0, time.UTC)
		at := midnight.Add(time.Duration(told.hour * float64(time.Hour)))
		if at.Before(s.clock.Now()) {
			continue
		}
		heap.Push(&s.events, event{at, func(ctx context.Context) error {
			return s.receive(ctx, studio.Message{
				Platform: "room", ID: fmt.Sprintf("story-teaching-%d", i), Happening: studio.Written, Private: true,
				Author: studio.Account{Platform: "room", ID: told.who}, Text: told.text, At: s.clock.Now(),
			})
		}})
	}
}

// random gives each student and date numbers of their own, so that the story is
// the same however it is stepped.
func (s *Story) random(p *player, date routine.Date) *rand.Rand {
	h := s.seed
	for _, c := range []byte(p.id) {
		h = h*1099511628211 ^ uint64(c)
	}
	return rand.New(rand.NewPCG(h, uint64(date)))
}

// answer is a student answering for a date, if she does.
func (s *Story) answer(ctx context.Context, p *player, m *studio.Member, date routine.Date, r *rand.Rand) error {
	day := int(date - s.begin)
	if p.silent.has(day) {
		return nil
	}
	if p.ill.has(day) {
		if day == p.ill.first || r.Float64() < 0.7 {
			return s.tell(ctx, m, date, r, pick(r, "ill", "sick today", "still ill"))
		}
		return nil
	}
	if day == p.painEnd && p.painEnd > 0 {
		return s.tell(ctx, m, date, r, "pain gone")
	}
	set, played, err := s.look(ctx, m, date)
	if err != nil || set == nil || played {
		return err
	}
	if r.Float64() > p.keeps {
		if r.Float64() < 0.4 {
			return s.tell(ctx, m, date, r, pick(r, "rest day", "nothing today", "rest"))
		}
		return nil
	}
	text, err := s.reply(ctx, p, m, set, r)
	if err != nil {
		return err
	}
	if r.Float64() < p.late {
		morning, _ := (date + 1).At(8, r.IntN(60), m.Location())
		heap.Push(&s.events, event{morning, func(ctx context.Context) error {
			return s.tell(ctx, m, date, r, "yesterday: "+text)
		}})
		return nil
	}
	if day == p.pain && p.pain > 0 {
		text = "stopped after 2, my lip hurts"
	}
	return s.tell(ctx, m, date, r, text)
}

// reply plays the routine and puts it into words.
func (s *Story) reply(ctx context.Context, p *player, m *studio.Member, set *routine.Routine, r *rand.Rand) (string, error) {
	var standings map[routine.StandingKey]routine.Standing
	err := s.store.View(ctx, func(tx studio.Tx) (err error) {
		standings, err = tx.Standings(m.ID)
		return err
	})
	if err != nil {
		return "", err
	}
	results := p.play(r, set, func(k routine.StandingKey) int { return standings[k].Plays })
	return p.voice(r, results, set.Minutes), nil
}

// look returns the routine the student was posted for a date, if any, and
// whether she has answered it already.
func (s *Story) look(ctx context.Context, m *studio.Member, date routine.Date) (set *routine.Routine, answered bool, err error) {
	err = s.store.View(ctx, func(tx studio.Tx) error {
		r, err := tx.Routine(m.ID, date)
		if err != nil {
			return err
		}
		set = &r
		reports, err := tx.Reports(m.ID, date, date)
		answered = len(reports) > 0
		return err
	})
	if errors.Is(err, studio.ErrNotFound) {
		return nil, false, nil
	}
	return set, answered, err
}

// tell gives a student's words to the service as her chat would: now and then
// twice, and some are edited or deleted afterwards.
func (s *Story) tell(ctx context.Context, m *studio.Member, date routine.Date, r *rand.Rand, text string) error {
	msg := studio.Message{
		Platform: m.Accounts[0].Platform, ID: fmt.Sprintf("story-%s-%s", m.ID, date),
		Happening: studio.Written, Author: m.Accounts[0], Private: true,
		Text: text, At: s.clock.Now(),
	}
	if err := s.receive(ctx, msg); err != nil {
		return err
	}
	if r.Float64() < 0.06 {
		s.Twice++
		if err := s.receive(ctx, msg); err != nil {
			return err
		}
	}
	if r.Float64() < 0.04 {
		msg.Happening, msg.Revision, msg.Text = studio.Edited, "1", text+" tired"
		return s.receive(ctx, msg)
	}
	return nil
}

func (s *Story) receive(ctx context.Context, msg studio.Message) error {
	s.Told++
	return s.service.Receive(ctx, msg)
}
