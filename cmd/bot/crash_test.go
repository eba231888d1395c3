package main

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/routine"
	"ledgerline/studio"
)

// How often the program is killed, in all and in one conversation. More, such
// as LEDGERLINE_KILLS=300, are a matter of minutes.
const (
	killsVariable = "LEDGERLINE_KILLS"
	usualKills    = 15
	killsAtOnce   = 15
)

// TestKilled has the studio's members talk with the program twice over: once
// undisturbed, and once while it is killed at random moments and started again.
// Whoever gets no answer offers the same again, as the page does. Both database
// files must then hold the same, each message and each post once.
func TestKilled(t *testing.T) {
	var all result
	for seed, left := uint64(1), killsWanted(t, usualKills); left > 0; seed++ {
		kills := min(left, killsAtOnce)
		left -= kills
		t.Run(fmt.Sprintf("conversation %d", seed), func(t *testing.T) { all.compare(t, seed, kills) })
	}
	t.Logf("%d kills in %d conversations (%s); %d writings, %d of them offered again for want of an answer; lost: %d, doubled: %d",
		all.killed(), all.conversations, all.kinds(), all.offered, all.again, all.lost, all.doubled)
}

// killsWanted returns how many kills are asked for, or else the usual number.
func killsWanted(t *testing.T, usual int) int {
	t.Helper()
	s := os.Getenv(killsVariable)
	if s == "" {
		return usual
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 {
		t.Fatalf("%s=%s: write a number of kills", killsVariable, s)
	}
	return n
}

// A result is what came of conversations in which the program was killed.
type result struct {
	conversations, lost, doubled int

	kills   [len(strikes)]int // by strike
	writes  int               // kills at a write
	offered int               // writings offered, each counted once
	again   int               // offers repeated because no answer came
}

func (r *result) killed() (n int) {
	for _, times := range r.kills {
		n += times
	}
	return n
}

// add adds what came of further conversations.
func (r *result) add(more *result) {
	r.lost += more.lost
	r.doubled += more.doubled
	r.writes += more.writes
}

func (r *result) kinds() string {
	var words []string
	for s, times := range r.kills {
		words = append(words, strconv.Itoa(times)+" "+strikes[s])
	}
	return strings.Join(words, ", ")
}

// compare holds one conversation with a number of kills against the same
// without, on one date.
func (r *result) compare(t *testing.T, seed uint64, kills int) {
	t.Helper()
	date := today()
	want := converse(t, date, seed, 0, &result{})
	r.conversations++
	got := converse(t, date, seed, kills, r)
	if today() != date {
		t.Log("midnight went by; once more")
		r.compare(t, seed, kills)
		return
	}
	r.hold(t, want, got)
}

// hold holds what a conversation left against what it should have left.
func (r *result) hold(t *testing.T, want, got *record) {
	t.Helper()
	for _, fact := range want.missing(got) {
		r.lost++
		t.Errorf("lost:    %s", fact)
	}
	for _, fact := range got.missing(want) {
		r.doubled++
		t.Errorf("doubled: %s", fact)
	}
	checkCounts(t, want)
	checkCounts(t, got)
}

// checkCounts checks that nothing is left to do, and nothing was said twice.
func checkCounts(t testing.TB, r *record) {
	t.Helper()
	sent := 0
	for _, n := range r.counts.Sent {
		sent += n
	}
	told := 0
	for _, fact := range r.facts {
		if strings.HasPrefix(fact, "post ") {
			told++
		}
	}
	c := r.counts
	if c.Unread+c.Waiting+c.GivenUp > 0 || sent != told || len(r.twice) > 0 {
		t.Errorf("%d messages unread, %d posts waiting, %d given up; %d sent and %d in the transcripts; there twice: %v",
			c.Unread, c.Waiting, c.GivenUp, sent, told, r.twice)
	}
}

// converse holds the conversation of a seed on a file of its own. The program
// is killed when it starts on no file at all, when it finds the work of a night
// undone, and during the conversation.
func converse(t *testing.T, date routine.Date, seed uint64, kills int, res *result) *record {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 0))
	script := newScript(r)
	c := newTalk(newProgram(t, writeFolder(t, date), filepath.Join(t.TempDir(), "studio.db")), rand.Uint64(), res)
	c.args = []string{"--log-level", "debug"}

	for range kills / 5 {
		c.hitStart()
	}
	c.start()
	c.stop()
	leaveNight(t, c.database, date)
	for range kills / 5 {
		c.start()
		c.hit(midNight, time.Duration(c.random.Float64()*float64(60*time.Millisecond)))
	}
	c.start()
	c.awaitMorning()
	c.doubtful = kills > 0
	strikes := scatter(c.random, len(script), kills-kills/5*2)
	for i, steps := range script {
		c.turn(steps, strikes[i])
	}
	c.finish()
	var said []string
	for _, steps := range script {
		for _, s := range steps {
			said = append(said, s.text)
		}
	}
	wantQuiet(t, c.program, said)
	return readRecord(t, c.database, date)
}

// scatter puts a number of strikes of any kind on turns at random.
func scatter(r *rand.Rand, turns, strikes int) map[int][]strike {
	at := map[int][]strike{}
	for range strikes {
		turn := r.IntN(turns)
		at[turn] = append(at[turn], pick(r, []strike{midStart, midRequest, midRequest, midRequest, afterwards, afterwards, onRequest}))
	}
	return at
}

// leaveNight makes the file one of a program that was off since before
// midnight: what fell due then was not done. A challenge opens on the date.
func leaveNight(t *testing.T, path string, date routine.Date) {
	t.Helper()
	midnight, _ := date.At(0, 0, time.UTC)
	var due []studio.Due
	for _, p := range pupils {
		id := studio.MemberID(p.ID)
		due = append(due,
			studio.Due{Kind: studio.DueRoutine, Member: id, At: midnight},
			studio.Due{Kind: studio.DueReminder, Member: id, At: midnight.Add(time.Second)})
	}
	due = append(due, studio.Due{Kind: studio.DueDigest, At: midnight}, studio.Due{Kind: studio.DueStudio, At: midnight})
	err := withStore(t, path, func(s *sqlite.Store) error {
		return s.Update(t.Context(), func(tx studio.Tx) error {
			err := tx.PutChallenge(studio.Challenge{ID: "opens", Studio: "harbour-row", Title: "First frost", From: date, To: date + 13, Kind: studio.Kinds()[0], Closes: midnight.AddDate(0, 0, 15)})
			for _, d := range due {
				d.Studio, d.Date = "harbour-row", date
				err = errors.Join(err, tx.PutDue(d))
			}
			return err
		})
	})
	if err != nil {
		t.Fatal(err)
	}
}

// awaitMorning waits until the routines of all of whom anything may be logged,
// and the posts of the studio, are there.
func (c *talk) awaitMorning() {
	c.t.Helper()
	for _, p := range pupils {
		if p.Age != "under-13" {
			c.await(p.ID, "line", "routine", "")
		}
	}
	for _, who := range speakers {
		c.await(who, "line", "reminder", "")
	}
	c.await("odile", "line", "digest", "")
	c.await("odile", "channel", "announcement", "")
}

// finish waits until every message was read and every post sent, and stops the
// program.
func (c *talk) finish() {
	c.t.Helper()
	for as := range c.wrote {
		c.heard(as)
	}
	for wait := 30 * time.Millisecond; ; wait *= 2 { // a file that is written may not be looked into from beside
		time.Sleep(wait)
		c.stop()
		if c.left() == 0 || wait > time.Second {
			return
		}
		c.start()
	}
}

// left returns how much is still to do, according to the file of a program that
// has stopped.
func (c *talk) left() (n int) {
	c.t.Helper()
	err := withStore(c.t, c.database, func(s *sqlite.Store) error {
		return s.View(c.t.Context(), func(tx studio.Tx) error {
			counts, err := tx.Counts()
			n = counts.Unread + counts.Waiting
			return err
		})
	})
	if err != nil {
		c.t.Fatal(err)
	}
	return n
}
