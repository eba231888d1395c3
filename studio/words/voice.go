package words

import (
	"strings"

	"github.com/go-playground/locales"
	"github.com/nicksnyder/go-i18n/v2/i18n"
)

// With names the values of a message's placeholders: strings and Stringers as
// they are, numbers, dates, tempi and words of the trade in the language spoken,
// and phrases, said.
type With map[string]any

// A Phrase is something to be said, in no language yet.
type Phrase struct {
	ID   string
	With With
}

// Plain returns a phrase that is the same in every language: what another program
// says of itself, and what is said on the terminal.
func Plain(text string) Phrase { return Phrase{ID: text} }

// String returns the phrase in English, for the log and for errors.
func (p Phrase) String() string { return Program().In(English).Phrase(p) }

// A Voice says messages in one language.
type Voice struct {
	lang     string
	messages map[string]*i18n.Message // by id
	local    *i18n.Localizer
	cldr     locales.Translator

	// Made when they are first asked for.
	meanings func() map[string]string // what words mean to commands, by the words, folded
	commands func() map[string]bool   // names of commands, folded
}

// Lang returns the language spoken: en, de, fr or es.
func (v *Voice) Lang() string { return v.lang }

// Say returns a message. One that there is not is its id, so that no post is
// lost by it; the tests see to it that there is none.
func (v *Voice) Say(id string, with With) string {
	return v.say(&i18n.LocalizeConfig{MessageID: id, TemplateData: filling{v, with}})
}

// Count returns a message in the plural form of n, which is its placeholder
// {n}.
func (v *Voice) Count(id string, n int, with With) string {
	all := With{"n": n}
	for name, value := range with {
		all[name] = value
	}
	return v.say(&i18n.LocalizeConfig{MessageID: id, PluralCount: n, TemplateData: filling{v, all}})
}

// Phrase says a phrase. If it has a number "n", its plural form is that of n.
func (v *Voice) Phrase(p Phrase) string {
	if n, ok := p.With["n"].(int); ok {
		return v.Count(p.ID, n, p.With)
	}
	return v.Say(p.ID, p.With)
}

// Apart joins things that may have commas in them.
func (v *Voice) Apart(things []string) string { return strings.Join(things, v.Say("list.apart", nil)) }

func (v *Voice) say(c *i18n.LocalizeConfig) string {
	c.TemplateParser = braces{}
	text, err := v.local.Localize(c)
	if err != nil && text == "" {
		return c.MessageID
	}
	return text
}
