package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/png"
	"io"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"

	"ledgerline/studio"
)

func tinyPNG(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 72, 40))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// sample is a sheet of two parts with three pictures, one of which could not be
// drawn, and with text that must not be taken for markup.
func sample(t testing.TB) studio.Sheet {
	return studio.Sheet{
		Lang: "de", From: "Harbour Row Brass",
		Delivery: studio.Delivery{
			QueuedAt: time.Date(2026, 4, 5, 18, 0, 0, 0, time.UTC),
			Images:   [][]byte{tinyPNG(t), nil, tinyPNG(t)},
			Post: studio.Post{
				Kind: studio.DigestPost, Title: `Week 14 <script>alert("1")</script>`, Text: "One line\nand another", Foot: "Answer by number.",
				Items: []studio.PostItem{
					{N: 1, Part: "First of all", Head: "Hurting: Zoë", Detail: "“es tut weh” & more · second fact"},
					{N: 2, Part: "First of all", Head: "Gone quiet: 瑞 🎺", Detail: strings.Repeat("long words without an end ", 40)},
					{N: 3, Part: "Who moved", Head: "Moved: Ilka", Detail: "a\nb", Picture: 3},
				},
				Pictures: []studio.Picture{{Alt: "calendar"}, {Alt: "not drawn"}, {Alt: `tempo "quoted"`, Tempo: &studio.TempoPicture{}}},
			},
		},
	}
}

func TestHTMLIsCompleteInItself(t *testing.T) {
	body, err := New().HTML(sample(t))
	if err != nil {
		t.Fatal(err)
	}
	text := string(body)
	for _, want := range []string{
		`<html lang="de">`, "&lt;script&gt;", "“es tut weh” &amp; more", `alt="tempo &#34;quoted&#34;"`, "<p>not drawn</p>", `<li value="3">`,
		"style-src 'sha256-", "prefers-color-scheme: dark", "@page", "width=device-width",
	} {
		if !strings.Contains(strings.ReplaceAll(text, "&#39;", "'"), strings.ReplaceAll(want, "&#39;", "'")) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, no := range []string{"<script", "http:", "https:", "url(", "<link", "<iframe", "onclick"} {
		if strings.Contains(strings.ToLower(text), no) {
			t.Errorf("the page has %q", no)
		}
	}
	for _, src := range regexp.MustCompile(`src="([^"]*)"`).FindAllStringSubmatch(text, -1) {
		if !strings.HasPrefix(src[1], "data:image/png;base64,") {
			t.Errorf("a picture comes from %.60q", src[1])
		}
	}
	if n := strings.Count(text, "<h2>"); n != 2 {
		t.Errorf("%d headings, want 2", n)
	}
	if strings.Index(text, "Moved: Ilka") > strings.Index(text, `alt="tempo`) || strings.Index(text, `alt="tempo`) > strings.Index(text, `alt="calendar"`) {
		t.Error("the tempo does not stand with its item, before the others")
	}
	again, err := New().HTML(sample(t))
	if err != nil || !bytes.Equal(body, again) {
		t.Error("the same sheet gives another page")
	}
}

// The tags of the page must close: an XML reader that is told what HTML leaves
// open finds its way to the end.
func TestHTMLIsWellFormed(t *testing.T) {
	body, err := New().HTML(sample(t))
	if err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(bytes.NewReader(body))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var open []string
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch tag := token.(type) {
		case xml.StartElement:
			open = append(open, tag.Name.Local)
		case xml.EndElement:
			if last := open[len(open)-1]; last != tag.Name.Local {
				t.Fatalf("</%s> closes <%s>", tag.Name.Local, last)
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) != 0 {
		t.Errorf("%v stay open", open)
	}
}

func TestPDF(t *testing.T) {
	sizes := map[studio.Paper]string{studio.A4: "595.28 841.89", studio.Letter: "612.00 792.00"} // points; ISO 216, ANSI Y14.1
	for size, box := range sizes {
		body, err := New().PDF(sample(t), size)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.HasPrefix(body, []byte("%PDF-1.")) || !bytes.Contains(body, []byte("/MediaBox [0 0 "+box+"]")) {
			t.Errorf("%s: no PDF of %s points", size, box)
		}
		again, err := New().PDF(sample(t), size)
		if err != nil || !bytes.Equal(body, again) {
			t.Errorf("%s: the same sheet gives another PDF", size)
		}
	}
	if _, err := New().PDF(sample(t), "A3"); err == nil {
		t.Error("A3 is printed")
	}
}

// What the PDF says is read back by poppler.
func TestPDFSaysWhatThePostSays(t *testing.T) {
	pdftotext, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed; apt-get install poppler-utils")
	}
	s := sample(t)
	for n := 4; n <= 60; n++ {
		s.Items = append(s.Items, studio.PostItem{N: n, Part: "Who moved", Head: fmt.Sprintf("Moved: number %d", n), Detail: "Daily Ground 1, pass 3, lines 1–4\nand more"})
	}
	body, err := New().PDF(s, studio.A4)
	if err != nil {
		t.Fatal(err)
	}
	read := exec.Command(pdftotext, "-layout", "-", "-")
	read.Stdin = bytes.NewReader(body)
	out, err := read.Output()
	if err != nil {
		t.Fatal(err)
	}
	text := string(out)
	for _, want := range []string{"Harbour Row Brass", "Hurting: Zoë", "“es tut weh” & more", "Gone quiet: ? ?", "not drawn", "Answer by number.", "First of all", "lines 1–4"} {
		if !strings.Contains(text, want) {
			t.Errorf("the PDF lacks %q", want)
		}
	}
	if pages := strings.Count(text, "\f"); pages < 3 || !strings.Contains(text, fmt.Sprintf("%d/%d", pages, pages)) {
		t.Errorf("%d pages, and the last does not say that it is the last", pages)
	}
	for n := 4; n <= 60; n++ {
		if strings.Count(text, fmt.Sprintf("Moved: number %d\n", n)) != 1 {
			t.Errorf("number %d is not there once", n)
		}
	}
}

func BenchmarkHTML(b *testing.B) {
	s := sample(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := New().HTML(s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPDF(b *testing.B) {
	s := sample(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := New().PDF(s, studio.A4); err != nil {
			b.Fatal(err)
		}
	}
}
