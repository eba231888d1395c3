package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/routine"
	"ledgerline/studio"
)

// A record is all that a database file holds of a conversation, one fact a
// line, without what may differ from one run to another: clock times, and
// numbers given in the order of arrival.
type record struct {
	facts  []string
	counts studio.Counts
	twice  []studio.Key // posts that are in the transcripts more than once

	names map[int64]string  // of the messages, by inbox number
	hall  studio.Address    // the studio channel
	posts map[string]string // names of posts, by the platform's id
}

// readRecord reads the file of a program that has stopped, of a studio in the
// room.
func readRecord(t testing.TB, path string, date routine.Date) *record {
	t.Helper()
	return readRecordOf(t, path, date, studio.Address{Platform: "room", Channel: "harbour-row"})
}

// readRecordOf reads it of a studio whose channel is elsewhere.
func readRecordOf(t testing.TB, path string, date routine.Date, hall studio.Address) *record {
	t.Helper()
	r := &record{names: map[int64]string{}, posts: map[string]string{}, hall: hall}
	err := withStore(t, path, func(s *sqlite.Store) error {
		return s.View(t.Context(), func(tx studio.Tx) error { return r.read(tx, date) })
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(r.facts)
	return r
}

func withStore(t testing.TB, path string, do func(*sqlite.Store) error) error {
	s, err := sqlite.Open(t.Context(), path)
	if err != nil {
		return err
	}
	return errors.Join(do(s), s.Close())
}

func (r *record) add(kind string, what ...any) {
	words := []string{kind}
	for _, w := range what {
		text, err := json.Marshal(w)
		if err != nil {
			panic(err) // a mistake in this file
		}
		words = append(words, string(text))
	}
	r.facts = append(r.facts, strings.Join(words, " "))
}

func (r *record) read(tx studio.Tx, date routine.Date) (err error) {
	if r.counts, err = tx.Counts(); err != nil {
		return err
	}
	if err := r.readInbox(tx); err != nil {
		return err
	}
	members, err := tx.Members("harbour-row")
	if err != nil {
		return err
	}
	for _, m := range members {
		r.add("member", m)
		if err := errors.Join(r.readLog(tx, m.ID, date), r.readDerived(tx, m.ID, date), r.readPlanned(tx, m.ID, date)); err != nil {
			return err
		}
	}
	return errors.Join(r.readPosts(tx, members), r.readStudio(tx))
}

// readInbox reads the messages one by one; numbers may be left out.
func (r *record) readInbox(tx studio.Tx) error {
	for n := int64(1); len(r.names) < r.counts.Messages; n++ {
		m, err := tx.MessageAt(n)
		if errors.Is(err, studio.ErrNotFound) {
			continue
		}
		if err != nil {
			return err
		}
		if m.Platform != "room" {
			m.Revision = "" // made of the time, or by chance
		}
		r.names[n] = fmt.Sprintf("%s %s %s", m.Happening, m.ID, m.Revision)
		reply, _, _ := strings.Cut(m.ReplyTo, "question/") // questions are numbered in order of arrival
		r.add("message", r.names[n], m.Verdict, m.Author, m.Channel, m.Private, m.Text, reply)
	}
	return nil
}

func (r *record) readLog(tx studio.Tx, m studio.MemberID, date routine.Date) error {
	reports, err := tx.Reports(m, date-60, date+60)
	for _, rep := range reports {
		from := r.names[rep.Inbox]
		rep.Day.Seq = 0
		r.add("report", m, from, rep.Day)
		for _, e := range rep.Entries {
			corrects := e.Supersedes != 0
			e.Seq, e.Supersedes = 0, 0
			r.add("entry", m, from, corrects, e)
		}
	}
	return err
}

func (r *record) readDerived(tx studio.Tx, m studio.MemberID, date routine.Date) error {
	standings, err := tx.Standings(m)
	if err != nil {
		return err
	}
	for key, s := range standings {
		r.add("standing", m, fmt.Sprint(key), s)
		acts, err := tx.LineActs(m, key.Line, key.Pass)
		if err != nil {
			return err
		}
		for _, a := range acts {
			a.Seq = 0
			r.add("act", m, a)
		}
	}
	streak, err := tx.Streak(m)
	r.add("streak", m, streak)
	return err
}

func (r *record) readPlanned(tx studio.Tx, m studio.MemberID, date routine.Date) error {
	plan, err := tx.Plan(m)
	if err != nil && !errors.Is(err, studio.ErrNotFound) {
		return err
	}
	r.add("plan", m, plan)
	set, err := tx.Routine(m, date)
	if err != nil && !errors.Is(err, studio.ErrNotFound) {
		return err
	}
	r.add("routine", m, set)
	questions, err := tx.OpenQuestions(m)
	for _, q := range questions {
		r.add("question", m, r.names[q.Inbox], q.Day, q.About, q.Choices)
	}
	return err
}

// readPosts reads all conversations; what was not sent is in none.
func (r *record) readPosts(tx studio.Tx, members []studio.Member) error {
	addresses := map[studio.Address]bool{r.hall: true}
	for _, m := range members {
		addresses[studio.Address{Platform: m.Accounts[0].Platform, Account: m.Accounts[0].ID}] = true
	}
	seen := map[studio.Key]bool{}
	for a := range addresses {
		lines, err := tx.Transcript(a, 100_000)
		if err != nil {
			return err
		}
		for _, l := range lines {
			if l.Post == nil {
				continue
			}
			if seen[l.Post.Key] {
				r.twice = append(r.twice, l.Post.Key)
			}
			seen[l.Post.Key] = true
			r.addPost(l.Post)
		}
	}
	return nil
}

func (r *record) addPost(p *studio.Queued) {
	kind, rest, _ := strings.Cut(string(p.Key), "/")
	number, whose, _ := strings.Cut(rest, "@")
	var inbox int64
	if _, err := fmt.Sscanf(number, "%d", &inbox); err == nil && kind != "question" {
		rest = r.names[inbox] + "@" + whose
	} else if kind == "question" {
		rest = ""
	}
	r.posts[p.PlatformID] = kind + " " + rest
	r.add("post", kind, rest, p.To, p.Member, p.ReplyTo, p.Title, p.Text, unnumbered(p.Items), p.Foot, unnumbered(p.Choices))
}

// questionNumber matches the number of a question in what a button says: they are
// numbered in order of arrival.
var questionNumber = regexp.MustCompile(`"seen ([^"]*) \d+"`)

// unnumbered returns v as JSON without the numbers of questions.
func unnumbered(v any) string {
	text, err := json.Marshal(v)
	if err != nil {
		panic(err) // a mistake in this file
	}
	return questionNumber.ReplaceAllString(string(text), `"seen $1"`)
}

func (r *record) readStudio(tx studio.Tx) error {
	due, err := tx.DueBy(time.Now().AddDate(2, 0, 0), 100_000)
	for _, d := range due {
		r.add("due", d)
	}
	challenges, err2 := tx.Challenges("harbour-row")
	for _, c := range challenges {
		c.ID = ""
		r.add("challenge", c)
	}
	return errors.Join(err, err2)
}

// missing returns the facts of r that others lack, each as often as it lacks it.
func (r *record) missing(others *record) []string {
	have := map[string]int{}
	for _, f := range others.facts {
		have[f]++
	}
	var lost []string
	for _, f := range r.facts {
		if have[f] == 0 {
			lost = append(lost, f)
		} else {
			have[f]--
		}
	}
	return lost
}
