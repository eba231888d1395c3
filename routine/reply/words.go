package reply

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"unicode/utf8"
)

// languageFiles hold the words. Their format is told at the top of en.txt.
//
//go:embed lang/*.txt lang/ordinary/*.txt
var languageFiles embed.FS

// always is the language that every member is understood in.
const always = "en"

// A wordID numbers the words of a table from 1; 0 is an unknown word.
type wordID uint16

// A table holds the words and phrases of one language together with English.
// Phrases are a tree: each node has a branch for each word that can follow, and
// the sense of the phrase that ends there.
type table struct {
	ids   map[string]wordID
	words []string            // by wordID
	exact map[wordID]bool     // words that are misspelled themselves
	near  map[string][]wordID // words by what is left of them without one letter
	forms map[wordID]wordID   // the word that another spelling stands for
	next  map[branch]int32    // the tree; node 0 is its root
	ends  []meaning           // by node; unknown where no phrase ends
	typed []typed             // while the files are loaded
	gaps  []int32             // by node: where a phrase goes on that has its items between, "left … out", or 0
	own   wordID              // the first word that is not English
	adds  map[string]bool     // what says beside minutes that they add to those before, folded
	mine  map[string]bool     // verbs that say by their form that it was the player, folded

	dayMonth bool // dates are written day before month
}

// A branch leads from a node of the tree by a word.
type branch struct {
	node int32
	word wordID
}

// minTypo is the length, in letters, of the shortest word that is recognized
// with a typing error, and maxTypo of the longest.
const (
	minTypo = 4
	maxTypo = 24
)

// loadTables makes a table for each file of fsys.
func loadTables(fsys fs.FS) (map[string]*table, error) {
	files, err := fs.Glob(fsys, "lang/*.txt")
	if err != nil {
		return nil, err
	}
	tables := map[string]*table{}
	for _, file := range files {
		lang := strings.TrimSuffix(path.Base(file), ".txt")
		t := &table{
			ids: map[string]wordID{}, words: []string{""}, exact: map[wordID]bool{}, near: map[string][]wordID{}, forms: map[wordID]wordID{},
			adds: map[string]bool{}, mine: map[string]bool{}, next: map[branch]int32{}, ends: []meaning{{}},
		}
		// The member's own language comes last, for the later sense counts.
		for _, name := range slices.Compact([]string{"lang/" + always + ".txt", file}) {
			text, err := fs.ReadFile(fsys, name)
			if err != nil {
				return nil, fmt.Errorf("words of language %q: %w", lang, err)
			}
			t.own = wordID(len(t.words))
			if err := t.load(string(text)); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			if err := t.loadOrdinary(fsys, path.Join("lang/ordinary", path.Base(name))); err != nil {
				return nil, err
			}
		}
		t.addTyped()
		t.indexTypos()
		t.gaps = make([]int32, len(t.ends))
		for from, to := range t.next {
			if from.word == t.ids[string(ellipsis)] {
				t.gaps[from.node] = to
			}
		}
		tables[lang] = t
	}
	return tables, nil
}

// load adds the lines of a language file. A phrase may have only one meaning in
// a file.
func (t *table) load(text string) error {
	seen := map[int32]bool{}
	for i, line := range strings.Split(text, "\n") {
		if err := t.loadLine(strings.TrimSpace(line), seen); err != nil {
			return fmt.Errorf("line %d: %w", i+1, err)
		}
	}
	return nil
}

// loadLine adds a line of a language file, of which seen holds the phrases so far.
func (t *table) loadLine(line string, seen map[int32]bool) error {
	switch {
	case line == "" || strings.HasPrefix(line, "# ") || line == "#":
		return nil
	case line == "date order: day month":
		t.dayMonth = true
		return nil
	}
	name, phrases, ok := strings.Cut(line, ": ")
	if !ok {
		return errors.New("no colon; write sense: phrase, phrase")
	}
	if word, ok := strings.CutPrefix(name, "spelled "); ok {
		return t.spell(word, phrases)
	}
	var set map[string]bool
	switch name {
	case "further":
		set = t.adds
	case "first person":
		set = t.mine
	}
	if set != nil {
		for _, phrase := range strings.Split(phrases, ",") {
			set[foldAll(strings.TrimSpace(phrase))] = true
		}
		return nil
	}
	name, misspelled := strings.CutPrefix(name, "misspelled ")
	name, counted := strings.CutPrefix(name, "numbers ")
	if counted {
		name = "number " + name
	}
	m, err := meaningOf(name)
	if err != nil {
		return err
	}
	for _, phrase := range strings.Split(phrases, ",") {
		first := len(t.words)
		if err := t.loadPhrase(phrase, m, seen); err != nil {
			return err
		}
		for ; misspelled && first < len(t.words); first++ {
			t.exact[wordID(first)] = true
		}
		if counted {
			m.val++
		}
	}
	return nil
}

// loadPhrase adds a phrase of a language file.
func (t *table) loadPhrase(phrase string, m meaning, seen map[int32]bool) error {
	switch {
	case m.sense == plainSense && t.knows(phrase):
		return nil
	case m.sense == moodSense:
		t.addMood(phrase, mood(m.val)+1)
		return nil
	}
	node, err := t.add(phrase, m)
	if err != nil {
		return err
	}
	if seen[node] {
		return fmt.Errorf("%q is in the file twice; take one out", strings.TrimSpace(phrase))
	}
	seen[node] = true
	return nil
}

// loadOrdinary adds the words of a file, if there is one, that mean nothing here, so
// that they are not taken for misspellings.
func (t *table) loadOrdinary(fsys fs.FS, file string) error {
	text, err := fs.ReadFile(fsys, file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("ordinary words: %w", err)
	}
	var l lexer
	for _, line := range strings.Split(string(text), "\n") {
		if !strings.HasPrefix(line, "#") {
			l.lex(line)
		}
	}
	for i := range l.toks {
		first := len(t.words)
		if id := t.id(l.folded(i)); int(id) == first {
			t.exact[id] = true
		}
	}
	return nil
}

// meaningOf reads a sense and its value, the last word, if it has one.
func meaningOf(name string) (meaning, error) {
	m, err := parseMeaning(name, "")
	if i := strings.LastIndexByte(name, ' '); err != nil && i > 0 {
		return parseMeaning(name[:i], name[i+1:])
	}
	return m, err
}

// add gives a phrase a meaning, with its accents and without, and returns the
// node it ends at.
func (t *table) add(phrase string, m meaning) (int32, error) {
	var l lexer
	l.lex(phrase)
	if len(l.toks) == 0 {
		return 0, fmt.Errorf("an empty phrase; write one word at least between commas")
	}
	accented := false
	for _, tok := range l.toks {
		if tok.kind == numberToken {
			return 0, fmt.Errorf("phrase %q has a number in it; numbers are read by their value", phrase)
		}
		accented = accented || tok.lower != span{}
	}
	exact := t.node(&l, l.exact)
	m.mood = t.ends[exact].mood
	t.ends[exact] = m
	if joined := strings.ReplaceAll(phrase, "'", ""); joined != phrase {
		t.typed = append(t.typed, typed{joined, m})
	}
	if accented {
		t.typed = append(t.typed, typed{phrase, m}, typed{umlauts.Replace(phrase), m})
	}
	return exact, nil
}

// spell lets a word be written otherwise, as dialects do or thumbs in haste: wherever it
// stands in a phrase, the other forms may.
func (t *table) spell(word, forms string) error {
	var w lexer
	if w.lex(word); len(w.toks) != 1 {
		return fmt.Errorf("%q is not one word; write spelled WORD: form, form", word)
	}
	exact, folded := t.id(w.exact(0)), t.id(w.folded(0))
	for _, form := range strings.Split(forms, ",") {
		form = strings.TrimSpace(form)
		var l lexer
		if l.lex(form); len(l.toks) != 1 {
			return fmt.Errorf("%q is not one word; write a word between commas", form)
		}
		for _, to := range []struct {
			text string
			id   wordID
		}{{l.exact(0), exact}, {l.folded(0), folded}, {umlauts.Replace(l.exact(0)), folded}} {
			if id, ok := t.ids[to.text]; ok && id != exact && id != folded {
				return fmt.Errorf("%q is a word of its own and can't be %q too", form, word)
			} else if !ok {
				t.ids[to.text] = to.id
				if len(to.text) >= minTypo+2 { // one letter more makes other words of short dialect ones
					t.forms[wordID(len(t.words))] = to.id
					t.words = append(t.words, to.text)
				}
			}
		}
	}
	return nil
}

// addMood notes that a phrase tells how one feels when it is said of the body. Any
// other sense that it has stays.
func (t *table) addMood(phrase string, m mood) {
	var l lexer
	l.lex(phrase)
	for _, word := range []func(int) string{l.exact, l.folded} {
		node := t.node(&l, word)
		end := &t.ends[node]
		end.mood = m
		if end.sense == unknown {
			end.sense = plainSense
		}
	}
}

// A typed phrase is how people type a phrase in haste: without apostrophes and
// accents. It counts unless it is a phrase of its own: "ill" is not "i'll".
type typed struct {
	phrase string
	m      meaning
}

// umlauts are written with an e where a keyboard has none.
var umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue")

// addTyped adds the phrases as they are typed in haste.
func (t *table) addTyped() {
	for _, typed := range t.typed {
		var l lexer
		l.lex(typed.phrase)
		node := t.node(&l, l.folded)
		if end := t.ends[node]; node != 0 && (end.sense == unknown || end.sense == plainSense && end.mood != 0) {
			typed.m.mood = end.mood
			t.ends[node] = typed.m
		}
	}
	t.typed = nil
}

// node returns the node that a phrase ends at, of whose words word returns one or another
// form.
func (t *table) node(l *lexer, word func(int) string) (node int32) {
	for i := range l.toks {
		node = t.branch(node, word(i))
	}
	return node
}

// branch returns the node that a word leads to, a new one if there is none.
func (t *table) branch(node int32, word string) int32 {
	b := branch{node, t.id(word)}
	to, ok := t.next[b]
	if !ok {
		to = int32(len(t.ends))
		t.ends = append(t.ends, meaning{})
		t.next[b] = to
	}
	return to
}

// knows reports whether a phrase has a meaning, with its accents or without.
func (t *table) knows(phrase string) bool {
	var l lexer
	l.lex(phrase)
	for _, word := range []func(int) string{l.exact, l.folded} {
		node, ok := int32(0), true
		for i := 0; ok && i < len(l.toks); i++ {
			node, ok = t.next[branch{node, t.ids[word(i)]}]
		}
		if ok && t.ends[node].sense != unknown {
			return true
		}
	}
	return false
}

// id returns the number of a word, a new one for a new word.
func (t *table) id(word string) wordID {
	id, ok := t.ids[word]
	if !ok {
		id = wordID(len(t.words))
		t.ids[word] = id
		t.words = append(t.words, word)
	}
	return id
}

// indexTypos files every word that may be misspelled under what is left of it
// when any one letter is taken away, and under itself.
func (t *table) indexTypos() {
	for i, word := range t.words {
		id := wordID(i)
		if n := utf8.RuneCountInString(word); n < minTypo || n > maxTypo || !ascii(word) || t.exact[id] {
			continue
		}
		t.near[word] = append(t.near[word], id)
		for i := range word {
			left := word[:i] + word[i+1:]
			t.near[left] = append(t.near[left], id)
		}
	}
}

// ascii reports whether a folded word has only plain letters. The words of the
// languages here do; typing errors in others are not looked for.
func ascii(word string) bool {
	return !strings.ContainsFunc(word, func(r rune) bool { return r < 'a' || r > 'z' })
}

// find looks a folded word up, first as it is, then drawn out, then with one typing
// error.
func (t *table) find(word []byte) (id wordID, typo bool) {
	if id, ok := t.ids[string(word)]; ok {
		return id, false
	}
	if id := t.drawn(word); id != 0 {
		return id, false
	}
	id = t.closest(word)
	return id, id != 0
}

// drawn returns the word that has two letters or one where this has three and more,
// "goooood", "limpiaaa", or 0.
func (t *table) drawn(word []byte) wordID {
	if !hasRun(word) {
		return 0
	}
	for keep := 2; keep > 0; keep-- {
		short := make([]byte, 0, maxTypo)
		for i, n := 0, 0; i < len(word); i += n {
			for n = 1; i+n < len(word) && word[i+n] == word[i]; n++ {
			}
			if n > 2 {
				short = append(short, word[i:i+keep]...)
			} else {
				short = append(short, word[i:i+n]...)
			}
		}
		if id := t.ids[string(short)]; id != 0 && len(short) > 1 {
			return id
		}
	}
	return 0
}

// hasRun reports whether a word has a letter three times in a row.
func hasRun(word []byte) bool {
	for i := 2; i < len(word); i++ {
		if word[i] == word[i-1] && word[i] == word[i-2] {
			return true
		}
	}
	return false
}

// closest returns the word that is one typing error away, or 0. Of several it
// takes the likeliest kind of error, then a word of the member's own language, then the
// first in the files.
func (t *table) closest(word []byte) wordID {
	if len(word) < minTypo-1 || len(word) > maxTypo {
		return 0
	}
	left := make([]byte, 0, maxTypo)
	best, id := noEdit, wordID(0)
	try := func(form []byte) {
		for _, c := range t.near[string(form)] {
			e := editBetween(word, t.words[c])
			if own := c >= t.own; e < best || e == best && (own && id < t.own || own == (id >= t.own) && c < id) {
				best, id = e, c
			}
		}
	}
	try(word)
	for i := range word {
		try(append(append(left, word[:i]...), word[i+1:]...))
	}
	if best == noEdit {
		return 0
	}
	if word, ok := t.forms[id]; ok {
		return word
	}
	return id
}

// An edit is a kind of typing error, the likeliest first.
type edit uint8

const (
	swapEdit    edit = iota // two neighbours changed places
	dropEdit                // a letter is missing
	extraEdit               // there is a letter too many
	replaceEdit             // a letter is another
	noEdit                  // more than one error
)

// editBetween says which one error makes want into got. People seldom err in the
// first letter, and a word with another one is most often another word.
func editBetween(got []byte, want string) edit {
	i := 0
	for i < len(got) && i < len(want) && got[i] == want[i] {
		i++
	}
	rest, wrest := got[i:], want[i:]
	same := func(a []byte, b string) bool { return string(a) == b }
	switch {
	case len(rest) > 1 && len(wrest) > 1 && rest[0] == wrest[1] && rest[1] == wrest[0] && same(rest[2:], wrest[2:]):
		return swapEdit
	case i == 0:
		return noEdit
	case len(wrest) > 0 && same(rest, wrest[1:]):
		return dropEdit
	case len(rest) > 0 && same(rest[1:], wrest):
		return extraEdit
	case len(rest) > 0 && len(wrest) > 0 && same(rest[1:], wrest[1:]):
		return replaceEdit
	}
	return noEdit
}
