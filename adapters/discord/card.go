package discord

import (
	"fmt"
	"strconv"
	"strings"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Limits of Discord on one message, as its API document and its developer pages
// give them. All are in characters, except where they count things.
const (
	contentLimit     = 2000
	titleLimit       = 256
	descriptionLimit = 4096
	fieldsLimit      = 25 // fields
	fieldNameLimit   = 256
	fieldValueLimit  = 1024
	footerLimit      = 2048
	embedLimit       = 6000 // of all text in the embeds of one message
	labelLimit       = 80
	customIDLimit    = 100
	altLimit         = 1024
	rowLimit         = 5  // buttons in a row
	buttonLimit      = 25 // buttons
	imagesLimit      = 10 // images
	imageBytesLimit  = 8 << 20
)

// messages returns the messages that show a post, in order, and without their
// nonces. The buttons and pictures are on the last.
func messages(d studio.Delivery) []outgoing {
	texts, pictures := pictured(d)
	var all []outgoing
	if len(d.Items) > 0 {
		all = card(d.Post, texts)
	} else {
		all = plain(d.Post, texts)
	}
	for i := range all {
		all[i].Allowed = nobody()
	}
	last := &all[len(all)-1]
	last.Components = buttons(d.Choices)
	for i, p := range pictures {
		if i > 0 && i%imagesLimit == 0 {
			all = append(all, outgoing{Allowed: nobody()})
			last = &all[len(all)-1]
		}
		last.images = append(last.images, p.png)
		last.Attachments = append(last.Attachments, attachment{
			ID:          strconv.Itoa(len(last.Attachments)),
			Filename:    fmt.Sprintf("chart-%d.png", i+1),
			Description: clip(bare(p.alt), altLimit),
		})
	}
	last.files = d.Files
	for _, f := range d.Files {
		last.Attachments = append(last.Attachments, attachment{ID: strconv.Itoa(len(last.Attachments)), Filename: f.Name})
	}
	return all
}

type picture struct {
	png []byte
	alt string
}

// pictured parts a post's pictures into those to be uploaded and those to be
// put into words, since they were not drawn or are too large.
func pictured(d studio.Delivery) (alts []string, pictures []picture) {
	for i, p := range d.Pictures {
		if i >= len(d.Images) || len(d.Images[i]) == 0 || len(d.Images[i]) > imageBytesLimit {
			alts = append(alts, p.Alt)
			continue
		}
		pictures = append(pictures, picture{d.Images[i], p.Alt})
	}
	return alts, pictures
}

// plain shows a post as words.
func plain(p studio.Post, more []string) []outgoing {
	var blocks []string
	if p.Text != "" {
		blocks = append(blocks, strings.TrimSpace(bare(p.Text)))
	}
	blocks = append(blocks, more...)
	pages := pack(blocks, "\n", contentLimit, escape)
	if p.Title != "" {
		pages = headed("**"+escapeLine(oneLine(p.Title))+"**", pages)
	}
	if p.Foot != "" {
		for _, l := range strings.Split(p.Foot, "\n") {
			pages = footed(pages, "-# "+escapeLine(clip(l, contentLimit/2)))
		}
	}
	if len(pages) == 0 {
		pages = []string{"\u200b"} // a message of buttons or pictures alone
	}
	all := make([]outgoing, len(pages))
	for i, page := range pages {
		all[i] = outgoing{Content: page, Flags: noPreviews}
	}
	return all
}

// oneLine returns s on one line.
func oneLine(s string) string { return strings.Join(strings.Fields(bare(s)), " ") }

// headed puts a heading on the first page, or on one of its own if there is no
// room.
func headed(head string, pages []string) []string {
	if len(pages) > 0 && size(head)+1+size(pages[0]) <= contentLimit {
		pages[0] = head + "\n" + pages[0]
		return pages
	}
	return append([]string{head}, pages...)
}

func footed(pages []string, foot string) []string {
	if n := len(pages); n > 0 && size(pages[n-1])+1+size(foot) <= contentLimit {
		pages[n-1] += "\n" + foot
		return pages
	}
	return append(pages, foot)
}

// card shows a post with items as an embed with numbered fields; as several
// messages if it does not fit one.
func card(p studio.Post, more []string) []outgoing {
	c := cards{}
	c.title(clip(oneLine(p.Title), titleLimit/2))
	if p.Text != "" {
		for _, d := range pack([]string{p.Text}, "\n", descriptionLimit, escape) {
			c.description(d)
		}
	}
	for _, it := range p.Items {
		c.item(it)
	}
	for _, alt := range more {
		name := words.Program().In(p.Pictures[0].Lang).Say("picture-in-words", nil)
		for _, v := range pack([]string{alt}, "\n", fieldValueLimit, escape) {
			c.field(field{Name: name, Value: v})
		}
	}
	if p.Foot != "" {
		c.foot(clip(bare(p.Foot), footerLimit))
	}
	var all []outgoing
	for _, e := range c.all {
		all = append(all, outgoing{Embeds: []embed{e}})
	}
	return all
}

// cards fills embeds one after the other.
type cards struct {
	all  []embed
	used int // text in the last
}

// room makes sure that n characters, and a field more, fit the last embed.
func (c *cards) room(n int) *embed {
	if k := len(c.all); k == 0 || c.used+n > embedLimit || len(c.all[k-1].Fields) == fieldsLimit {
		c.all = append(c.all, embed{})
		c.used = 0
	}
	c.used += n
	return &c.all[len(c.all)-1]
}

func (c *cards) title(t string) {
	t = escapeLine(t)
	c.room(size(t)).Title = t
}

func (c *cards) description(d string) {
	e := c.room(size(d))
	if e.Description != "" {
		c.used -= size(d)
		c.all = append(c.all, embed{})
		e, c.used = &c.all[len(c.all)-1], size(d)
	}
	e.Description = d
}

func (c *cards) field(f field) {
	e := c.room(size(f.Name) + size(f.Value))
	e.Fields = append(e.Fields, f)
}

// foot puts small print under the last embed, full or not.
func (c *cards) foot(t string) {
	k := len(c.all)
	if c.used+size(t) > embedLimit {
		c.room(embedLimit)
		k++
	}
	c.all[k-1].Footer = &footer{t}
}

// item shows a numbered item as a field; as several if it is long.
func (c *cards) item(it studio.PostItem) {
	name, value := numbered(it.N, oneLine(it.Head)), it.Detail
	if size(name) > fieldNameLimit {
		name, value = strconv.Itoa(it.N)+"\\.", strings.TrimSpace(it.Head+"\n"+it.Detail)
	}
	values := pack([]string{value}, "\n", fieldValueLimit, escape)
	if len(values) == 0 {
		values = []string{"\u200b"} // a field without a value is refused
	}
	for i, v := range values {
		if i == 1 {
			name = strconv.Itoa(it.N) + "\\. …"
		}
		c.field(field{Name: name, Value: v})
	}
}

// numbered returns the head of an item with its number. The stop is escaped, or
// Discord would make a list of it and count for itself.
func numbered(n int, head string) string {
	return strings.TrimSpace(strconv.Itoa(n) + "\\. " + escapeLine(head))
}

// buttons returns a button for each choice, in rows; those past the 25th are
// left to be written.
func buttons(choices []studio.Choice) []row {
	var rows []row
	for i, c := range choices[:min(len(choices), buttonLimit)] {
		if i%rowLimit == 0 {
			rows = append(rows, row{Type: rowType})
		}
		style := secondaryStyle
		if i == 0 {
			style = primaryStyle
		}
		label := clip(oneLine(c.Label), labelLimit)
		if label == "" {
			label = strconv.Itoa(i + 1)
		}
		r := &rows[len(rows)-1]
		r.Buttons = append(r.Buttons, button{Type: buttonType, Style: style, Label: label, CustomID: customID(i, c.Text)})
	}
	return rows
}

// customID returns what Discord hands back when a button is pressed: the number
// of the choice, and its text if there is room, so that a press can be read
// from itself.
func customID(i int, text string) string {
	id := strconv.Itoa(i) + "|" + text
	if size(id) > customIDLimit {
		return strconv.Itoa(i)
	}
	return id
}

// choiceOf reads a custom id. text is "" if there was no room for it; ok says
// whether the id is one of ours.
func choiceOf(id string) (i int, text string, ok bool) {
	number, text, _ := strings.Cut(id, "|")
	i, err := strconv.Atoi(number)
	return i, text, err == nil && i >= 0 && i < buttonLimit
}
