package studio

import (
	"slices"
	"strings"

	"ledgerline/routine"
	"ledgerline/routine/reply"
)

// guardianWrites takes a guardian's words that are no command. What she says of
// pain or illness, and what she asks, goes on to the teachers; what was played is
// taken from her wards alone.
func (t *turn) guardianWrites() (Verdict, error) {
	wards, err := t.wards()
	if err != nil {
		return "", err
	}
	var pain, matters bool
	for _, rd := range t.reader.Read(t.text, reply.Context{Today: t.Service.today(&t.who), Lang: t.who.Lang}) {
		pain = pain || rd.Pain || slices.ContainsFunc(rd.Ask, func(q reply.Question) bool { return q.About == "pain" })
		matters = matters || pain || rd.Question != "" || rd.Kind == reply.Asked || rd.Excused == routine.Ill
	}
	if !matters || wards == "" {
		said := t.voice.Say("not-understood", nil)
		if wards != "" {
			said = joinLines(said, t.voice.Say("guardian.wards-tell", with{"wards": wards}))
		}
		return Chatter, t.answer(AnswerPost, said)
	}
	err = t.tellTeachers(t.tx, t.studio.ID, func(v *voice) (Post, error) {
		return Post{
			Key: t.key("guardian"), Kind: AlertPost, Member: t.who.ID,
			Title: v.Say("guardian.writes", with{"name": t.who.Name, "wards": wards}),
			Text:  v.Say("quoted", with{"words": t.text}),
			Foot:  v.Say("asks.foot", with{"name": t.who.Name}),
		}, nil
	})
	if err != nil {
		return "", err
	}
	said := t.voice.Say("guardian.passed-on", nil)
	if pain {
		said = joinLines(said, t.voice.Say("caution", nil)+" "+t.voice.Say("guardian.pain", with{"wards": wards}))
	}
	return PassOn, t.answer(AnswerPost, said)
}

// wards lists the names of the author's wards.
func (t *turn) wards() (string, error) {
	var names []string
	for _, id := range t.who.Wards {
		m, err := t.tx.Member(id)
		if isNotFound(err) {
			continue
		}
		if err != nil {
			return "", err
		}
		names = append(names, m.Name)
	}
	return strings.Join(names, ", "), nil
}
