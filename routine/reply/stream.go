package reply

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"strings"
)

// A Word is one stretch of a message and what it was read as.
type Word struct {
	Text       string `json:"text"`
	Start, End int    `json:"-"` // bytes of the message
	As         string `json:"as"`
}

// Explain returns the words of a message and what each was read as, in order.
func (r *Reader) Explain(text string, c Context) []Word {
	p := r.parsers.Get().(*parser)
	defer r.parsers.Put(p)
	p.parse(text, c, r.table(c.Lang))
	p.readings()
	words := make([]Word, 0, len(p.units))
	for i := range p.units {
		u := &p.units[i]
		words = append(words, Word{Text: text[u.start:u.end], Start: u.start, End: u.end, As: u.explain()})
	}
	return words
}

// explain says what a unit was read as.
func (m *mark) explain() string {
	as := m.role
	if as == "" {
		as = m.sense.String()
	}
	if m.typo {
		as += " (misspelled)"
	}
	return as
}

// explained is a message with its words, as [Reader.Stream] writes it.
type explained struct {
	Text  string `json:"text"`
	Words []Word `json:"words"`
}

// Stream reads one reply a line from in, and writes for each the JSON of its
// readings, one a line, to out. With explain it writes instead what each word
// was read as: {"text":"…","words":[{"text":"2","as":"item"},…]}. The error is
// that of in or out.
func (r *Reader) Stream(in io.Reader, out io.Writer, c Context, explain bool) error {
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 1<<20)
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	for n := 1; lines.Scan(); n++ {
		if err := r.write(enc, strings.TrimSuffix(lines.Text(), "\r"), c, explain); err != nil {
			return fmt.Errorf("write reading of line %d: %w", n, err)
		}
	}
	if err := lines.Err(); err != nil {
		return fmt.Errorf("read replies: %w", err)
	}
	return nil
}

// write writes the readings of one reply, or its words.
func (r *Reader) write(enc *json.Encoder, text string, c Context, explain bool) error {
	if explain {
		return enc.Encode(explained{text, r.Explain(text, c)})
	}
	for _, reading := range r.Read(text, c) {
		if err := enc.Encode(reading); err != nil {
			return err
		}
	}
	return nil
}
