package room

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"iter"
	"math"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"ledgerline/routine"
	"ledgerline/routine/click"
	"ledgerline/studio"
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
		chromedp.Flag("disable-sync", true), chromedp.Flag("disable-quic", true),
		chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"))
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
	{"side", 740, 360},
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

// press presses keys, as a person does who has no mouse. What a key types goes
// with its going down, so that it is not typed if the page wants it otherwise.
func (b *tab) press(keys string, with ...chromedp.Modifier) {
	b.t.Helper()
	for _, r := range keys {
		events := kb.Encode(r)
		typed := slices.IndexFunc(events, func(e *input.DispatchKeyEventParams) bool { return e.Type == kb.KeyChar })
		if typed >= 0 {
			events[0].Text, events[0].UnmodifiedText = events[typed].Text, events[typed].UnmodifiedText
			events = slices.Delete(events, typed, typed+1)
		}
		for _, e := range events {
			chromedp.KeyModifiers(with...)(e)
			if _, err := chromedp.Call(b.ctx, input.DispatchKeyEvent, *e); err != nil {
				b.t.Fatal(err)
			}
		}
	}
}

// focus returns what has the focus: its id, what it does, or its kind.
func (b *tab) focus() string {
	b.t.Helper()
	return b.value(`(() => { const e = document.activeElement; return e.id || e.dataset.do || e.dataset.hours || (e.classList.contains("entry") ? "entry" : e.className || e.tagName); })()`)
}

// said is an expression for the number of entries on the private line that
// contain a text.
func said(text string) string {
	return fmt.Sprintf(`[...document.querySelectorAll("#line-log .entry")].filter(e => e.innerText.includes(%q)).length`, text)
}

func TestByKeyboardAlone(t *testing.T) {
	s := newScene(t, nil)
	s.furnish()
	s.bot.chat = s.room
	b := openTab(t, s, 1280, 800, atAda)
	b.until(`document.querySelector("#state").innerText === "Live"`)
	b.until(said("which tempo") + " === 1")

	// A reply, and its receipt, which comes by itself.
	b.press(kb.Tab)
	if got := b.focus(); got != "skip" {
		t.Fatalf("the first stop is %q, want the skip link", got)
	}
	b.press(kb.Enter)
	if got := b.focus(); got != "line-text" {
		t.Fatalf("the skip link leads to %q", got)
	}
	b.press("1 96 clean")
	b.press(kb.Enter, chromedp.ModifierShift)
	b.press("rest done")
	b.press(kb.Enter)
	b.until(said("Logged (written): 1 96 clean") + " === 1")
	if got := b.value(`document.querySelector("#line-text").value`); got != "" {
		t.Errorf("after sending the field still has %q", got)
	}

	// Up edits the last message.
	b.press(kb.ArrowUp)
	b.press(kb.Backspace + kb.Backspace + kb.Backspace + kb.Backspace + "missed")
	b.press(kb.Enter)
	b.until(said("Logged (edited): 1 96 clean") + " === 1")
	b.until(`document.querySelector("#line-log .mine:last-of-type, #line-log .mine") && ` + said("rest missed") + ` > 0 && ` + said("edited") + ` > 0`)

	// Back to the question, answered by its number.
	b.press(kb.Escape)
	for range 20 {
		if b.value(`document.activeElement.classList.contains("is-question")`) == "true" {
			break
		}
		b.press(kb.ArrowUp)
	}
	b.press("2")
	b.until(said("You answered: ♩ = 92") + " === 1")
	last := s.store.messages()
	if m := last[len(last)-1]; m.Text != "2: 92" || m.ReplyTo != "post:question/1" {
		t.Errorf("the choice was sent as %q in reply to %q", m.Text, m.ReplyTo)
	}

	// A reply to the card, then one thought better of.
	b.until(said("Logged (written): 2: 92") + " === 1")
	b.value(`document.querySelector(".is-routine").focus()`)
	b.press("r")
	b.until(`document.querySelector("#line-form .mode-text").innerText.includes("Replying to “Ada, Wednesday 4 March”")`)
	b.press("4 at 60")
	b.press(kb.Enter)
	b.until(said("Logged (written): 4 at 60") + " === 1")
	last = s.store.messages()
	if m := last[len(last)-1]; m.ReplyTo != "post:"+string(routineKey(4)) {
		t.Errorf("the reply names %q", m.ReplyTo)
	}

	// Deleting asks first.
	b.press(kb.Escape)
	for range 20 {
		if b.value(`document.activeElement.matches(".mine") && document.activeElement.innerText.includes("4 at 60")`) == "true" {
			break
		}
		b.press(kb.ArrowUp)
	}
	b.press(kb.Delete)
	b.until(`document.querySelector("#sure").open`)
	b.picture("desk-delete")
	b.press(kb.Escape)
	b.until(`!document.querySelector("#sure").open`)
	b.press(kb.Delete)
	b.until(`document.querySelector("#sure").open`)
	b.press(kb.Tab + kb.Enter)
	b.until(said("Logged (deleted)") + " === 1")
	if n := len(s.store.messages()); s.store.messages()[n-1].Happening != studio.Deleted {
		t.Errorf("the last that happened is %+v", s.store.messages()[n-1])
	}
	b.quiet()
}

// The tab key goes through the page in reading order, with one stop for a
// conversation and then the actions of its current entry.
func TestFocusOrder(t *testing.T) {
	s := newScene(t, nil)
	s.furnish()
	b := openTab(t, s, 1280, 800, atAda)
	b.until(`document.querySelectorAll("#line-log .entry[tabindex='0']").length === 1 && document.querySelectorAll("#channel-log .entry[tabindex='0']").length === 1`)
	var got []string
	for range 20 {
		b.press(kb.Tab)
		got = append(got, b.focus())
	}
	want := "skip studio as 1 24 168 help-open entry reply line-text line-send take-open take-record entry edit delete channel-text channel-send"
	if s := strings.Join(got, " "); !strings.HasPrefix(s, want+" ") {
		t.Errorf("the tab key goes\n%s, want\n%s", s, want)
	}
	b.value(`document.querySelector("#help-open").focus()`)
	b.press(kb.Enter)
	b.until(`document.querySelector("#help").open`)
	b.picture("desk-help")
	b.press(kb.Escape)
	if got := b.focus(); got != "help-open" {
		t.Errorf("after the help the focus is on %q", got)
	}
	b.press(kb.F6)
	if got := b.focus(); got != "channel-text" {
		t.Errorf("F6 leads to %q", got)
	}
	b.press(kb.F6)
	if got := b.focus(); got != "line-text" {
		t.Errorf("F6 again leads to %q", got)
	}
	if got := b.value(`getComputedStyle(document.activeElement).outlineStyle + getComputedStyle(document.activeElement).outlineWidth`); got != "solid3px" {
		t.Errorf("the focus shows as %q", got)
	}
	b.quiet()
}

func TestTwoPagesAndTheClock(t *testing.T) {
	s := newScene(t, nil)
	one := openTab(t, s, 1280, 800, atAda)
	two := openTab(t, s, 400, 860, "#studio=harbour-row&as=ilo", chromedp.EmulateMobile, chromedp.EmulateTouch)
	for _, b := range []*tab{one, two} {
		b.until(`document.querySelector("#state").innerText === "Live"`)
	}
	one.picture("desk-empty")
	two.picture("phone400-empty")
	if got := one.value(`document.querySelector("#now").innerText`); got != "Wed 4 Mar 2026, 07:02" {
		t.Errorf("in Lisbon the clock shows %q", got)
	}
	if got := two.value(`document.querySelector("#now").innerText`); got != "Wed 4 Mar 2026, 16:02" {
		t.Errorf("in Tokyo the clock shows %q", got)
	}
	one.value(`document.querySelector("#channel-text").focus()`)
	one.press("does anybody hear me")
	one.press(kb.Enter)
	two.until(`document.querySelector("[data-view=channel]").innerText.includes("1 new")`)
	two.value(`document.querySelector("[data-view=channel]").click()`)
	two.until(`document.querySelector("#channel-log").innerText.includes("does anybody hear me")`)
	two.until(`!document.querySelector("[data-view=channel]").innerText.includes("new")`)

	s.clock.hold = make(chan struct{})
	one.value(`document.querySelector("[data-hours='24']").focus()`)
	one.press(kb.Enter)
	two.until(`document.querySelector("#state").innerText === "Moving the clock…" && document.querySelector("[data-hours='1']").getAttribute("aria-disabled") === "true"`)
	one.picture("desk-moving")
	close(s.clock.hold)
	one.until(`document.querySelector("#now").innerText === "Thu 5 Mar 2026, 07:02" && document.querySelector("[data-hours='168']").getAttribute("aria-disabled") === "false"`)
	two.until(`document.querySelector("#now").innerText === "Thu 5 Mar 2026, 16:02" && document.querySelector("#state").innerText === "Live"`)

	s.clock.mu.Lock()
	s.clock.err = errors.New("the store is full")
	s.clock.mu.Unlock()
	one.value(`document.querySelector("[data-hours='168']").click()`)
	one.until(`document.querySelector("#trouble").innerText.includes("The clock stopped short: the store is full.")`)
	one.picture("desk-trouble")
	one.quiet("500 (Internal Server Error)")
	two.quiet()
}

// The page comes back by itself, and what was being written is still there.
func TestServerRestarts(t *testing.T) {
	s := newScene(t, nil)
	b := openTab(t, s, 1280, 800, atAda)
	b.until(`document.querySelector("#state").innerText === "Live"`)
	b.value(`document.querySelector("#line-text").focus()`)
	b.press("half a thou")
	address := s.server.Listener.Addr().String()
	s.room.Close()
	s.server.CloseClientConnections()
	s.server.Close()
	b.until(`document.querySelector("#state").innerText === "Reconnecting…"`)
	b.press("ght" + kb.Enter)
	b.until(`document.querySelector("#line-note").innerText.includes("Not sent.")`)
	b.picture("desk-lost")

	room, err := New(s.room.cfg)
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	server := &httptest.Server{Listener: listener, Config: &http.Server{Handler: room}}
	server.Start()
	t.Cleanup(func() {
		room.Close()
		server.Close()
	})
	b.until(`document.querySelector("#state").innerText === "Live"`)
	b.press(kb.Enter)
	b.until(said("half a thought") + " === 1")
	if n := len(s.store.messages()); n != 1 {
		t.Errorf("%d messages arrived, want 1", n)
	}
	b.quiet("Failed to load resource")
}

func TestSignInPage(t *testing.T) {
	s := newScene(t, locked)
	b := openTab(t, s, 360, 740, atAda)
	b.until(`document.activeElement.id === "member"`)
	b.picture("phone-signin")
	b.press(kb.Tab + kb.Tab + "not the password" + kb.Enter)
	b.until(`document.querySelector("#porch-trouble").innerText.includes("not the room's password")`)
	b.press(password + kb.Enter)
	b.until(`document.querySelector("#as").value === "ada" && !document.querySelector("#desk").hidden`)
	if got := b.value("document.cookie"); got != "" {
		t.Errorf("scripts can read the cookie: %q", got)
	}
	b.value(`document.querySelector("#sign-out").click()`)
	b.until(`!document.querySelector("#sign-in").hidden && document.querySelector("#desk").hidden`)
	b.quiet("401 (Unauthorized)", "403 (Forbidden)")
}

// Text that looks like markup is shown as it is, and does nothing.
func TestHostileTextOnThePage(t *testing.T) {
	const evil = `<img src=x onerror=document.title='broken'><script>document.title='broken'</script>`
	s := newScene(t, nil)
	s.store.studios[0].Name = evil
	for i := range s.store.members {
		s.store.members[i].Name = evil
	}
	s.store.posted(studio.Post{Key: "routine/" + evil, Kind: "routine", Studio: "harbour-row", To: lineOfAda, Title: evil, Text: evil, Foot: evil,
		Items: []studio.PostItem{{N: 1, Head: evil, Detail: evil}}, Pictures: []studio.Picture{{Alt: evil}}, Choices: []studio.Choice{{Label: evil, Text: evil}}}, s.clock.Now())
	s.bot.Receive(t.Context(), studio.Message{Platform: Platform, ID: "x", Happening: studio.Written, Author: studio.Account{Platform: Platform, ID: "ada"}, Private: true, Text: evil, At: s.clock.Now()})
	b := openTab(t, s, 360, 740, atAda)
	b.until(said(evil) + " === 2")
	if got := b.value(`document.querySelectorAll("img[src=x], body script").length`); got != "0" {
		t.Errorf("%s elements were made out of text", got)
	}
	if got := b.value("document.title"); got != evil {
		t.Errorf("the title is %q", got)
	}
	if v := b.value("document.documentElement.scrollWidth <= innerWidth"); v != "true" {
		t.Error("wider than the window")
	}
	b.quiet()
}

// chooses has the browser choose a file of some bytes, and waits for what the page
// says of it.
func (b *tab) chooses(name string, data []byte, says string) {
	b.t.Helper()
	path := filepath.Join(b.t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		b.t.Fatal(err)
	}
	b.do(chromedp.SetUploadFiles("#take-file", []string{path}))
	b.until(fmt.Sprintf(`document.querySelector("#line-form").innerText.includes(%q)`, says))
}

// TestRecordingSentFromThePage: one that is chosen goes with the words and the wish
// to keep it; what can't be a recording is refused in a sentence, and nothing is
// sent.
func TestRecordingSentFromThePage(t *testing.T) {
	s := newScene(t, nil)
	s.bot.chat = s.room
	b := openTab(t, s, 1280, 800, atAda)
	b.until(`document.querySelector("#state").innerText === "Live"`)
	b.chooses("take.wav", nil, "The recording is empty")
	b.chooses("take.wav", make([]byte, 40<<20), "The recording has 40 MB; send one of at most 25 MB.")
	b.chooses("words.txt", []byte("1 96 clean"), "That is no recording")
	if got := b.value(`document.querySelector("#take-name").hidden`); got != "true" {
		t.Fatal("something is to be sent")
	}
	wav := wavOf(2000)
	b.chooses("take.wav", wav, "take.wav")
	b.picture("desk-recording")
	b.value(`document.querySelector("#take-keep").click()`)
	b.value(`document.querySelector("#line-text").focus()`)
	b.press("1 96 clean" + kb.Enter)
	b.until(said("Logged (written): 1 96 clean keep") + " === 1")
	m := s.store.messages()[0]
	if len(m.Files) != 1 || m.Files[0].Name != "take.wav" || !bytes.Equal(m.Files[0].Data, wav) || !m.Private {
		t.Errorf("%d files arrived, want the recording", len(m.Files))
	}
	b.until(`document.querySelector("#take-name").hidden && ` + said("♪ take.wav") + ` === 1`)
	if got := b.value(`document.querySelector("#line-log .mine [data-do=edit]")`); got != "null" {
		t.Error("a message with a recording can be edited")
	}
	b.quiet()
}

// TestRecordedOnThePage records from the browser's make-believe microphone.
func TestRecordedOnThePage(t *testing.T) {
	s := newScene(t, nil)
	s.bot.chat = s.room
	b := openTab(t, s, 400, 860, atAda)
	b.until(`document.querySelector("#state").innerText === "Live"`)
	b.value(`document.querySelector("#take-record").click()`)
	b.until(`document.querySelector("#line-note").innerText.includes("Recording, 0:02")`)
	b.value(`document.querySelector("#take-record").click()`)
	b.until(`!document.querySelector("#take-name").hidden`)
	if v := b.value("document.documentElement.scrollWidth <= innerWidth"); v != "true" {
		t.Error("wider than the window")
	}
	b.picture("phone400-recorded")
	b.value(`document.querySelector("#line-send").click()`)
	b.until(said("Logged (written)") + " === 1")
	f := s.store.messages()[0].Files[0]
	const second = 2 * 24000
	if !bytes.HasPrefix(f.Data, []byte("RIFF")) || len(f.Data) < 3*second/2 || len(f.Data) > 10*second || !slices.ContainsFunc(f.Data[44:], func(x byte) bool { return x != 0 }) {
		t.Errorf("%d bytes were recorded, want two seconds of WAV that are no silence", len(f.Data))
	}
	b.quiet()
}

// TestFilesOfAPost are played and saved on the page.
func TestFilesOfAPost(t *testing.T) {
	s := newScene(t, nil)
	k := click.Click{From: routine.Tempo{BPM: 96, Note: routine.Quarter}, Meter: 4, CountIn: 1, Seconds: 5}
	s.store.posted(studio.Post{Key: "answer/1", Kind: studio.AnswerPost, Studio: "harbour-row", To: lineOfAda, Text: "A click.", Click: &k}, s.clock.Now())
	b := openTab(t, s, 1280, 800, atAda)
	b.until(said("A click.") + " === 1")
	if got := b.value(`document.querySelectorAll("#line-log audio").length + " " + [...document.querySelectorAll(".files a")].map(a => a.innerText).join(", ")`); got != "1 Save click.wav, Save click.mid" {
		t.Errorf("the page has %q", got)
	}
	b.value(`document.querySelector("#line-log audio").play()`)
	b.until(`document.querySelector("#line-log audio").currentTime > 0.3`)
	if got := b.value(`Math.round(document.querySelector("#line-log audio").duration)`); got != fmt.Sprint(math.Round(k.Length())) {
		t.Errorf("it lasts %s s, want %.1f", got, k.Length())
	}
	b.quiet()
}
