package studio_test

import (
	"fmt"
	"strings"
	"testing"

	"ledgerline/studio"
)

// A line that stands still is for the teacher to know, with a suggestion from the
// trade. The student is told neither that nor what to do about it.
func TestOnlyTheTeacherHearsOfAPlateau(t *testing.T) {
	s := workshopStage(t)
	for day := 2; day <= 28; day++ {
		s.at(fmt.Sprintf("2026-03-%02d 07:00", day))
		s.says("ada", "all shaky")
	}
	s.at("2026-03-29 18:00")
	digests := s.posts("odile", studio.DigestPost)
	text := digests[len(digests)-1].Text
	for _, part := range []string{"Stuck: Ada, Daily Ground 1, pass 1, lines 1–4, most of them no faster since", "You might change the articulation."} {
		if !strings.Contains(text, part) {
			t.Errorf("the digest says %q, want %q in it", text, part)
		}
	}
	s.says("odile", "student Ada")
	if p := s.last("odile"); !strings.Contains(p.Text, "Stuck: Ada") || strings.Count(p.Text, "You might ") == 0 {
		t.Errorf("Ada's page says %q, want what is stuck, and a suggestion", p.Text)
	}
	for _, command := range []string{"progress", "progress 1", "week", "best", "today"} {
		s.says("ada", command)
	}
	for _, kind := range []studio.PostKind{studio.RoutinePost, studio.ReceiptPost, studio.AnswerPost, studio.ReminderPost} {
		for _, p := range s.posts("ada", kind) {
			all := fmt.Sprint(p.Title, p.Text, p.Items, p.Foot)
			for _, word := range []string{"tuck", "You might", "shorten", "leave it", "alternate fingering"} {
				if strings.Contains(all, word) {
					t.Errorf("Ada is told %q", all)
				}
			}
		}
	}
}
