package reply

import (
	"strings"
	"testing"
	"testing/fstest"
)

// tableOf loads language files written in the test.
func tableOf(t *testing.T, english, own string) (*table, error) {
	t.Helper()
	files := fstest.MapFS{
		"lang/en.txt": {Data: []byte(english)},
		"lang/xx.txt": {Data: []byte(own)},
	}
	tables, err := loadTables(files)
	return tables["xx"], err
}

func TestLanguageFileErrors(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"outcome clean clean", "line 1: no colon"},
		{"# a comment\noutcom clean: clean", `line 2: "outcom`},
		{"outcome clear: clean", `line 1: "clear" is no value of "outcome"`},
		{"done: finished,, ready", "line 1: an empty phrase"},
		{"day -2: 2 days ago", `line 1: phrase "2 days ago" has a number`},
		{"done: finished\nspelled finished: finisht, done", `line 2: "done" is a word of its own`},
		{"done: finished\nspelled finished: all in", `line 2: "all in" is not one word`},
		{"spelled all done: al", `line 1: "all done" is not one word`},
		{"done: finished\nall: finished", `line 2: "finished" is in the file twice`},
	} {
		_, err := tableOf(t, "done: done", test.text)
		if err == nil || !strings.Contains(err.Error(), test.want) || !strings.Contains(err.Error(), "lang/xx.txt") {
			t.Errorf("%q: error %v, want one with %q", test.text, err, test.want)
		}
	}
}

func TestOwnLanguageCountsBeforeEnglish(t *testing.T) {
	table, err := tableOf(t, "outcome clean: clean, fin\ndone: done", "done: fin, l'été, prêt\nplain: clean")
	if err != nil {
		t.Fatal(err)
	}
	for phrase, want := range map[string]sense{
		"fin": doneSense, "clean": outcomeSense, "done": doneSense, "L’été": doneSense, "lete": doneSense,
		"pret": doneSense, "PRÊT": doneSense, "unheard": unknown,
	} {
		p := &parser{table: table}
		p.lex(phrase)
		p.identify(&p.lexer)
		if got, _ := p.phraseAt(0); got.sense != want {
			t.Errorf("%q has sense %v, want %v", phrase, got.sense, want)
		}
	}
}

func TestOtherSpellings(t *testing.T) {
	table, err := tableOf(t, "done: done", "done: alles gemacht, geübt\nspelled gemacht: gmacht, gmocht\nspelled geübt: gübt\nall: alles")
	if err != nil {
		t.Fatal(err)
	}
	for phrase, want := range map[string]int{"alles gmacht": 2, "alles gmocht": 2, "gübt": 1, "guebt": 1, "GUBT": 1, "gmacht": 0} {
		p := &parser{table: table}
		p.lex(phrase)
		p.identify(&p.lexer)
		if got, n := p.phraseAt(0); n != want || n > 0 && got.sense != doneSense {
			t.Errorf("%q: a phrase of %d words with sense %v, want one of %d", phrase, n, got.sense, want)
		}
	}
}

func TestTypingErrors(t *testing.T) {
	for _, test := range []struct {
		got, want string
		edit      edit
	}{
		{"claen", "clean", swapEdit}, {"clen", "clean", dropEdit}, {"cleean", "clean", extraEdit}, {"clesn", "clean", replaceEdit},
		{"doen", "done", swapEdit}, {"don", "done", dropEdit}, {"gone", "done", noEdit}, {"skiped", "skipped", dropEdit}, {"kipped", "skipped", noEdit},
		{"clean", "shaky", noEdit}, {"cln", "clean", noEdit},
	} {
		if got := editBetween([]byte(test.got), test.want); got != test.edit {
			t.Errorf("%q for %q: edit %d, want %d", test.got, test.want, got, test.edit)
		}
	}
}

// TestPlainWordsAreKept checks that ordinary words one letter from a word that
// says something are not taken for it.
func TestPlainWordsAreKept(t *testing.T) {
	tables, err := loadTables(languageFiles)
	if err != nil {
		t.Fatal(err)
	}
	for lang, words := range map[string]string{
		"en": "slipped clear clearly gone none tone slow stone plain again gain rain Spain train brain " +
			"tough light night right find line wine sure same piano rest test best mess list missing food mood",
		"de": "Suppe Kanne Kamel Rast Rost Bohne Lappen Waage Wannen Zange Zecken zocken Möhre Taube Traube gemäht gestört scherzt schmelzen falten Lachs Gurt",
	} {
		for _, word := range strings.Fields(words) {
			p := &parser{table: tables[lang]}
			p.lex(word)
			p.identify(&p.lexer)
			if p.toks[0].typo {
				t.Errorf("%q is taken for a misspelled %q", word, p.table.words[p.toks[0].word])
			}
		}
	}
}

func TestLexer(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"1h10", "1|h|10"},
		{"don't", "don|t"},
		{"warm-up", "warm|up"},
		{"84->92", "84|->|92"},
		{"q.=60", "q|.|=|60"},
		{"1️⃣ ✅", "1|✅"},
		{"so…  what...", "so|…|what|..."},
		{"٩٦", "٩٦"},
		{"⟦kept, as it is⟧ 2", "kept, as it is|2"},
		{"⟦ not closed", "⟦|not|closed"},
		{"", ""},
		{"\xff\xfe2", "2"},
	} {
		var l lexer
		l.lex(test.text)
		var got []string
		for _, tok := range l.toks {
			got = append(got, strings.TrimSuffix(test.text[tok.start:tok.end], "️⃣"))
		}
		if strings.Join(got, "|") != test.want {
			t.Errorf("%q is cut into %q, want %q", test.text, strings.Join(got, "|"), test.want)
		}
	}
}

func TestDigitsOfAllScripts(t *testing.T) {
	for text, want := range map[string]float64{"96": 96, "９６": 96, "٩٦": 96, "९६": 96, "৯৬": 96, "๙๖": 96, "𝟗𝟔": 96} {
		var l lexer
		l.lex(text)
		if len(l.toks) != 1 || l.toks[0].num != want {
			t.Errorf("%q is read as %+v, want %v", text, l.toks, want)
		}
	}
}

func TestFold(t *testing.T) {
	for text, want := range map[string]string{"ÉTUDE": "etude", "größe": "grosse", "œuvre": "oeuvre", "niño": "nino", "e\u0301": "e", "Ａｂ": "ab"} {
		var got []byte
		for _, r := range text {
			got = fold(got, r)
		}
		if string(got) != want {
			t.Errorf("%q folds to %q, want %q", text, got, want)
		}
	}
}
