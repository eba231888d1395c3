package studio_test

import (
	"fmt"
	"log/slog"
	"path/filepath"
	"testing"
	"time"

	"ledgerline/adapters/database/sqlite"
	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// benchStage is a stage without a testing.T, on which nothing is drawn.
func benchStage(b *testing.B, r studio.Roster, now *time.Time) (*sqlite.Store, *studio.Service) {
	b.Helper()
	return benchStageWith(b, noDrawer{}, r, now)
}

// benchStageWith is one with a drawer.
func benchStageWith(b *testing.B, drawer studio.Drawer, r studio.Roster, now *time.Time) (*sqlite.Store, *studio.Service) {
	b.Helper()
	store, err := sqlite.Open(b.Context(), filepath.Join(b.TempDir(), "bench.db"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { store.Close() })
	reader, err := reply.NewReader()
	if err != nil {
		b.Fatal(err)
	}
	books := studiotest.Catalogue()
	service := studio.New(studio.Config{
		Store: store, Chats: []studio.Chat{&fakeChat{attempt: map[studio.Key]int{}}}, Drawer: drawer, Reader: reader,
		Books: func(studio.StudioID) *routine.Catalogue { return books },
		Now:   func() time.Time { return *now }, Random: func() float64 { return 0 },
		Log: slog.New(slog.DiscardHandler),
	})
	if err := service.Apply(b.Context(), r); err != nil {
		b.Fatal(err)
	}
	return store, service
}

// keepDays has a student answer every day, in her own words, up to the evening
// of the last.
func keepDays(b *testing.B, service *studio.Service, now *time.Time, days int) {
	b.Helper()
	for d := range days {
		*now = monday.AddDate(0, 0, d).Add(2 * time.Hour)
		if err := service.Work(b.Context()); err != nil {
			b.Fatal(err)
		}
		receive(b, service, fmt.Sprintf("day-%d", d), "1 60 clean, rest done 30m", *now)
		if err := service.Work(b.Context()); err != nil {
			b.Fatal(err)
		}
	}
}

func receive(b *testing.B, service *studio.Service, id, text string, at time.Time) {
	b.Helper()
	answer(b, service, "ada", id, text, at)
}

// BenchmarkReply takes one reply from the inbox to the outbox and out, on a file
// with a month and with ten years of daily answers. The ratio is the point.
func BenchmarkReply(b *testing.B) {
	for _, history := range []struct {
		name string
		days int
	}{{"month", 30}, {"tenyears", 3650}} {
		b.Run(history.name, func(b *testing.B) {
			now := monday
			_, service := benchStage(b, studiotest.Roster(), &now)
			keepDays(b, service, &now, history.days)
			b.ReportAllocs()
			b.ResetTimer()
			for i := range b.N {
				b.StopTimer() // a new day, with its routine
				now = monday.AddDate(0, 0, history.days+i).Add(2 * time.Hour)
				if err := service.Work(b.Context()); err != nil {
					b.Fatal(err)
				}
				b.StartTimer()
				receive(b, service, fmt.Sprintf("reply-%d", i), "1 60 clean, 2 60 shaky", now)
				if err := service.Work(b.Context()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkMorning posts the routines of a studio of 1,000 students.
func BenchmarkMorning(b *testing.B) {
	r := studiotest.Roster()
	plan := r.Plans["ada"]
	for i := range 1000 {
		m := studiotest.Member(fmt.Sprintf("s%04d", i), studio.Student)
		r.Members = append(r.Members, m)
		r.Plans[m.ID] = plan
	}
	now := monday
	_, service := benchStage(b, r, &now)
	b.ReportAllocs()
	b.ResetTimer()
	for i := range b.N {
		now = monday.AddDate(0, 0, i).Add(time.Hour)
		if err := service.Work(b.Context()); err != nil {
			b.Fatal(err)
		}
	}
}
