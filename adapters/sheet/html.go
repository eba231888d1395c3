package sheet

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"
	"sync"

	"ledgerline/studio"
)

//go:embed page.html
var pageHTML string

//go:embed page.css
var pageCSS string

// pageTemplate is the page, parsed once. It is part of the program, so that a
// fault in it is a fault of the program, and a panic.
var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page").Funcs(template.FuncMap{
		"style":  func() template.CSS { return template.CSS(pageCSS) },
		"policy": policy,
		"data":   dataURI,
		"facts":  func(line string) []string { return strings.Split(line, " · ") },
	}).Parse(pageHTML))
})

// policy is the content security policy of a page: its own style, pictures inside
// it, and nothing else.
func policy() string {
	sum := sha256.Sum256([]byte(pageCSS))
	return "default-src 'none'; img-src data:; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

func dataURI(png []byte) template.URL {
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(png))
}

// HTML returns the page as one file of HTML. The same sheet gives the same
// bytes.
func (Printer) HTML(s studio.Sheet) ([]byte, error) {
	var b bytes.Buffer
	if err := pageTemplate().Execute(&b, layOut(s)); err != nil {
		return nil, fmt.Errorf("making “%s” into HTML: %w", s.Title, err)
	}
	return b.Bytes(), nil
}
