package studio_test

import (
	"slices"
	"testing"

	"ledgerline/studio"
)

func TestComplete(t *testing.T) {
	s := newStage(t)
	account := func(id string) studio.Account { return studio.Account{Platform: "room", ID: id} }
	for _, tt := range []struct {
		who, command, arg, partial string
		want                       []string
	}{
		{"odile", "minutes", "NAME", "", []string{"Ada", "Mina"}},
		{"odile", "minutes", "name", "in", []string{"Mina"}},
		{"odile", "open", "study", "daily", []string{"daily-ground/1", "daily-ground/2"}},
		{"odile", "sign-off", "lines", "/2/3", []string{"daily-ground/2/3"}},
		{"ada", "minutes", "name", "", nil},
		{"ada", "progress", "line", "2/4", []string{"daily-ground/2/4"}},
		{"stranger", "minutes", "name", "", nil},
		{"odile", "minutes", "number", "", nil},
		{"odile", "challenge", "kind", "key", []string{"keys"}},
	} {
		got := s.service.Complete(t.Context(), account(tt.who), tt.command, tt.arg, tt.partial)
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s completes %s %s %q to %q, want %q", tt.who, tt.command, tt.arg, tt.partial, got, tt.want)
		}
	}
}
