package studio_test

import (
	"fmt"
	"testing"
	"time"

	"ledgerline/adapters/charts"
	"ledgerline/adapters/sheet"
	"ledgerline/studio"
	"ledgerline/studio/studiotest"
)

// digestStage is a studio of so many students who have answered every day for a
// week, on a Sunday.
func digestStage(b *testing.B, students int) *studio.Service {
	b.Helper()
	now := monday
	r := studiotest.Roster()
	plan := r.Plans["ada"]
	for i := range students - 2 {
		m := studiotest.Member(fmt.Sprintf("s%04d", i), studio.Student)
		r.Members, r.Plans[m.ID] = append(r.Members, m), plan
	}
	_, service := benchStageWith(b, charts.New(nil), r, &now)
	for day := range 7 {
		now = monday.AddDate(0, 0, day).Add(2 * time.Hour)
		if err := service.Work(b.Context()); err != nil {
			b.Fatal(err)
		}
		for _, m := range r.Members {
			if m.Role == studio.Student {
				answer(b, service, m.ID, fmt.Sprintf("d%d", day), fmt.Sprintf("1 %d clean, rest done", 50+day), now)
			}
		}
		if err := service.Work(b.Context()); err != nil {
			b.Fatal(err)
		}
	}
	return service
}

func answer(b *testing.B, service *studio.Service, m studio.MemberID, id, text string, at time.Time) {
	b.Helper()
	err := service.Receive(b.Context(), studio.Message{
		Platform: "room", ID: string(m) + id, Happening: studio.Written, Private: true,
		Author: studio.Account{Platform: "room", ID: string(m)}, Text: text, At: at,
	})
	if err != nil {
		b.Fatal(err)
	}
}

// BenchmarkDigest makes the digest of a week with its pictures drawn, and of it
// the HTML and the PDF. The ratio of the two sizes is the point.
func BenchmarkDigest(b *testing.B) {
	for _, students := range []int{40, 400} {
		service := digestStage(b, students)
		var page studio.Sheet
		b.Run(fmt.Sprintf("post/%d", students), func(b *testing.B) {
			for b.Loop() {
				var err error
				if page, err = service.Digest(b.Context(), "harbour", march(2), march(8)); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("html/%d", students), func(b *testing.B) {
			for b.Loop() {
				if _, err := sheet.New().HTML(page); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("pdf/%d", students), func(b *testing.B) {
			for b.Loop() {
				if _, err := sheet.New().PDF(page, studio.A4); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
