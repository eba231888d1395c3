package studio

import (
	"strings"

	"ledgerline/routine"
	"ledgerline/streaks"
)

// needsConsent reports whether a guardian's consent must be recorded before
// anything of the member is logged.
func (st *Studio) needsConsent(m *Member) bool {
	for _, band := range st.ConsentUnder {
		if m.Age == band {
			return true
		}
	}
	return false
}

// mayLog reports whether what the member reports may be logged.
func (st *Studio) mayLog(m *Member) bool { return m.consented() || !st.needsConsent(m) }

// consented reports whether consent was recorded and not taken back since.
func (m *Member) consented() bool { return m.Consent != 0 && m.Withdrawn == 0 }

// agreed records consent from a date on. What was kept before it was once taken
// back counts again; the days in between ask for nothing.
func (m *Member) agreed(on routine.Date) {
	if m.Consent == 0 {
		m.Consent = on
	}
	if m.Withdrawn != 0 && m.Withdrawn < on {
		m.Pauses = append(m.Pauses, streaks.Pause{From: m.Withdrawn, To: on - 1, Excuse: routine.NoRoutine})
	}
	m.Withdrawn = 0
}

func (t *turn) consent(args []string) (Post, error) {
	m, rest, err := t.named(args)
	if err != nil {
		return Post{}, err
	}
	rest = t.voice.Understand(rest, t.Service.today(&m))
	switch {
	case !t.may(&m):
		return Post{}, usage("wrong.consent-not-yours", nil)
	case len(rest) == 1 && strings.EqualFold(rest[0], "no"):
		return t.consentBack(&m)
	case len(rest) > 0:
		return Post{}, usage("wrong.consent", with{"name": m.Name})
	case m.consented():
		return t.answered("consent.already", with{"name": m.Name, "date": t.voice.Date(m.Consent)})
	}
	m.agreed(t.Service.today(&m))
	if err := t.consentChanged(&m, "given"); err != nil {
		return Post{}, err
	}
	return t.done(t.catchUp(t.tx, &t.studio, &m), "consent.recorded", with{"name": m.Name})
}

func (t *turn) consentBack(m *Member) (Post, error) {
	switch {
	case !t.studio.needsConsent(m):
		return Post{}, usage("wrong.consent-needless", with{"name": m.Name})
	case m.consented():
		m.Withdrawn = t.Service.today(m)
		if err := t.consentChanged(m, "withdrawn"); err != nil {
			return Post{}, err
		}
	}
	return t.answered("consent.taken-back", with{"name": m.Name})
}

// consentChanged keeps a student whose consent is another now, and tells the
// teachers what her guardian decided.
func (t *turn) consentChanged(m *Member, what string) error {
	if err := t.save(m); err != nil {
		return err
	}
	if _, err := t.settle(t.tx, &t.studio, m, m.Consent); err != nil || t.who.Role == Teacher {
		return err
	}
	return t.tellTeachers(t.tx, t.studio.ID, func(v *voice) (Post, error) {
		text := v.Say("consent."+what, with{"guardian": t.who.Name, "name": m.Name})
		return Post{Key: t.key("consent"), Kind: AlertPost, Member: m.ID, Text: text}, nil
	})
}
