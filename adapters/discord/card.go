package discord

import (
	"fmt"
	"strconv"
	"strings"

	"ledgerline/studio"
)

// Limits of Discord on one message, as its API document and its developer pages
// give them. All are in characters, except where they count things.
const (
	contentLimit     = 2000
	titleLimit       = 256
	descriptionLimit = 4096
	embedsLimit      = 10 // embeds
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
// nonces. What belongs to an item, its button and its picture, is on the item's
// message; the other buttons and pictures are on the last.
func messages(d studio.Delivery) []outgoing {
	texts, pictures := pictured(d)
	var all []outgoing
	if len(d.Items) > 0 {
		all = card(d, texts, pictures)
	} else {
		all = plain(d.Post, texts)
	}
	for i := range all {
		all[i].Allowed = nobody()
	}
	last := &all[len(all)-1]
	if !d.Pointed() {
		last.Components = buttons(d.Choices)
	}
	for _, p := range pictures {
		if p.shown {
			continue
		}
		if len(last.images) == imagesLimit {
			all = append(all, outgoing{Allowed: nobody()})
			last = &all[len(all)-1]
		}
		last.attach(p)
	}
	last.files = d.Files
	for _, f := range d.Files {
		last.Attachments = append(last.Attachments, attachment{ID: strconv.Itoa(len(last.Attachments)), Filename: f.Name})
	}
	return all
}

// attach adds a picture to a message.
func (m *outgoing) attach(p *picture) {
	m.images = append(m.images, p.png)
	m.Attachments = append(m.Attachments, attachment{
		ID: strconv.Itoa(len(m.Attachments)), Filename: p.name(), Description: clip(bare(p.alt), altLimit),
	})
}

type picture struct {
	n     int // in the post, from 1
	png   []byte
	alt   string
	shown bool // beside its item
}

func (p *picture) name() string { return fmt.Sprintf("chart-%d.png", p.n) }

// pictured parts a post's pictures into those to be uploaded and those to be
// put into words, since they were not drawn or are too large.
func pictured(d studio.Delivery) (alts []string, pictures []*picture) {
	for i, p := range d.Pictures {
		if i >= len(d.Images) || len(d.Images[i]) == 0 || len(d.Images[i]) > imageBytesLimit {
			alts = append(alts, p.Alt)
			continue
		}
		pictures = append(pictures, &picture{n: i + 1, png: d.Images[i], alt: p.Alt})
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

// card shows a post with items as embeds with numbered fields, one for each part
// of it; as several messages if it does not fit one.
func card(d studio.Delivery, more []string, pictures []*picture) []outgoing {
	p := d.Post
	c := cards{post: &p}
	c.title(clip(oneLine(p.Title), titleLimit/2))
	if p.Text != "" {
		for _, text := range pack([]string{p.Text}, "\n", descriptionLimit, escape) {
			c.description(text)
		}
	}
	part := ""
	for i, it := range p.Items {
		if it.Part != part {
			part = it.Part
			c.part(part)
		}
		c.item(i, it)
		for _, pic := range pictures {
			if pic.n == it.Picture {
				c.picture(pic)
			}
		}
	}
	for _, alt := range more {
		for _, v := range pack([]string{alt}, "\n", fieldValueLimit, escape) {
			c.field(field{Name: d.InWords, Value: v})
		}
	}
	if p.Foot != "" {
		c.foot(clip(bare(p.Foot), footerLimit))
	}
	return c.all
}

// cards fills the embeds of messages, one after the other.
type cards struct {
	post *studio.Post
	all  []outgoing
	used int  // text in the embeds of the last message
	full bool // the last embed takes no more
}

// room makes sure that n characters fit the last message, and a field more its
// last embed.
func (c *cards) room(n int) *embed {
	k := len(c.all)
	if k == 0 || c.used+n > embedLimit {
		c.message()
	}
	last := &c.all[len(c.all)-1]
	if e := len(last.Embeds); e == 0 || c.full || len(last.Embeds[e-1].Fields) == fieldsLimit {
		if e == embedsLimit {
			c.message()
			last = &c.all[len(c.all)-1]
		}
		last.Embeds = append(last.Embeds, embed{})
		c.full = false
	}
	c.used += n
	return &last.Embeds[len(last.Embeds)-1]
}

// message begins a message.
func (c *cards) message() {
	c.all = append(c.all, outgoing{})
	c.used, c.full = 0, false
}

func (c *cards) title(t string) {
	t = escapeLine(t)
	c.room(size(t)).Title = t
}

func (c *cards) description(d string) {
	e := c.room(size(d))
	if e.Description != "" {
		c.used -= size(d)
		c.message()
		e = c.room(size(d))
	}
	e.Description = d
}

// part begins an embed with the heading of a part, in the same message as the
// part's first item.
func (c *cards) part(heading string) {
	c.full = true
	heading = escapeLine(clip(oneLine(heading), titleLimit/2))
	if c.used+size(heading)+fieldNameLimit+fieldValueLimit > embedLimit {
		c.message()
	}
	c.room(size(heading)).Title = heading
}

func (c *cards) field(f field) {
	e := c.room(size(f.Name) + size(f.Value))
	e.Fields = append(e.Fields, f)
}

// picture puts a picture below the last field. An embed has room for one.
func (c *cards) picture(p *picture) {
	last := &c.all[len(c.all)-1]
	if len(last.images) == imagesLimit {
		return
	}
	last.Embeds[len(last.Embeds)-1].Image = &image{"attachment://" + p.name()}
	last.attach(p)
	p.shown, c.full = true, true
}

// foot puts small print under the last embed, full or not.
func (c *cards) foot(t string) {
	if c.used+size(t) > embedLimit {
		c.message()
		c.room(size(t))
	}
	last := c.all[len(c.all)-1].Embeds
	last[len(last)-1].Footer = &footer{t}
}

// item shows a numbered item as a field; as several if it is long. Its button is
// on the message on which it begins.
func (c *cards) item(i int, it studio.PostItem) {
	name, value := numbered(it.N, oneLine(it.Head)), strings.TrimSpace(it.Detail+"\n"+it.Answers)
	if size(name) > fieldNameLimit {
		name, value = strconv.Itoa(it.N)+"\\.", strings.TrimSpace(it.Head+"\n"+value)
	}
	values := pack([]string{value}, "\n", fieldValueLimit, escape)
	if len(values) == 0 {
		values = []string{"\u200b"} // a field without a value is refused
	}
	if c.post.Pointed() && len(c.all) > 0 && buttonsOf(&c.all[len(c.all)-1]) == buttonLimit {
		c.message()
	}
	for k, v := range values {
		if k == 1 {
			name = strconv.Itoa(it.N) + "\\. …"
		}
		c.field(field{Name: name, Value: v})
		if k == 0 && c.post.Pointed() {
			c.button(i, it.N)
		}
	}
}

// button adds the button of an item to the last message, with the item's number.
func (c *cards) button(i, n int) {
	choice := c.post.Choices[i]
	choice.Label = strconv.Itoa(n) + " " + choice.Label
	last := &c.all[len(c.all)-1]
	if buttonsOf(last)%rowLimit == 0 {
		last.Components = append(last.Components, row{Type: rowType})
	}
	r := &last.Components[len(last.Components)-1]
	r.Buttons = append(r.Buttons, buttonFor(i, choice, secondaryStyle))
}

func buttonsOf(m *outgoing) (n int) {
	for _, r := range m.Components {
		n += len(r.Buttons)
	}
	return n
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
		r := &rows[len(rows)-1]
		r.Buttons = append(r.Buttons, buttonFor(i, c, style))
	}
	return rows
}

// buttonFor returns the button of the choice with index i of a post.
func buttonFor(i int, c studio.Choice, style int) button {
	label := clip(oneLine(c.Label), labelLimit)
	if label == "" {
		label = strconv.Itoa(i + 1)
	}
	return button{Type: buttonType, Style: style, Label: label, CustomID: customID(i, c.Text)}
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
	return i, text, err == nil && i >= 0
}
