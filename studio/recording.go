package studio

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Keeping is what becomes of a recording once it was listened to.
type Keeping string

// The keepings.
const (
	LetGo    Keeping = ""        // it is removed
	KeepIt   Keeping = "wanted"  // its student wants it kept
	Kept     Keeping = "kept"    // it is, with what is kept of her
	NoRoom   Keeping = "no-room" // she keeps as much as she may already
	NotThere Keeping = "gone"    // its chat has it no longer
)

// Bounds of what is kept of recordings.
const (
	maxKept   = 32 << 20 // bytes, for each student
	maxHanded = 8 << 20  // bytes that go with a post to a chat
)

// A KeptSound is a recording that is kept.
type KeptSound struct {
	Inbox int64  // number of the message it came with
	File  string // its id there
	Bytes int
}

// wantsKept takes the word that says so off the words beside a recording.
func (t *turn) wantsKept() {
	if !slices.ContainsFunc(t.msg.Files, func(f File) bool { return f.IsSound() }) {
		return
	}
	said := strings.Fields(t.text)
	isWord := func(w string) bool {
		w = strings.Trim(w, "/.,;:!")
		return strings.EqualFold(w, "keep") || strings.EqualFold(w, t.voice.Say("called.keep", nil))
	}
	switch n := len(said); {
	case n > 0 && isWord(said[n-1]):
		said = said[:n-1]
	case n > 0 && isWord(said[0]):
		said = said[1:]
	default:
		return
	}
	t.keeping = KeepIt
	t.text = strings.TrimRight(strings.Join(said, " "), " ,;")
}

// settleSound keeps the sound of a recording or lets it go, and notes which.
func settleSound(tx Tx, h *Hearing, file []byte) error {
	if h.Keep == KeepIt && file == nil {
		h.Keep = NotThere
	}
	if h.Keep == KeepIt {
		kept, err := tx.KeptSounds(h.Member)
		if err != nil {
			return err
		}
		all := len(file)
		for _, k := range kept {
			all += k.Bytes
		}
		if h.Keep = Kept; all > maxKept {
			h.Keep = NoRoom
		}
	}
	if h.Keep == Kept {
		return tx.PutSound(h.Inbox, h.File.ID, h.Member, file)
	}
	return tx.RemoveSound(h.Inbox, h.File.ID)
}

// keptWords says what became of a recording that was to be kept.
func keptWords(v *voice, h *Hearing) string {
	if h.Keep == LetGo || h.Keep == KeepIt {
		return ""
	}
	return v.Say("keep."+string(h.Keep), with{"number": h.ID})
}

// keepChoice offers to keep a recording, or to let it go again.
func (s *Service) keepChoice(v *voice, h *Hearing) []Choice {
	number := fmt.Sprint(h.ID)
	switch {
	case h.Keep == Kept:
		return []Choice{{v.Say("keep.let-go", nil), "discard " + number}}
	case h.Unfit == "" && s.fetcher(h.Answer.To.Platform) != nil:
		return []Choice{{v.Say("keep.keep", nil), "keep " + number}}
	}
	return nil
}

// keepCommand has a recording kept that was sent without a word about that: the last, or
// that of a number.
func (t *turn) keepCommand(args []string) (Post, error) {
	h, err := t.recording(t.who.ID, args, func(h *Hearing) bool { return h.Unfit == "" })
	switch {
	case err != nil:
		return Post{}, err
	case h == nil:
		return Post{}, usage("wrong.keep", nil)
	case h.Keep == Kept:
		return t.answered("keep.kept", with{"number": h.ID})
	case !h.Waiting && t.fetcher(h.Answer.To.Platform) == nil:
		return Post{}, usage("wrong.keep-gone", nil)
	}
	h.Keep = KeepIt
	if !h.Waiting {
		h.Waiting, h.Attempts, h.NextAt = true, 0, t.now()
	}
	return t.done(t.tx.PutHearing(h), "keep.will", nil)
}

// discard removes a recording that the author keeps.
func (t *turn) discard(args []string) (Post, error) {
	h, err := t.recording(t.who.ID, args, isKept)
	if err != nil {
		return Post{}, err
	}
	if h == nil || len(args) == 0 {
		return Post{}, usage("wrong.discard", nil)
	}
	h.Keep = LetGo
	if err := t.tx.RemoveSound(h.Inbox, h.File.ID); err != nil {
		return Post{}, err
	}
	return t.done(t.tx.PutHearing(h), "keep.discarded", with{"number": h.ID})
}

func isKept(h *Hearing) bool { return h.Keep == Kept }

// recording returns a member's recording of the number in args, or the last, of
// those that fit; nil if there is none.
func (t *turn) recording(of MemberID, args []string, fits func(*Hearing) bool) (*Hearing, error) {
	n, numbered := number(args)
	all, err := t.tx.Hearings(of, math.MinInt32, math.MaxInt32)
	for i := range slices.Backward(all) {
		if h := &all[i]; fits(h) && (!numbered || h.ID == int64(n)) {
			return h, err
		}
	}
	return nil, err
}

// recordings lists what recordings are kept of a student, or hands one out.
func (t *turn) recordings(args []string) (Post, error) {
	who, about := t.who, ""
	if t.who.Role != Student {
		m, rest, err := t.member(args)
		if err != nil {
			return Post{}, err
		}
		if !t.who.MaySee(&m) {
			return Post{}, usage("wrong.recordings-not-yours", nil)
		}
		who, args, about = m, rest, m.Name+" "
	}
	if len(args) > 0 {
		return t.handOut(&who, args)
	}
	all, err := t.tx.Hearings(who.ID, math.MinInt32, math.MaxInt32)
	if err != nil {
		return Post{}, err
	}
	p := Post{Title: t.voice.Say("recordings.title", with{"name": who.Name})}
	var lines []string
	for i := range slices.Backward(all) {
		if h := &all[i]; isKept(h) {
			lines = append(lines, t.voice.Say("labelled", with{"label": h.ID, "text": t.heardOf(t.voice, &who, h)}))
			if len(p.Choices) < mostOffered {
				p.Choices = append(p.Choices, Choice{t.voice.Say("recordings.hear", with{"number": h.ID}), fmt.Sprint("recordings ", about, h.ID)})
			}
		}
	}
	if len(lines) == 0 {
		return t.answered("recordings.none", with{"name": who.Name})
	}
	p.Text = strings.Join(lines, "\n")
	return p, nil
}

// mostOffered is how many of the recordings kept may be asked for by a button.
const mostOffered = 5

// handOut gives out one recording.
func (t *turn) handOut(who *Member, args []string) (Post, error) {
	h, err := t.recording(who.ID, args, isKept)
	if err != nil {
		return Post{}, err
	}
	if _, numbered := number(args); h == nil || !numbered {
		return Post{}, usage("wrong.recordings", nil)
	}
	p := Post{Text: t.voice.Say("labelled", with{"label": h.ID, "text": t.heardOf(t.voice, who, h)}), Recording: h.ID}
	if who.ID == t.who.ID {
		p.Choices = t.keepChoice(t.voice, h)
	}
	return p, nil
}

// FileNames returns the names of the files that go with a post.
func (p *Post) FileNames() (names []string) {
	if p.Click != nil {
		names = append(names, clickNames[:]...)
	}
	if p.Recording != 0 {
		names = append(names, recordingName(p.Recording))
	}
	return names
}

func recordingName(id int64) string { return fmt.Sprintf("recording-%d", id) }

// FilesOf returns the files that go with a post, for somebody who reads it or, if
// nil, for where it is sent. A recording goes only to who may see what is kept of
// its student; for others, and once it is kept no longer, it is [ErrNotFound].
func FilesOf(tx Tx, p *Post, reader *Member) ([]Attached, error) {
	files := clickFiles(p.Click)
	if p.Recording == 0 {
		return files, nil
	}
	h, err := tx.Hearing(p.Recording)
	if err != nil {
		return nil, err
	}
	student, err := tx.Member(h.Member)
	if err != nil {
		return nil, err
	}
	if h.Keep != Kept || reader != nil && !reader.MaySee(&student) {
		return nil, fmt.Errorf("recording %d: %w", h.ID, ErrNotFound)
	}
	data, err := tx.Sound(h.Inbox, h.File.ID)
	if err != nil {
		return nil, err
	}
	kind, ending := soundKind(data)
	return append(files, Attached{recordingName(h.ID) + ending, kind, data}), nil
}

// recordingFor returns the recording that goes with a post, if it is there and
// small enough for a chat; the room has it whatever its size.
func (s *Service) recordingFor(ctx context.Context, p *Post) (files []Attached) {
	err := s.store.View(ctx, func(tx Tx) (err error) {
		files, err = FilesOf(tx, p, nil)
		return err
	})
	if err != nil && !isNotFound(err) {
		s.log.Error("a recording was not handed out", "key", p.Key, "err", err)
	}
	return slices.DeleteFunc(files, func(f Attached) bool { return len(f.Data) > maxHanded })
}

// keptOf returns the recordings that are kept of hearings, by their ids.
func keptOf(tx Tx, all []Hearing) (map[string][]byte, error) {
	kept := map[string][]byte{}
	for i := range all {
		if h := &all[i]; isKept(h) {
			data, err := tx.Sound(h.Inbox, h.File.ID)
			if err != nil && !isNotFound(err) {
				return nil, err
			}
			if err == nil {
				kept[fmt.Sprint(h.ID)] = data
			}
		}
	}
	return kept, nil
}

// soundKind returns the MIME type of a sound file by its first bytes, and the
// ending of its name. What a sender says of a file is not told to others.
func soundKind(data []byte) (kind, ending string) {
	for _, k := range []struct {
		at                  int
		magic, kind, ending string
	}{
		{0, "OggS", "audio/ogg", ".ogg"}, {0, "RIFF", "audio/wav", ".wav"}, {0, "fLaC", "audio/flac", ".flac"},
		{0, "ID3", "audio/mpeg", ".mp3"}, {4, "ftyp", "audio/mp4", ".m4a"}, {0, "\x1A\x45\xDF\xA3", "audio/webm", ".webm"},
	} {
		if len(data) > k.at && bytes.HasPrefix(data[k.at:], []byte(k.magic)) {
			return k.kind, k.ending
		}
	}
	return "audio/mpeg", ".mp3" // the one kind that has no beginning of its own
}
