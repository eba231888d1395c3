package discord

import "strings"

// A shower turns words into what Discord is sent for them.
type shower func(string) string

// pack parts blocks of lines into pages, each of which is at most limit long
// once shown. Pages are cut between blocks; a block that fits no page is cut
// between lines, a line between words. Only a word that fits no page by itself
// is cut inside. Blocks are joined by sep.
func pack(blocks []string, sep string, limit int, show shower) []string {
	var pages []string
	var page string
	add := func(piece, sep string) {
		switch {
		case page == "":
			page = piece
		case size(page)+size(sep)+size(piece) <= limit:
			page += sep + piece
		default:
			pages = append(pages, page)
			page = piece
		}
	}
	for _, b := range blocks {
		if shown := show(b); size(shown) <= limit {
			add(shown, sep)
			continue
		}
		between := sep
		for _, l := range strings.Split(b, "\n") {
			for _, piece := range splitLine(l, limit, show) {
				add(show(piece), between)
				between = "\n"
			}
		}
	}
	if page != "" {
		pages = append(pages, page)
	}
	return pages
}

// splitLine parts a line into pieces that are at most limit long once shown.
func splitLine(line string, limit int, show shower) []string {
	if size(show(line)) <= limit {
		return []string{line}
	}
	var pieces []string
	var piece string
	length := 0 // of piece, shown, and perhaps a little less
	for _, word := range strings.Split(line, " ") {
		for _, w := range splitWord(word, limit, show) {
			n := size(show(w)) + 1
			if piece != "" && length+n > limit-lineStart {
				pieces = append(pieces, piece)
				piece, length = "", 0
			}
			if piece != "" || w == "" {
				piece += " "
			}
			piece += w
			length += n
		}
	}
	return append(pieces, piece)
}

// lineStart is how much longer a piece may become for beginning a line.
const lineStart = 2

func splitWord(word string, limit int, show shower) []string {
	if size(show(word)) <= limit-2*lineStart {
		return []string{word}
	}
	var pieces []string
	var piece strings.Builder
	length := 0
	for _, r := range word {
		n := size(show(string(r))) + 1 // an escape may be needed beside its neighbours only
		if length+n > limit-2*lineStart {
			pieces = append(pieces, piece.String())
			piece.Reset()
			length = 0
		}
		piece.WriteRune(r)
		length += n
	}
	return append(pieces, piece.String())
}
