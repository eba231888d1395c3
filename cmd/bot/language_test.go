package main

import (
	"context"
	"database/sql"
	"encoding/json"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"ledgerline/studio"
	"ledgerline/studio/harbour"
	"ledgerline/studio/words"
)

// TestStoryInEveryLanguage plays six weeks of the studio with everybody in it of
// one language, has the teacher and a student give every command that only
// shows something, and looks for English in all that was said.
func TestStoryInEveryLanguage(t *testing.T) {
	for _, lang := range words.Languages()[1:] {
		t.Run(lang, func(t *testing.T) {
			t.Parallel()
			posts := told(t, lang)
			english, single, own := sentencesOf(lang), wordsIn(words.English), booksOwn()
			for word := range wordsIn(lang) {
				delete(single, word)
			}
			for _, word := range theirs {
				delete(single, word)
			}
			kinds := map[studio.PostKind]int{}
			for _, p := range posts {
				kinds[p.Kind]++
				said := own.Replace(withoutQuotes(wordsOf(&p)))
				for _, piece := range english {
					if strings.Contains(said, piece) {
						t.Errorf("%s: %q is English in:\n%s", p.Key, piece, said)
						break
					}
				}
				for _, word := range wordPattern.FindAllString(said, -1) {
					if single[word] {
						t.Errorf("%s: %q is English in:\n%s", p.Key, word, said)
						break
					}
				}
			}
			for _, kind := range []studio.PostKind{
				studio.RoutinePost, studio.ReceiptPost, studio.QuestionPost, studio.AnswerPost,
				studio.ReminderPost, studio.DigestPost, studio.AnnouncedPost, studio.AlertPost,
			} {
				if kinds[kind] == 0 {
					t.Errorf("no %s was looked at, of %v", kind, kinds)
				}
			}
		})
	}
}

// told returns all posts of the story in a language.
func told(t *testing.T, lang string) (posts []studio.Post) {
	t.Helper()
	database := filepath.Join(t.TempDir(), "story.db")
	tale, err := (&demoCmd{Weeks: 6, Lang: lang, Seed: 1}).tell(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	ask(t, tale, "odile", "help", "digest", "student Tobias", "plan Tobias", "plan Mina", "books", "best Ilka", "week Juna",
		"pause Sanne", "resume Sanne", "minutes Kofi 45", "off Kofi sat,sun", "excuse Kofi 2026-04-20 2026-04-22 travel", "holiday 2026-05-01 2026-05-03",
		"zone Dario Europe/Paris", "pin Ilka slur-atlas/2/1", "lock Tobias slur-atlas/2 quarter=50", "unlock Tobias slur-atlas/2", "invite Auguste",
		"hold Tobias slur-atlas/2", "release Tobias slur-atlas/2", "swap Tobias 1 slur-atlas/2/1", "again Tobias", "tell Tobias ça va", "leave Levi",
		"sign-off Tobias slur-atlas/2/1", "open Tobias slur-atlas/2 9", "skip Tobias slur-atlas/2/1 2027-09-09", "challenge 1 1 x", "challenge", "challenge kinds", "challenge tides", "challenge keys", "challenge minute-test 9 tell weekly", "challenge team-days 4 teams 9",
		"challenge notes tell often", "challenge keys", "challenge show", "challenge show nothing", "challenge list", "nonsense", "/nonsense",
		"off Kofi nonday", "zone Kofi Mars", "close Tobias slur-atlas/2", "open Tobias slur-atlas/2 1", "excuse Kofi 2026-4-1", "student Nobody", "overview", "lessons", "lesson Tobias",
		"report Tobias 2026-03-02 2026-04-05", "deeds", "map Tobias", "note Tobias", "recordings Tobias", "forecast Tobias", "export Tobias", "erase Auguste",
		"add Tobias slur-atlas/2 loudly", "diggest", "/digset", "lesson Kofi never", "perform Kofi 2020-01-01", "minutes Kofi 3", "after Tobias")
	ask(t, tale, "tobias", "/take-part", "/sit-out", "help", "today", "progress", "progress 1", "week", "best", "short 15", "soft", "usual", "with cornet", "short 1", "short",
		"progress 99", "progress slur-atlas/9/9", "undo", "undo", "tomorrow: done", "2026-01-01: done", "1 200 clean", "my lip hurts", "pain gone", "how is the weather?", "ill", "2 clean missed", "1 96ish 2 of 4 tired 12m",
		"forecast", "map", "recordings", "discard 9", "click", "export", "here", "setup", "skip", "progess")
	if err := tale.store.Close(); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", database)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	rows, err := db.Query(`SELECT body FROM outbox`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var body []byte
		var p studio.Post
		if err := rows.Scan(&body); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(body, &p); err != nil {
			t.Fatal(err)
		}
		posts = append(posts, p)
	}
	if len(posts) < 500 {
		t.Errorf("only %d posts in six weeks", len(posts))
	}
	return posts
}

// ask has a person of the story write on her private line.
func ask(t *testing.T, tale *tale, who string, texts ...string) {
	t.Helper()
	for i, text := range texts {
		err := tale.service.Receive(context.WithoutCancel(t.Context()), studio.Message{
			Platform: "room", ID: who + "-asks-" + string(rune('a'+i)), Happening: studio.Written, Private: true,
			Author: studio.Account{Platform: "room", ID: who}, Text: text, At: tale.story.Now(),
		})
		if err == nil {
			err = tale.service.Work(t.Context())
		}
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
	}
}

// wordsOf returns all words of a post.
func wordsOf(p *studio.Post) string {
	parts := []string{p.Title, p.Text, p.Foot}
	for _, it := range p.Items {
		parts = append(parts, it.Head, it.Detail)
	}
	for _, c := range p.Choices {
		parts = append(parts, c.Label)
	}
	for _, pic := range p.Pictures {
		parts = append(parts, pic.Alt)
		if pic.Tempo != nil {
			parts = append(parts, pic.Tempo.Title)
		}
		if pic.Calendar != nil {
			parts = append(parts, pic.Calendar.Title)
		}
	}
	return strings.Join(parts, "\n")
}

// quotes are what people are quoted in: their own words stay as they are.
var quotes = regexp.MustCompile(`„[^“]*“|«[^»]*»|“[^”]*”`)

// done is a line of what was done by commands, as they were typed.
var done = regexp.MustCompile(`(?m)^\d{4}-\d\d-\d\d \d\d:\d\d .*$`)

func withoutQuotes(s string) string {
	return done.ReplaceAllString(quotes.ReplaceAllString(s, "„“"), "")
}

// booksOwn takes out what the books of the story say themselves, in English.
func booksOwn() *strings.Replacer {
	_, books, _ := readFolder(harbour.Files, "harbour")
	var own []string
	for _, b := range books.Books {
		own = append(own, b.Title, "…")
		for _, s := range b.Studies {
			own = append(own, s.Title, "…")
			for _, p := range s.Passes {
				if p.CleanMeans != "" {
					own = append(own, p.CleanMeans, "…")
				}
			}
		}
	}
	return strings.NewReplacer(own...)
}

// theirs are English words that people of the story wrote, ids and names.
var theirs = []string{"circle", "days", "keys", "lines", "minute", "notes", "team", "test", "tides", "articulate", "hour", "gently", "weeks", "together", "digest", "progress", "sat", "sun", "quarter", "travel", "may", "English"}

var wordPattern = regexp.MustCompile(`\pL{3,}`)

// wordsIn returns the words of the texts of a language, but for those that stand
// for something, such as {name}.
func wordsIn(lang string) map[string]bool {
	all := map[string]bool{}
	for _, text := range words.Program().In(lang).Texts() {
		for _, word := range wordPattern.FindAllString(placeholder.ReplaceAllString(text, " "), -1) {
			all[word] = true
		}
	}
	return all
}

var placeholder = regexp.MustCompile(`\{[a-z-]+\}`)

// sentencesOf returns the pieces of the English texts, of two words and more,
// that no text of another language has.
func sentencesOf(lang string) (pieces []string) {
	other := strings.Join(words.Program().In(lang).Texts(), "\n")
	two := regexp.MustCompile(`[A-Za-z']{2,}[ ,]+[A-Za-z']{2,}`)
	for _, text := range words.Program().In(words.English).Texts() {
		for _, piece := range regexp.MustCompile(`\{[a-z-]+\}|“[^”]*”`).Split(text, -1) {
			piece = strings.Trim(piece, " .,:;()“”\n")
			if two.MatchString(piece) && !strings.Contains(other, piece) && !slices.Contains(pieces, piece) {
				pieces = append(pieces, piece)
			}
		}
	}
	return pieces
}

// notTheirs are the elements of the room's page whose words are people's own.
const notTheirs = ".message .text, .card, q, option, script, noscript, #studio-name, #zone"

// TestRoomInEveryLanguage opens the room as somebody of each role, and looks for
// English in all that stands on its page, shown or not.
func TestRoomInEveryLanguage(t *testing.T) {
	for _, lang := range words.Languages()[1:] {
		t.Run(lang, func(t *testing.T) {
			english, whole := sentencesOf(lang), wholeTextsOf(lang)
			ctx := openRoom(t, demoCmd{Weeks: 1, Seed: 1, Lang: lang}, 390, 844, "odile")
			for _, who := range []string{"odile", "tobias", "petra"} {
				page(t, ctx, `(() => { const as = document.querySelector("#as"); as.value = "`+who+`"; as.dispatchEvent(new Event("change")); })()`)
				awaitPage(t, ctx, `document.documentElement.lang === "`+lang+`" && document.querySelectorAll("#line-log .entry, #line-log .empty").length > 0 && document.querySelector("#state").dataset.state === "live"`)
				texts := strings.Split(page(t, ctx, `[...document.querySelectorAll("body *")].filter(e => !e.closest("`+notTheirs+`")).flatMap(e =>
					[e.ariaLabel, e.title, e.placeholder, ...[...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data)]).filter(s => s?.trim()).join("\u0000")`), "\x00")
				if len(texts) < 60 {
					t.Errorf("%s: only %d texts on the page", who, len(texts))
				}
				for _, text := range texts {
					said := withoutQuotes(text)
					at := slices.IndexFunc(english, func(piece string) bool { return strings.Contains(said, piece) })
					if at >= 0 || len(text) > 1 && whole[strings.TrimSpace(text)] || strings.Contains(text, "room.") || strings.HasPrefix(text, "…") || strings.Contains(text, "{") {
						t.Errorf("%s sees %q", who, text)
					}
				}
			}
		})
	}
}

// wholeTextsOf returns the English texts without placeholders, single words too,
// that are no texts of another language.
func wholeTextsOf(lang string) map[string]bool {
	whole := map[string]bool{}
	for _, text := range words.Program().In(words.English).Texts() {
		whole[text] = !strings.Contains(text, "{")
	}
	for _, text := range words.Program().In(lang).Texts() {
		delete(whole, text)
	}
	return whole
}
