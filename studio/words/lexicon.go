package words

import (
	"embed"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"

	"github.com/go-playground/locales"
	"github.com/go-playground/locales/de"
	"github.com/go-playground/locales/en_GB"
	"github.com/go-playground/locales/es"
	"github.com/go-playground/locales/fr"
	"github.com/nicksnyder/go-i18n/v2/i18n"
	"go.yaml.in/yaml/v3"
	"golang.org/x/text/language"
)

//go:embed lang/*.yaml
var files embed.FS

// English is the language spoken to those whose own is not known.
const English = "en"

// Languages returns the languages there are, English first.
func Languages() []string { return []string{English, "de", "fr", "es"} }

// A Lexicon holds every message in every language. It may be used by any number
// of goroutines.
type Lexicon struct {
	messages map[string]map[string]*i18n.Message // by language and id
	voices   map[string]*Voice
}

// Program returns the lexicon of the program; it is made once.
func Program() *Lexicon { return program() }

var program = sync.OnceValue(New)

// New makes the lexicon of the program anew. Its files are part of the program, so
// that a fault in one is a fault of the program, and a panic.
func New() *Lexicon {
	x := &Lexicon{messages: map[string]map[string]*i18n.Message{}}
	for _, lang := range Languages() {
		name := path.Join("lang", lang+".yaml")
		data, err := files.ReadFile(name)
		if err != nil {
			panic(err)
		}
		parsed, err := i18n.ParseMessageFileBytes(data, name, map[string]i18n.UnmarshalFunc{"yaml": yaml.Unmarshal})
		if err != nil {
			panic(fmt.Sprintf("%s: %v", name, err))
		}
		x.messages[lang] = map[string]*i18n.Message{}
		for _, m := range parsed.Messages {
			x.messages[lang][m.ID] = m
		}
	}
	x.speak()
	return x
}

// speak makes the voices of the messages.
func (x *Lexicon) speak() {
	bundle := i18n.NewBundle(language.English)
	x.voices = map[string]*Voice{}
	for _, lang := range Languages() {
		for _, m := range x.messages[lang] {
			if err := bundle.AddMessages(language.Make(lang), m); err != nil {
				panic(fmt.Sprintf("message %s in %s: %v", m.ID, lang, err))
			}
		}
	}
	for _, lang := range Languages() {
		v := &Voice{
			lang: lang, messages: x.messages[lang],
			local: i18n.NewLocalizer(bundle, lang), cldr: cldr(lang),
		}
		v.meanings, v.commands = sync.OnceValue(v.readMeanings), sync.OnceValue(v.readCommands)
		x.voices[lang] = v
	}
}

// cldr returns the names of months and days and the signs of numbers. English is
// that of Britain, where the day stands before the month as in the others.
func cldr(lang string) locales.Translator {
	switch lang {
	case "de":
		return de.New()
	case "fr":
		return fr.New()
	case "es":
		return es.New()
	}
	return en_GB.New()
}

// In returns the voice of a language, such as "de" or "de-AT"; English if there
// is none.
func (x *Lexicon) In(lang string) *Voice {
	if v := x.voices[lang]; v != nil {
		return v
	}
	base, _, _ := strings.Cut(strings.ReplaceAll(lang, "_", "-"), "-")
	if v := x.voices[strings.ToLower(base)]; v != nil {
		return v
	}
	return x.voices[English]
}

// IDs returns the ids of all messages, in order.
func (x *Lexicon) IDs() []string {
	var ids []string
	for id := range x.messages[English] {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// forms returns the texts that a message has, by plural form; of a message
// without a number only "other".
func forms(m *i18n.Message) map[string]string {
	all := map[string]string{"zero": m.Zero, "one": m.One, "two": m.Two, "few": m.Few, "many": m.Many, "other": m.Other}
	for form, text := range all {
		if text == "" {
			delete(all, form)
		}
	}
	return all
}

// Texts returns every text of the language as it stands in its file, in order of
// the ids.
func (v *Voice) Texts() (texts []string) {
	for _, id := range slices.Sorted(maps.Keys(v.messages)) {
		for _, form := range []string{"one", "other"} {
			if text := forms(v.messages[id])[form]; text != "" {
				texts = append(texts, text)
			}
		}
	}
	return texts
}

// Forms returns the texts of the messages whose ids begin with one of prefixes,
// with their placeholders, by id and plural form.
func (v *Voice) Forms(prefixes ...string) map[string]map[string]string {
	all := map[string]map[string]string{}
	for id, m := range v.messages {
		if slices.ContainsFunc(prefixes, func(p string) bool { return strings.HasPrefix(id, p) }) {
			all[id] = forms(m)
		}
	}
	return all
}
