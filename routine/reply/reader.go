package reply

import "sync"

// A Reader reads replies. It holds the words of all languages; make one and
// share it, it is safe for concurrent use.
type Reader struct {
	tables  map[string]*table
	parsers sync.Pool // of *parser
}

// NewReader returns a reader that knows the languages built in. The error says
// which line of a language file is wrong.
func NewReader() (*Reader, error) {
	tables, err := loadTables(languageFiles)
	if err != nil {
		return nil, err
	}
	return &Reader{tables: tables, parsers: sync.Pool{New: func() any { return new(parser) }}}, nil
}

// table returns the words of a language, such as "de" or "de-AT", or those of
// English if there are none.
func (r *Reader) table(lang string) *table {
	if len(lang) > 2 {
		lang = lang[:2]
	}
	if t := r.tables[lang]; t != nil {
		return t
	}
	return r.tables[always]
}

// Read returns what a message says: one reading for each day it speaks of, in
// the order in which it does, and at least one.
func (r *Reader) Read(text string, c Context) []Reading {
	p := r.parsers.Get().(*parser)
	defer r.parsers.Put(p)
	p.parse(text, c, r.table(c.Lang))
	return p.readings()
}
