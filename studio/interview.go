package studio

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgerline/routine"
	"ledgerline/streaks"
	"ledgerline/studio/words"
)

// An interview is the five questions that a student is asked when she joins, one
// after the other: her language, where she is, her days off, her minutes and
// the hour of her routine. Nothing waits for the answers: until she gives one,
// what her studio's file says holds, and what does not read as an answer is
// read as anything else she writes.
type interview struct {
	Step  int       `json:"step"`
	Asked time.Time `json:"asked"`
	Key   Key       `json:"key"` // of the post that asked
}

// interviewLasts is how long words that are no reply to the question itself are
// taken as its answer.
const interviewLasts = time.Hour

// A topic is what one question of the interview is about.
type topic struct {
	name    string
	choices func(t *turn) []Choice
	// take sets what the words say, and reports whether they say anything.
	take func(t *turn, text string) (ok bool, err error)
}

func topics() []topic {
	return []topic{
		{"language", languageChoices, (*turn).takeLanguage},
		{"zone", zoneChoices, (*turn).takeZone},
		{"off", offChoices, (*turn).takeOff},
		{"minutes", minutesChoices, (*turn).takeMinutes},
		{"hour", hourChoices, (*turn).takeHour},
	}
}

func interviewMark(m MemberID) string { return "interview/" + string(m) }

// setup begins the interview anew.
func (t *turn) setup([]string) (Post, error) { return t.question(0) }

// question returns the post of one step and notes that it was asked.
func (t *turn) question(step int) (Post, error) {
	about := topics()[step]
	p := Post{
		Kind: QuestionPost, Key: t.key("interview"),
		Title:   t.voice.Say("interview.title", with{"number": step + 1, "all": len(topics())}),
		Text:    t.voice.Say("interview."+about.name, with{"now": t.settled(about.name)}),
		Choices: append(about.choices(t), Choice{Label: t.voice.Say("interview.skip", nil), Text: t.voice.Say("interview.skip", nil)}),
	}
	note, err := json.Marshal(interview{Step: step, Asked: t.msg.At, Key: p.Key})
	if err != nil {
		return Post{}, err
	}
	return p, t.tx.PutMark(interviewMark(t.who.ID), string(note))
}

// settled says how a thing is set now.
func (t *turn) settled(about string) string {
	switch about {
	case "language":
		return t.voice.Say("language", nil)
	case "zone":
		return t.who.Zone
	case "off":
		return weekdayWords(t.voice, t.offNow())
	case "minutes":
		return t.voice.Say("minutes", with{"minutes": t.who.Player.Minutes})
	}
	return t.hourNow()
}

func (t *turn) offNow() routine.Weekday {
	return (&streaks.Calendar{Off: t.who.Off}).OffOn(t.Service.today(&t.who))
}

// hourNow says when her routine comes next, by her clock.
func (t *turn) hourNow() string {
	at, _, ok := nextAt(t.specOf(&t.studio, &t.who, DueRoutine), t.now(), t.who.Location())
	if !ok {
		return "–"
	}
	return at.In(t.who.Location()).Format("15:04")
}

// answerInterview takes the message as the answer to the question that the
// interview is at, if it reads as one.
func (t *turn) answerInterview() (v Verdict, answered bool, err error) {
	if !t.msg.Private {
		return "", false, nil
	}
	at, open, err := t.interviewOpen()
	if err != nil || !open {
		return "", false, err
	}
	if !strings.EqualFold(t.text, "skip") && t.text != t.voice.Say("interview.skip", nil) {
		ok, err := topics()[at.Step].take(t, t.text)
		if err != nil || !ok {
			return "", false, err
		}
	}
	t.voice = t.Service.voice(&t.who)
	if at.Step+1 < len(topics()) {
		p, err := t.question(at.Step + 1)
		if err != nil {
			return "", false, err
		}
		return Obeyed, true, t.say(p)
	}
	return Obeyed, true, t.endInterview()
}

// interviewOpen returns the question that waits for an answer: the one that the
// message replies to, or the last one if it was asked a short while ago.
func (t *turn) interviewOpen() (at interview, open bool, err error) {
	note, err := t.tx.Mark(interviewMark(t.who.ID))
	if isNotFound(err) || err == nil && note == "" {
		return at, false, nil
	}
	if err != nil {
		return at, false, err
	}
	if err := json.Unmarshal([]byte(note), &at); err != nil {
		return at, false, fmt.Errorf("reading how far the interview of %s is: %w", t.who.ID, err)
	}
	if t.msg.ReplyTo == "" {
		return at, t.msg.At.Sub(at.Asked) <= interviewLasts, nil
	}
	post, err := t.repliedTo()
	return at, post != nil && post.Key == at.Key, err
}

// endInterview says back what was set, to her and to the teachers.
func (t *turn) endInterview() error {
	if err := t.tx.PutMark(interviewMark(t.who.ID), ""); err != nil {
		return err
	}
	said := func(v *voice) string {
		own := *t
		own.voice = v
		return v.Say("interview.set", with{
			"language": t.voice.Say("language", nil), "zone": t.who.Zone, "days": own.settled("off"),
			"minutes": own.settled("minutes"), "hour": own.settled("hour"),
		})
	}
	if err := t.answer(AnswerPost, t.voice.Say("interview.thanks", nil)+"\n"+said(t.voice)); err != nil {
		return err
	}
	return t.tellTeachers(t.tx, t.studio.ID, func(v *voice) (Post, error) {
		return Post{
			Key: t.key("joined"), Kind: AnswerPost, Member: t.who.ID,
			Title: v.Say("interview.joined", with{"name": t.who.Name}), Text: said(v),
		}, nil
	})
}

func languageChoices(t *turn) (choices []Choice) {
	for _, lang := range words.Languages() {
		name := t.lexicon(t.studio.ID).In(lang).Say("language", nil)
		choices = append(choices, Choice{Label: name, Text: name})
	}
	return choices
}

func (t *turn) takeLanguage(text string) (bool, error) {
	for _, lang := range words.Languages() {
		if strings.EqualFold(text, lang) || strings.EqualFold(text, t.lexicon(t.studio.ID).In(lang).Say("language", nil)) {
			t.who.Lang = lang
			return true, t.save(&t.who)
		}
	}
	return false, nil
}

func zoneChoices(t *turn) []Choice {
	choices := []Choice{{Label: t.studio.Zone, Text: t.studio.Zone}}
	if t.who.Zone != t.studio.Zone {
		choices = append(choices, Choice{Label: t.who.Zone, Text: t.who.Zone})
	}
	return choices
}

// continents are the parts of IANA names under which a city is looked for.
var continents = []string{"", "Europe/", "America/", "Asia/", "Africa/", "Australia/", "Atlantic/", "Pacific/"}

// zoneNamed finds a zone by its IANA name or that of its city.
func zoneNamed(text string) (zone string, ok bool) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '_' })
	city := strings.Join(parts, "_")
	if city == "" || strings.EqualFold(city, "local") || len(city) < 3 {
		return "", false
	}
	for i, part := range parts {
		parts[i] = words.Capital(part)
	}
	titled := strings.Join(parts, "_")
	for _, name := range []string{city, titled} {
		for _, continent := range continents {
			if _, err := time.LoadLocation(continent + name); err == nil {
				return continent + name, true
			}
		}
	}
	return "", false
}

func (t *turn) takeZone(text string) (bool, error) {
	zone, ok := zoneNamed(text)
	if !ok || zone == t.who.Zone {
		return ok, nil
	}
	return true, t.movedTo(t.tx, &t.studio, &t.who, zone)
}

func offChoices(t *turn) []Choice {
	label := func(set routine.Weekday) Choice {
		return Choice{Label: words.Capital(weekdayWords(t.voice, set)), Text: weekdayWords(t.voice, set)}
	}
	return []Choice{label(0), label(1 << time.Sunday), label(1<<time.Saturday | 1<<time.Sunday)}
}

func (t *turn) takeOff(text string) (bool, error) {
	set, err := weekdays(t.voice, text)
	if err != nil {
		return false, nil // no answer: it may be anything else
	}
	return true, t.setOff(&t.who, set)
}

func minutesChoices(t *turn) (choices []Choice) {
	for _, n := range []int{20, 30, 45, 60} {
		choices = append(choices, Choice{Label: t.voice.Say("minutes", with{"minutes": n}), Text: strconv.Itoa(n)})
	}
	return choices
}

func (t *turn) takeMinutes(text string) (bool, error) {
	n, ok := dayMinutes(strings.Fields(strings.TrimSuffix(strings.TrimSpace(text), "min")))
	if !ok {
		return false, nil
	}
	t.who.Player.Minutes = n
	return true, t.save(&t.who)
}

func hourChoices(*turn) (choices []Choice) {
	for _, hour := range []string{"7:00", "12:00", "16:00", "18:00"} {
		choices = append(choices, Choice{Label: hour, Text: hour})
	}
	return choices
}

// takeHour has her routine come at an hour of every day. If that has gone by
// today, today's comes at once; one that came already stays.
func (t *turn) takeHour(text string) (bool, error) {
	hour, minute, ok := clockTime(text)
	if !ok {
		return false, nil
	}
	t.who.PostAt = fmt.Sprintf("%d %d * * *", minute, hour)
	if err := t.save(&t.who); err != nil {
		return false, err
	}
	_, err := t.tx.Routine(t.who.ID, t.Service.today(&t.who))
	if !isNotFound(err) {
		return true, err
	}
	return true, t.catchUp(t.tx, &t.studio, &t.who)
}

// clockTime reads a time of day: "7", "7:30", "7.30", "7h30", "19 Uhr".
func clockTime(text string) (hour, minute int, ok bool) {
	low := strings.ToLower(strings.TrimSpace(text))
	for _, unit := range []string{"uhr", "h", "o'clock"} {
		low = strings.TrimSpace(strings.TrimSuffix(low, unit))
	}
	parts := strings.FieldsFunc(low, func(r rune) bool { return slices.Contains([]rune(":.h "), r) })
	if len(parts) < 1 || len(parts) > 2 {
		return 0, 0, false
	}
	hour, err := strconv.Atoi(parts[0])
	if len(parts) == 2 && err == nil {
		minute, err = strconv.Atoi(parts[1])
	}
	return hour, minute, err == nil && hour >= 0 && hour < 24 && minute >= 0 && minute < 60
}
