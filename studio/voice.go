package studio

import "ledgerline/studio/words"

// A voice says messages in one language. All that a member reads is said by hers:
// no text for people stands in the code, only the ids of messages.
type voice = words.Voice

// With names the values of a message's placeholders.
type with = words.With

// lexicon returns the words of a studio.
func (s *Service) lexicon(id StudioID) *words.Lexicon {
	if s.words == nil {
		return words.Program()
	}
	return s.words(id)
}

// voice returns the voice that speaks to a member.
func (s *Service) voice(m *Member) *voice { return s.lexicon(m.Studio).In(m.Lang) }

// studioVoice returns the voice that speaks to all of a studio.
func (s *Service) studioVoice(st *Studio) *voice { return s.lexicon(st.ID).In(st.Lang) }

// strangersVoice returns the voice that speaks to somebody nobody knows: that of
// the studios, if they speak one language, or else English.
func (s *Service) strangersVoice(tx Tx) (*voice, error) {
	studios, err := tx.Studios()
	if err != nil || len(studios) == 0 {
		return words.Program().In(words.English), err
	}
	for _, st := range studios[1:] {
		if st.Lang != studios[0].Lang {
			return words.Program().In(words.English), nil
		}
	}
	return s.studioVoice(&studios[0]), nil
}

// A UsageError says what is wrong with a command, in a sentence for the person
// who gave it.
type UsageError struct{ words.Phrase }

// Error returns the sentence in English; [Service] says it in the language of
// whoever made the mistake.
func (e *UsageError) Error() string {
	return words.Sentence(e.Phrase.String())
}

// usage returns the error that a message of the command's makes.
func usage(id string, w with) error { return &UsageError{words.Phrase{ID: id, With: w}} }
