package main

import (
	"errors"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"ledgerline/adapters/database/postgres"
	"ledgerline/adapters/database/postgres/postgrestest"
	"ledgerline/adapters/database/sqlite"
	"ledgerline/studio"
)

// TestMoveToPostgres plays weeks of the demo on a file, moves it, and lets the
// story go on in either place: it must end the same.
func TestMoveToPostgres(t *testing.T) {
	address := postgrestest.Database(t)
	file := filepath.Join(t.TempDir(), "story.db")
	story(t, "--weeks", "2", "--database", file)
	keepRecording(t, file, "tobias")
	out, err := bot(t, "", "move", address, "--database", file)
	if err != nil || !strings.Contains(out, "rows are the same") {
		t.Fatalf("moving: %v\n%s", err, out)
	}
	if _, err := bot(t, "", "move", address, "--database", file); err == nil || !strings.Contains(err.Error(), "already") {
		t.Errorf("moving over what is there: %v", err)
	}
	was, is := exportsOf(t, file), exportsOf(t, address)
	for id, e := range was {
		if !reflect.DeepEqual(is[id], e) {
			t.Errorf("what is kept of %s is not what it was", id)
		}
	}
	if n := len(is["tobias"].Kept); n != 1 {
		t.Errorf("%d recordings were moved, want 1", n)
	}
	stayed := story(t, "--weeks", "3", "--database", file)
	moved := story(t, "--weeks", "3", "--database", address)
	if !reflect.DeepEqual(stayed.Students, moved.Students) {
		t.Errorf("on the file:\n%+v\nin PostgreSQL:\n%+v", stayed.Students, moved.Students)
	}
	if stayed.MessagesIn != moved.MessagesIn || stayed.MessagesOut != moved.MessagesOut || moved.Duplicates != 0 {
		t.Errorf("on the file %d in and %d out, in PostgreSQL %d and %d, %d of them twice",
			stayed.MessagesIn, stayed.MessagesOut, moved.MessagesIn, moved.MessagesOut, moved.Duplicates)
	}
	if _, err := bot(t, "", "erase", "tobias", "--database", address, "--for-good"); err != nil {
		t.Error(err)
	}
	if _, err := bot(t, "", "export", "tobias", "--database", address, "--to", filepath.Join(t.TempDir(), "x.json")); err == nil {
		t.Error("somebody who was erased was exported")
	}
}

// keepRecording puts a recording that a member keeps into a database.
func keepRecording(t *testing.T, file string, who studio.MemberID) {
	t.Helper()
	store, err := sqlite.Open(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	err = store.Update(t.Context(), func(tx studio.Tx) error {
		m, err := tx.Member(who)
		if err != nil {
			return err
		}
		said, err := tx.MessagesBy(m.Accounts[0], 0, 1)
		if err != nil {
			return err
		}
		h := studio.Hearing{Member: who, Inbox: said[0].Inbox, File: studio.File{ID: "take"}, Keep: studio.Kept}
		return errors.Join(tx.PutHearing(&h), tx.PutSound(h.Inbox, "take", who, []byte("RIFF\x00\xff\n")))
	})
	if err := errors.Join(err, store.Close()); err != nil {
		t.Fatal(err)
	}
}

// A row that can't be moved leaves nothing in PostgreSQL.
func TestMoveCutShort(t *testing.T) {
	address := postgrestest.Database(t)
	file := filepath.Join(t.TempDir(), "story.db")
	story(t, "--weeks", "1", "--database", file)
	store, err := postgres.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	load, err := postgres.NewLoad(t.Context(), store)
	if err != nil {
		t.Fatal(err)
	}
	if err := sqlite.CopyOut(t.Context(), file, &failing{load, 300}); err == nil {
		t.Fatal("the copying did not fail")
	}
	if err := load.Drop(); err != nil {
		t.Fatal(err)
	}
	rows, err := move(t.Context(), file, store)
	if err != nil || rows["member"] == 0 {
		t.Errorf("moving after that: %v, %v", rows, err)
	}
}

// failing takes some rows and then fails.
type failing struct {
	sqlite.Taker
	left int
}

func (f *failing) Row(values []any) error {
	if f.left--; f.left < 0 {
		return errors.New("the cable was pulled")
	}
	return f.Taker.Row(values)
}

// exportsOf returns all that a database holds of each member.
func exportsOf(t *testing.T, database string) map[studio.MemberID]studio.Export {
	t.Helper()
	all := map[studio.MemberID]studio.Export{}
	store, err := openStore(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	var members []studio.Member
	err = store.View(t.Context(), func(tx studio.Tx) (err error) { members, err = tx.Members("harbour-row"); return err })
	if err != nil || len(members) == 0 {
		t.Fatalf("%d members, %v", len(members), err)
	}
	for _, m := range members {
		e, err := serviceOn(store).Export(t.Context(), m.ID)
		if err != nil {
			t.Fatal(err)
		}
		e.Made = time.Time{}
		all[m.ID] = e
	}
	return all
}
