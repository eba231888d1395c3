package room

import (
	"context"
	"fmt"
	"iter"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// A tab is a page of the room in a real browser.
type tab struct {
	t   *testing.T
	ctx context.Context

	mu         sync.Mutex
	complaints []string // what the browser's console said
}

// openTab opens a page of the scene. The test is skipped without a browser.
func openTab(t *testing.T, s *scene, width, height int, hash string, look ...chromedp.EmulateViewportOption) *tab {
	t.Helper()
	ctx, stop := chromedp.NewExecAllocator(t.Context(),
		chromedp.ExecPath(chromium(t)), chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck,
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("disable-quic", true))
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	b := &tab{t: t, ctx: ctx}
	messages := chromedp.Console(ctx)
	go b.listen(messages)
	b.do(chromedp.EmulateViewport(int64(width), int64(height), look...), chromedp.Navigate(s.server.URL+"/"+hash))
	return b
}

func chromium(t *testing.T) string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skip("no Chromium on this machine, so the page was not tried in a browser")
	return ""
}

func (b *tab) listen(messages iter.Seq2[chromedp.ConsoleMessage, error]) {
	for m, err := range messages {
		if err != nil {
			return
		}
		b.mu.Lock()
		b.complaints = append(b.complaints, m.Text)
		b.mu.Unlock()
	}
}

// patience is how long a browser may take for one step on a busy machine.
const patience = 30 * time.Second

func (b *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, actions...); err != nil {
		b.t.Fatal(err)
	}
}

// value returns what an expression is in the page, as a string.
func (b *tab) value(expression string) string {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[string]("String("+expression+")"))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// until waits for an expression to be true in the page.
func (b *tab) until(expression string) {
	b.t.Helper()
	deadline := time.Now().Add(patience)
	for b.value("Boolean("+expression+")") != "true" {
		if time.Now().After(deadline) {
			b.t.Fatalf("never true in the page: %s\ntext of the page: %s", expression, b.value("document.body.innerText"))
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// scheme sets how the browser prefers pages to look: "light" or "dark".
func (b *tab) scheme(name string) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: name}},
	})
	if err != nil {
		b.t.Fatal(err)
	}
}

// picture keeps what the page looks like under a name, if ROOM_PICTURES names a
// folder to keep it in.
func (b *tab) picture(name string) {
	b.t.Helper()
	dir := os.Getenv("ROOM_PICTURES")
	if dir == "" {
		return
	}
	time.Sleep(150 * time.Millisecond)
	png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// quiet fails the test if the browser's console said anything but what is
// expected.
func (b *tab) quiet(expected ...string) {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
next:
	for _, c := range b.complaints {
		for _, e := range expected {
			if strings.Contains(c, e) {
				continue next
			}
		}
		b.t.Errorf("the browser complains: %s", c)
	}
}

const atAda = "#studio=harbour-row&as=ada"

// sizes are a desk's screen and two phones'.
var sizes = []struct {
	name          string
	width, height int
}{
	{"desk", 1280, 800},
	{"phone", 360, 740},
	{"phone400", 400, 860},
}

func TestPageFits(t *testing.T) {
	for _, size := range sizes {
		t.Run(size.name, func(t *testing.T) {
			s := newScene(t, nil)
			s.furnish()
			s.crowd()
			b := openTab(t, s, size.width, size.height, atAda)
			b.until("document.querySelectorAll('#line-log .entry').length > 8")
			for _, view := range []string{"line", "channel"} {
				b.value(fmt.Sprintf("document.querySelector('[data-view=%s]').click()", view))
				for _, scheme := range []string{"light", "dark"} {
					b.scheme(scheme)
					for _, kind := range []string{"digest", "routine", "announcement", "alert"} {
						if b.value("Boolean(document.querySelector('#"+view+"-log .is-"+kind+"'))") == "true" {
							b.value("document.querySelector('#" + view + "-log .is-" + kind + "').scrollIntoView()")
							b.picture(size.name + "-" + kind + "-" + scheme)
						}
					}
					if v := b.value("document.documentElement.scrollWidth <= innerWidth && [...document.querySelectorAll('.log')].every(l => l.scrollWidth <= l.clientWidth)"); v != "true" {
						t.Errorf("%s, %s: wider than the window", view, scheme)
					}
				}
			}
			b.quiet()
		})
	}
}
