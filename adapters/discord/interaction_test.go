package discord_test

import (
	"context"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

func TestPress(t *testing.T) {
	s := newStage(t).run()
	card := s.send(s.routine())
	i := s.discord.Press(s.line, card, s.pupil, "Rest day")
	a, ok := i.Answer()
	if !ok || a.Type != 6 {
		t.Errorf("answered %+v, %v; want type 6 within three seconds", a, ok)
	}
	s.want(told{"press/" + card + "/" + i.ID, studio.Written, s.pupil.ID, "rest day", card, true})
}

// A button whose text has no room in its id, under a post of several messages,
// pressed in a channel.
func TestPressLongChoice(t *testing.T) {
	s := newStage(t)
	d := s.plain("question/1", strings.Repeat("words and words\n", 300))
	d.To = studio.Address{Platform: "discord", Channel: s.channel}
	long := strings.Repeat("2 shaky ", 20)
	d.Choices = []studio.Choice{{Label: "Clean", Text: "2 clean"}, {Label: "Shaky", Text: long}}
	first := s.send(d)
	posts := s.discord.Posts(s.channel)
	last := posts[len(posts)-1].ID
	s.newBot()
	s.run()
	i := s.discord.Press(s.channel, last, s.pupil, "Shaky")
	if a, ok := i.Answer(); !ok || a.Type != 6 {
		t.Errorf("answered %+v, %v", a, ok)
	}
	s.want(told{"press/" + last + "/" + i.ID, studio.Written, s.pupil.ID, long, first, false})
}

// While the store is slow, the person is told so in time, and her answer is
// kept all the same.
func TestPressWhileStoreIsSlow(t *testing.T) {
	s := newStage(t).run()
	card := s.send(s.routine())
	s.office.slowDown(4 * time.Second)
	a, ok := s.discord.Press(s.line, card, s.pupil, "Rest day").Answer()
	if !ok || a.Type != 4 || a.Data.Flags&64 == 0 || !strings.Contains(a.Data.Content, "longer") {
		t.Errorf("answered %+v, %v; want words that only she sees", a, ok)
	}
	if m := s.heard(1)[0]; m.Text != "rest day" {
		t.Errorf("heard %+v", m)
	}
}

func TestPressWhileStoreFails(t *testing.T) {
	s := newStage(t).run()
	card := s.send(s.routine())
	s.office.breakFor(2)
	if a, ok := s.discord.Press(s.line, card, s.pupil, "Rest day").Answer(); !ok || a.Type != 6 {
		t.Errorf("answered %+v, %v", a, ok)
	}
	s.heard(1)
}

// The answer to an interaction is tried again while there is time.
func TestAnswerFails(t *testing.T) {
	s := newStage(t).run()
	card := s.send(s.routine())
	s.discord.Fail("POST", "/callback", 2, faulty(503))
	if a, ok := s.discord.Press(s.line, card, s.pupil, "Rest day").Answer(); !ok || a.Type != 6 {
		t.Errorf("answered %+v, %v", a, ok)
	}
	s.heard(1)
}

// A few commands.
var commands = []studio.CommandSpec{
	inWords("week", "[NAME]", "the last four weeks as a calendar"),
	inWords("sign-off", "NAME LINE [TEMPO]", "sign a line off in the pass it is in"),
	inWords("progress", "[ITEM or LINE]", strings.Repeat("a picture of your tempo ", 10)),
}

// inWords returns a command that has the same words in every language.
func inWords(name, args, about string) studio.CommandSpec {
	c := studio.CommandSpec{Name: name, Args: args, In: map[string]studio.CommandWords{}}
	for _, lang := range words.Languages() {
		c.In[lang] = studio.CommandWords{Name: name, Args: args, About: about}
	}
	return c
}

// helper completes the names of some people.
type helper struct{}

func (helper) Complete(_ context.Context, who studio.Account, command, arg, partial string) (all []string) {
	if command != "sign-off" || arg != "NAME" || who.Platform != "discord" {
		return nil
	}
	for _, name := range []string{"Wim", "Willa", "Ada", strings.Repeat("x", 101)} {
		if strings.HasPrefix(strings.ToLower(name), partial) {
			all = append(all, name)
		}
	}
	return all
}

func TestSlashCommands(t *testing.T) {
	s := newStage(t)
	s.config.Commands, s.config.Completer = commands, helper{}
	s.newBot()
	s.run()
	s.until("commands are registered", func() bool { return len(s.discord.Commands()) == 3 })
	c := s.discord.Commands()[1]
	options, _ := c["options"].([]any)
	if c["name"] != "sign-off" || len(options) != 3 {
		t.Fatalf("registered %v", c)
	}
	for i, want := range []string{"name", "line", "tempo"} {
		o := options[i].(map[string]any)
		if o["name"] != want || o["required"] != (i < 2) || o["autocomplete"] != true {
			t.Errorf("option %d is %v, want %s", i, o, want)
		}
	}
	// Options come as they were typed, and are read in the command's order.
	i := s.discord.Slash(s.line, s.teacher, "sign-off", "line", "slur-atlas/1/3", "name", "Wim")
	if a, ok := i.Answer(); !ok || a.Type != 4 || a.Data.Content != "Taken: sign-off Wim slur-atlas/1/3" {
		t.Errorf("answered %+v, %v", a, ok)
	}
	s.want(told{"slash/" + i.ID, studio.Written, s.teacher.ID, "/sign-off Wim slur-atlas/1/3", "", true})

	a, ok := s.discord.Type(s.channel, s.teacher, "sign-off", "name", "name", "wi").Answer()
	var names []string
	for _, c := range a.Data.Choices {
		names = append(names, c.Value)
	}
	if !ok || a.Type != 8 || !slices.Equal(names, []string{"Wim", "Willa"}) {
		t.Errorf("completed to %q, %v", names, ok)
	}
	if a, ok := s.discord.Type(s.channel, s.teacher, "week", "name", "name", "wi").Answer(); !ok || len(a.Data.Choices) != 0 {
		t.Errorf("completed to %+v, %v; want nothing", a, ok)
	}
}

// slashName is what Discord's developer pages ("Application Commands", naming)
// allow as a name, beside small letters where the script has any.
var slashName = regexp.MustCompile(`^[-_'\p{L}\p{N}]{1,32}$`)

// TestSlashCommandsInEveryLanguage registers all commands there are and looks at
// what Discord is told in each of its locales that a language of ours is spoken
// in. The request itself is held against Discord's document.
func TestSlashCommandsInEveryLanguage(t *testing.T) {
	s := newStage(t)
	s.config.Commands = studio.Commands()
	s.newBot()
	s.run()
	s.until("commands are registered", func() bool { return len(s.discord.Commands()) == len(studio.Commands()) })
	english := words.Program().In(words.English)
	for _, locale := range []string{"de", "fr", "es-ES", "es-419"} {
		taken := map[string]bool{}
		for _, c := range s.discord.Commands() {
			name := translated(t, locale, c)
			if taken[name] {
				t.Errorf("%s: %s is taken twice", locale, name)
			}
			taken[name] = true
			if about := c["description_localizations"].(map[string]any)[locale]; about == english.Say("about-command."+c["name"].(string), nil) {
				t.Errorf("%s: %s is described in English: %s", locale, name, about)
			}
			options, own := c["options"].([]any), map[string]bool{}
			for _, o := range options {
				own[translated(t, locale, o.(map[string]any))] = true
			}
			if len(own) != len(options) {
				t.Errorf("%s: options of %s are called alike: %v", locale, name, own)
			}
		}
	}
}

// translated returns the name that a command or an option has in a locale.
func translated(t *testing.T, locale string, of map[string]any) string {
	t.Helper()
	names, _ := of["name_localizations"].(map[string]any)
	abouts, _ := of["description_localizations"].(map[string]any)
	name, _ := names[locale].(string)
	about, _ := abouts[locale].(string)
	if !slashName.MatchString(name) || name != strings.ToLower(name) || about == "" || len([]rune(about)) > 100 {
		t.Errorf("%s: %v is called %q: %q", locale, of["name"], name, about)
	}
	return name
}
