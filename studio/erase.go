package studio

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Erase removes a member and all that is kept of her: her log and what was
// derived from it, what she wrote, what was said to her and about her, and what
// the commands of others say of her. Where a post or a command is also about
// others, only the lines and pictures that name her go. What other students
// wrote in their own replies stays theirs. Backups keep what they have until they
// are removed in their turn.
//
// A teacher can't be erased: what she signed off is part of her students' log.
// Whoever was erased does not come back with the files of the studio; she must be
// given another id.
func (s *Service) Erase(ctx context.Context, id MemberID) error {
	s.working.Lock()
	defer s.working.Unlock()
	err := s.store.Update(ctx, func(tx Tx) error {
		m, err := tx.Member(id)
		if err != nil {
			return err
		}
		if err := tx.Claim(m.Studio); err != nil {
			return err
		}
		return s.erase(tx, &m)
	})
	if err != nil {
		return fmt.Errorf("erasing member %s: %w", id, err)
	}
	return s.scrub(ctx)
}

// scrub has the store see to it that nothing of what was erased is left.
func (s *Service) scrub(ctx context.Context) error {
	s.toScrub.Store(false)
	return s.store.Scrub(ctx)
}

func (s *Service) erase(tx Tx, m *Member) error {
	if m.Role == Teacher {
		return usage("wrong.erase-teacher", nil)
	}
	members, err := tx.Members(m.Studio)
	if err != nil {
		return err
	}
	st, err := tx.Studio(m.Studio)
	if err != nil {
		return err
	}
	e := eraser{Service: s, tx: tx, member: m, voice: s.studioVoice(&st), names: []string{m.Name, string(m.ID)}}
	for _, a := range m.Accounts {
		shared, err := tx.MembersWith(a)
		if err != nil {
			return err
		}
		if len(shared) == 1 {
			e.names = append(e.names, a.ID)
		}
	}
	err = errors.Join(tx.RemoveMember(m.ID), e.messages(), e.posts(), e.commandsOf(members), e.wards(members), e.thread(), e.challenges(), e.deeds(), e.marks())
	if err != nil {
		return err
	}
	s.toScrub.Store(true)
	return tx.PutMark(erasedMark(m.ID), "")
}

// erasedMark is the name under which the store remembers that a member was
// erased, and no longer who.
func erasedMark(id MemberID) string {
	sum := sha256.Sum256([]byte(id))
	return "erased/" + hex.EncodeToString(sum[:])
}

// An eraser erases one member.
type eraser struct {
	*Service
	tx     Tx
	member *Member
	voice  *voice
	names  []string // by which she is known: her name, her id, accounts that are hers alone
}

// messages removes what she wrote. On an account that others of her family have
// too, that is what begins with her name.
func (e *eraser) messages() error {
	for _, a := range e.member.Accounts {
		alone := slices.Contains(e.names, a.ID)
		err := e.eachMessage(a, func(m *Stored) error {
			name, _, _ := strings.Cut(m.Text, ":")
			if alone || strings.EqualFold(strings.TrimSpace(name), e.member.Name) {
				return e.tx.RemoveMessage(m.Inbox)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

const eraseBatch = 500

func (e *eraser) eachMessage(a Account, do func(*Stored) error) error {
	return eachMessage(e.tx, a, do)
}

// eachMessage does something with every message of an account.
func eachMessage(tx Tx, a Account, do func(*Stored) error) error {
	for after := int64(0); ; {
		batch, err := tx.MessagesBy(a, after, eraseBatch)
		if err != nil || len(batch) == 0 {
			return err
		}
		for i := range batch {
			if err := do(&batch[i]); err != nil {
				return err
			}
		}
		after = batch[len(batch)-1].Inbox
	}
}

// eachPost does something with every post of a studio.
func eachPost(tx Tx, id StudioID, do func(*Queued) error) error {
	for after := int64(0); ; {
		batch, err := tx.PostsIn(id, after, eraseBatch)
		if err != nil || len(batch) == 0 {
			return err
		}
		for i := range batch {
			if err := do(&batch[i]); err != nil {
				return err
			}
		}
		after = batch[len(batch)-1].Outbox
	}
}

// posts takes her out of what was said to others, and is still to be said.
func (e *eraser) posts() error {
	return eachPost(e.tx, e.member.Studio, func(q *Queued) error {
		where, err := json.Marshal([]any{q.Key, q.To, q.ReplyTo, q.PlatformID})
		if err != nil {
			return err
		}
		if e.named(string(where)) {
			return e.tx.RemovePost(q.Outbox)
		}
		all, err := json.Marshal(q.Post)
		if err != nil || !e.named(string(all)) {
			return err
		}
		return e.tx.RewordPost(q.Outbox, e.without(q.Post))
	})
}

// without returns a post without the lines, items and pictures that name her, or
// without anything if its title does.
func (e *eraser) without(p Post) Post {
	erased := Post{Key: p.Key, Kind: p.Kind, Studio: p.Studio, Member: p.Member, To: p.To, Text: e.voice.Say("erase.erased", nil)}
	if e.named(p.Title) {
		return erased
	}
	p.Text, p.Foot = e.unnamed(p.Text), e.unnamed(p.Foot)
	p.Items = slices.DeleteFunc(p.Items, func(it PostItem) bool { return e.named(it.Head) || e.named(it.Detail) })
	p.Choices = slices.DeleteFunc(p.Choices, func(c Choice) bool { return e.named(c.Label) || e.named(c.Text) })
	var pictures []Picture
	moved := map[int]int{} // numbers of the pictures that stay
	for i, pic := range p.Pictures {
		if pic.Calendar != nil {
			pic.Calendar.Rows = slices.DeleteFunc(pic.Calendar.Rows, func(r CalendarRow) bool { return e.named(r.Name) })
			pic = e.picture(e.voice, e.member.Studio, pic)
		}
		if pic.Challenge != nil {
			pic.Challenge.Rows = slices.DeleteFunc(pic.Challenge.Rows, func(r ChallengeRow) bool { return e.named(r.Name) })
			pic = e.picture(e.voice, e.member.Studio, pic)
		}
		if text, err := json.Marshal(pic); err == nil && !e.named(string(text)) {
			pictures = append(pictures, pic)
			moved[i+1] = len(pictures)
		}
	}
	p.Pictures = pictures
	for i := range p.Items {
		p.Items[i].Picture = moved[p.Items[i].Picture]
	}
	if text, err := json.Marshal(p); err != nil || e.named(string(text)) || p.Title+p.Text+p.Foot == "" && len(p.Items) == 0 {
		return erased
	}
	return p
}

// unnamed returns the lines of a text that do not name her.
func (e *eraser) unnamed(text string) string {
	lines := slices.DeleteFunc(strings.Split(text, "\n"), e.named)
	return strings.Join(lines, "\n")
}

// named reports whether a text names her.
func (e *eraser) named(text string) bool {
	text = strings.ToLower(text)
	return slices.ContainsFunc(e.names, func(name string) bool { return hasWord(text, strings.ToLower(name)) })
}

// hasWord reports whether a word is in a text, and not only as part of another.
func hasWord(text, word string) bool {
	for from := 0; ; {
		i := strings.Index(text[from:], word)
		if i < 0 || word == "" {
			return false
		}
		begin := from + i
		before, _ := utf8.DecodeLastRuneInString(text[:begin])
		after, _ := utf8.DecodeRuneInString(text[begin+len(word):])
		if !inWord(before) && !inWord(after) {
			return true
		}
		from = begin + 1
	}
}

func inWord(r rune) bool {
	return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r))
}

// commandsOf takes her out of what teachers, assistants and guardians wrote.
func (e *eraser) commandsOf(members []Member) error {
	for _, m := range members {
		if m.Role == Student {
			continue
		}
		for _, a := range m.Accounts {
			err := e.eachMessage(a, func(msg *Stored) error {
				if !e.named(msg.Text) {
					return nil
				}
				return e.tx.RewordMessage(msg.Inbox, e.unnamed(msg.Text))
			})
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// wards takes her from her guardians.
func (e *eraser) wards(members []Member) error {
	for _, m := range members {
		if !slices.Contains(m.Wards, e.member.ID) || m.ID == e.member.ID {
			continue
		}
		m.Wards = slices.DeleteFunc(m.Wards, func(id MemberID) bool { return id == e.member.ID })
		if err := e.tx.PutMember(m); err != nil {
			return err
		}
	}
	return nil
}

// thread takes her thread from the studio.
func (e *eraser) thread() error {
	st, err := e.tx.Studio(e.member.Studio)
	if err != nil {
		return err
	}
	n := len(st.Threads)
	st.Threads = slices.DeleteFunc(st.Threads, func(t Thread) bool { return t.Member == e.member.ID })
	if len(st.Threads) == n {
		return nil
	}
	return e.tx.PutStudio(st)
}

// challenges takes her out of the challenges.
func (e *eraser) challenges() error {
	all, err := e.tx.Challenges(e.member.Studio)
	if err != nil {
		return err
	}
	for _, c := range all {
		c.forget(e.member.ID)
		for i := range c.Teams {
			c.Teams[i] = slices.DeleteFunc(c.Teams[i], func(id MemberID) bool { return id == e.member.ID })
		}
		if e.named(c.Title) {
			c.Title = e.voice.Say("erase.erased", nil)
		}
		if err := e.tx.PutChallenge(c); err != nil {
			return err
		}
	}
	return nil
}

// deeds takes her out of the account of what was done. That something was done,
// and when, stays.
func (e *eraser) deeds() error {
	all, err := e.tx.Deeds(e.member.Studio, allDeeds)
	if err != nil {
		return err
	}
	for _, d := range all {
		before := d
		if d.Member == e.member.ID {
			d.Member, d.Words = "", ""
		}
		d.Words = e.unnamed(d.Words)
		if d == before {
			continue
		}
		if err := e.tx.PutDeed(&d); err != nil {
			return err
		}
	}
	return nil
}

// allDeeds is more than any studio does.
const allDeeds = 1 << 30

// marks removes what is noted of her by name. A chat that keeps where it writes to
// an account keeps it as PLATFORM/line/ACCOUNT.
func (e *eraser) marks() error {
	id := string(e.member.ID)
	gone := []string{appliedMarks + "member/" + id, appliedMarks + "plan/" + id, "room/password/" + id, interviewMark(e.member.ID)}
	for _, a := range e.member.Accounts {
		if slices.Contains(e.names, a.ID) {
			gone = append(gone, string(a.Platform)+"/line/"+a.ID)
		}
	}
	wishes, err := e.tx.Marks(wishMarks(e.member.ID))
	if err != nil {
		return err
	}
	invitations, err := e.tx.Marks("invitation/")
	if err != nil {
		return err
	}
	maps.DeleteFunc(invitations, func(_, note string) bool { return !e.named(note) })
	gone = slices.AppendSeq(slices.AppendSeq(gone, maps.Keys(wishes)), maps.Keys(invitations))
	for _, name := range gone {
		if err := e.tx.RemoveMark(name); err != nil {
			return err
		}
	}
	return nil
}

// eraseCommand erases a student at the teacher's word, given twice over.
func (t *turn) eraseCommand(args []string) (Post, error) {
	name, sure := t.toErase(args)
	m, err := t.anyMember(name)
	if err != nil {
		return Post{}, err
	}
	if m.Role == Teacher {
		return Post{}, usage("wrong.erase-teacher", nil)
	}
	if !sure {
		return t.answered("erase.ask", with{"name": m.Name, "member": string(m.ID)})
	}
	if err := t.erase(t.tx, &m); err != nil {
		return Post{}, err
	}
	return t.answered("erase.done", nil)
}

// toErase returns the name in what follows “erase”, and whether it is said to be
// meant.
func (t *turn) toErase(args []string) (name []string, sure bool) {
	for last := len(args) - 1; last > 0; last-- {
		if means(t.voice, "erase.sure", strings.Join(args[last:], " ")) {
			return args[:last], true
		}
	}
	return args, false
}
