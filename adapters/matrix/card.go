package matrix

import (
	"encoding/json"
	"fmt"
	"html"
	"slices"
	"strconv"
	"strings"

	"maunium.net/go/mautrix/event"

	"ledgerline/studio"
)

// A part is one event of a post.
type part struct {
	event.MessageEventContent
	Note partNote `json:"local.ledgerline.post"`

	png []byte // the picture or other file, if it is one
}

// parts returns the events that show a post, in order: its words, on as many
// pages as they need, each picture after the item that it goes with, and then the
// other pictures. The choices belong to the last page.
func parts(d studio.Delivery) []*part {
	words, pictures := pictured(d)
	w := &writer{}
	w.post(&d.Post, words, pictures)
	pages := w.done()
	if len(pages) == 0 && len(pictures) == 0 {
		pages = []*page{{blocks: []block{paragraph("", "…")}}}
	}
	var all []*part
	for i, p := range pages {
		all = append(all, &part{MessageEventContent: p.content(d.Kind)})
		if i == len(pages)-1 {
			for _, c := range d.Choices[:min(len(d.Choices), len(choiceKeys))] {
				all[len(all)-1].Note.Choices = append(all[len(all)-1].Note.Choices, c.Text)
			}
		}
		if p.picture != nil {
			all = append(all, p.picture)
		}
	}
	for _, pic := range pictures {
		if !slices.Contains(all, pic) {
			all = append(all, pic)
		}
	}
	return all
}

// A block is what is never cut between two pages.
type block struct {
	plain, html string
	number      int // of an item of a list; 0: no item
}

// pageLimit is how many bytes of JSON the words of one event may take: half of
// the 65,536 that the specification allows for a whole event ("Size limits"),
// since encryption adds a third, and the server its signatures.
const pageLimit = 32 << 10

// cost returns how many bytes a block takes on a page.
func (b block) cost() int { return jsonSize(b.plain) + jsonSize(b.html) + 64 }

func jsonSize(s string) int {
	text, _ := json.Marshal(s)
	return len(text)
}

// A page is the words of one event.
type page struct {
	blocks  []block
	cost    int
	picture *part // that follows it, if any
}

// content returns a page as an event. Only what nobody waits for is a notice,
// which by default makes no sound.
func (p *page) content(kind studio.PostKind) event.MessageEventContent {
	c := event.MessageEventContent{
		MsgType: event.MsgText, Format: event.FormatHTML, Mentions: &event.Mentions{},
	}
	if kind == studio.ReceiptPost {
		c.MsgType = event.MsgNotice
	}
	var plain []string
	var shown strings.Builder
	open := 0 // number of the last item of the list that is open
	for _, b := range p.blocks {
		plain = append(plain, b.plain)
		if open > 0 && b.number != open+1 {
			shown.WriteString("</ol>")
			open = 0
		}
		if b.number > 0 && open == 0 {
			fmt.Fprintf(&shown, `<ol start="%d">`, b.number)
		}
		shown.WriteString(b.html)
		open = b.number
	}
	if open > 0 {
		shown.WriteString("</ol>")
	}
	c.Body, c.FormattedBody = strings.Join(plain, "\n"), shown.String()
	if strings.HasPrefix(c.Body, "> ") {
		c.Body = "\u200b" + c.Body // or it would be taken for a repetition of what is answered
	}
	return c
}

// A writer fills pages, one after the other.
type writer struct {
	pages []*page
}

func (w *writer) done() []*page { return w.pages }

func (w *writer) add(b block) {
	n := len(w.pages)
	if n == 0 || w.pages[n-1].cost+b.cost() > pageLimit || w.pages[n-1].picture != nil {
		w.pages = append(w.pages, &page{})
		n++
	}
	last := w.pages[n-1]
	last.blocks = append(last.blocks, b)
	last.cost += b.cost()
}

// post writes a post, and the words that stand for pictures.
func (w *writer) post(p *studio.Post, words []string, pictures []*part) {
	w.paragraphs("strong", clean(p.Title))
	w.paragraphs("", clean(p.Text))
	for _, said := range words {
		w.paragraphs("", clean(said))
	}
	heading := ""
	for i, it := range p.Items {
		if it.Part != heading {
			heading = it.Part
			w.paragraphs("h4", clean(oneLine(heading)))
		}
		if p.Pointed() && i < len(choiceKeys) {
			it.Answers = choiceKeys[i] + " " + it.Answers
		}
		w.item(it)
		if name := chartName(it.Picture); it.Picture > 0 {
			if i := slices.IndexFunc(pictures, func(pic *part) bool { return pic.FileName == name }); i >= 0 {
				w.pages[len(w.pages)-1].picture = pictures[i]
			}
		}
	}
	w.paragraphs("em", clean(p.Foot))
	if !p.Pointed() {
		w.paragraphs("", choiceLine(p.Choices))
	}
}

// paragraphs writes text, in several blocks if it is too long for one.
func (w *writer) paragraphs(tag, text string) {
	if text == "" {
		return
	}
	for _, piece := range cut(text, func(s string) bool { return paragraph(tag, s).cost() <= pageLimit }) {
		w.add(paragraph(tag, piece))
	}
}

func paragraph(tag, text string) block {
	shown := escape(text)
	if tag == "h4" {
		return block{plain: text, html: "<h4>" + shown + "</h4>"}
	}
	if tag != "" {
		shown = "<" + tag + ">" + shown + "</" + tag + ">"
	}
	return block{plain: text, html: "<p>" + shown + "</p>"}
}

// item writes a numbered item; what does not fit one block follows the list.
func (w *writer) item(it studio.PostItem) {
	head, detail := clean(oneLine(it.Head)), clean(it.Detail+"\n"+it.Answers)
	if b := listed(it.N, head, detail); b.cost() <= pageLimit {
		w.add(b)
		return
	}
	w.paragraphs("", strconv.Itoa(it.N)+". "+head+"\n"+detail)
}

func listed(n int, head, detail string) block {
	plain, shown := strconv.Itoa(n)+". "+head, "<strong>"+escape(head)+"</strong>"
	if detail != "" {
		plain += "\n   " + strings.ReplaceAll(detail, "\n", "\n   ")
		shown += "<br>" + escape(detail)
	}
	return block{plain: plain, html: "<li>" + shown + "</li>", number: n}
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// choiceKeys are the marks of the quick answers. They are letters, since a
// number written in a reply is that of an item.
var choiceKeys = []string{"Ⓐ", "Ⓑ", "Ⓒ", "Ⓓ", "Ⓔ", "Ⓕ", "Ⓖ", "Ⓗ", "Ⓘ", "Ⓙ"}

// choiceOf returns which quick answer a mark stands for; -1: none.
func choiceOf(key string) int {
	key = strings.TrimSuffix(key, "\ufe0f") // some apps ask for a coloured form
	for i, k := range choiceKeys {
		if k == key {
			return i
		}
	}
	return -1
}

// choiceLine shows the quick answers; those past the marks by what is written
// for them.
func choiceLine(choices []studio.Choice) string {
	var all []string
	for i, c := range choices {
		if i < len(choiceKeys) {
			all = append(all, choiceKeys[i]+" "+clean(oneLine(c.Label)))
		} else {
			all = append(all, clean(oneLine(c.Label))+" (“"+clean(oneLine(c.Text))+"”)")
		}
	}
	return strings.Join(all, "  ·  ")
}

// clean returns text without what no text holds, and with "@room" broken: a
// server that does not know m.mentions yet would call everybody in the room.
func clean(text string) string {
	text = strings.ToValidUTF8(text, "\ufffd")
	text = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' && r != '\t' || r == 0x7f {
			return -1
		}
		return r
	}, text)
	return strings.TrimSpace(strings.ReplaceAll(text, "@room", "@\u200broom"))
}

// escape returns text as HTML that shows it.
func escape(text string) string {
	return strings.ReplaceAll(html.EscapeString(text), "\n", "<br>")
}
