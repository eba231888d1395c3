package main

import (
	"context"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

var update = flag.Bool("update", false, "make the README's picture of the room again")

// openRoom plays the demo, serves its room and opens it in a real
// browser as a member.
func openRoom(t *testing.T, c demoCmd, width, height int, who string) context.Context {
	t.Helper()
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no Chromium on this machine, so the room was not tried in a browser")
	}
	told, err := c.tell(t.Context(), filepath.Join(t.TempDir(), "demo.db"))
	if err != nil {
		t.Fatal(err)
	}
	serving, stop := context.WithCancel(t.Context())
	url, ended := make(chan string, 1), make(chan error, 1)
	go func() { ended <- told.serve(serving, "127.0.0.1:0", func(at string) { url <- at }) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Errorf("serving the room: %v", err)
		}
		told.store.Close()
	})
	ctx, stopBrowser := chromedp.NewExecAllocator(t.Context(),
		chromedp.ExecPath(browser), chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck,
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("disable-quic", true))
	t.Cleanup(stopBrowser)
	ctx, stopTab := chromedp.NewContext(ctx)
	t.Cleanup(stopTab)
	err = chromedp.Do(ctx, chromedp.EmulateViewport(int64(width), int64(height)), chromedp.Navigate(<-url+"#studio=harbour-row&as="+who))
	if err != nil {
		t.Fatal(err)
	}
	return ctx
}

// page returns what an expression is in the page, as a string.
func page(t *testing.T, ctx context.Context, expression string) string {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[string]("String("+expression+")"))
	if err != nil {
		t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// awaitPage waits for an expression to be true in the page.
func awaitPage(t *testing.T, ctx context.Context, expression string) {
	t.Helper()
	deadline := time.Now().Add(30 * time.Second)
	for page(t, ctx, "Boolean("+expression+")") != "true" {
		if time.Now().After(deadline) {
			t.Fatalf("never true in the page: %s\ntext of the page: %s", expression, page(t, ctx, "document.body.innerText"))
		}
		time.Sleep(50 * time.Millisecond)
	}
}

const line = `document.querySelector("#line-log").innerText`

// A student, on a phone: the clock goes to the next morning, she is posted a
// routine, answers it with the keyboard and has it logged.
func TestStudentAnswersOnAPhone(t *testing.T) {
	ctx := openRoom(t, demoCmd{Weeks: 1, Seed: 1}, 390, 844, "tobias")
	awaitPage(t, ctx, `document.querySelector("#state").innerText === "Live" && document.querySelector("#as").selectedOptions[0].text.includes("Tobias")`)
	page(t, ctx, `document.querySelector("[data-hours='24']").click()`)
	awaitPage(t, ctx, line+`.includes("Monday 2 March")`)
	if v := page(t, ctx, "document.documentElement.scrollWidth <= innerWidth"); v != "true" {
		t.Error("the page is wider than the phone")
	}
	page(t, ctx, `document.querySelector("#line-text").focus()`)

	err := chromedp.Do(ctx, chromedp.KeyEvent("1 clean, 2 shaky, rest done 35m"), chromedp.KeyEvent("\r"))
	if err != nil {
		t.Fatal(err)
	}
	awaitPage(t, ctx, line+`.includes("Logged") && `+line+`.includes("35 min")`)
	awaitPage(t, ctx, line+`.includes("1 clean at quarter=")`)
}

// The teacher, on a wide screen: the digest with its pictures is there; this is
// also the picture of the README.
func TestTeacherFindsHerDigest(t *testing.T) {
	ctx := openRoom(t, demoCmd{Weeks: 6, Seed: 1}, 1280, 860, "odile")
	awaitPage(t, ctx, line+`.includes("Week 14")`)
	awaitPage(t, ctx, `[...document.querySelectorAll("#line-log img")].length >= 4`)
	page(t, ctx, `[...document.querySelectorAll("#line-log .is-digest")].at(-1).scrollIntoView()`)
	awaitPage(t, ctx, `[...document.querySelectorAll("#line-log .is-digest")].at(-1).querySelectorAll("img").length >= 4 &&
		[...[...document.querySelectorAll("#line-log .is-digest")].at(-1).querySelectorAll("img")].every(i => i.alt && (i.loading === "lazy" || i.naturalWidth > 0))`)
	if !*update {
		return
	}
	time.Sleep(300 * time.Millisecond)
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join("..", "..", "testdata", "room.png"), png, 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestRecordingIsHeardInTheRoom: a student sends a minute test from the page and is
// answered with figures and a picture; keeps it, and her teacher hears it; asks for
// a click and has it. Words that call themselves a recording are said to be none.
func TestRecordingIsHeardInTheRoom(t *testing.T) {
	ctx := openRoom(t, demoCmd{Weeks: 1, Seed: 1}, 1280, 860, "tobias")
	awaitPage(t, ctx, `document.querySelector("#state").innerText === "Live"`)
	page(t, ctx, `document.querySelector("[data-hours='24']").click()`)
	awaitPage(t, ctx, line+`.includes("Monday 2 March")`)
	send := func(path, words, want string) {
		t.Helper()
		if path != "" {
			if err := chromedp.Do(ctx, chromedp.SetUploadFiles("#take-file", []string{path})); err != nil {
				t.Fatal(err)
			}
			awaitPage(t, ctx, `!document.querySelector("#take-name").hidden`)
		}
		page(t, ctx, `document.querySelector("#line-text").focus()`)
		if err := chromedp.Do(ctx, chromedp.KeyEvent(words)); err != nil {
			t.Fatal(err)
		}
		page(t, ctx, `document.querySelector("#line-send").click()`)
		awaitPage(t, ctx, line+".includes("+strconv.Quote(want)+`) && document.querySelector("#line-text").value === ""`)
	}
	text := filepath.Join(t.TempDir(), "minute.ogg")
	if err := os.WriteFile(text, []byte("1 96 clean"), 0o600); err != nil {
		t.Fatal(err)
	}
	send(text, "", "no sound file that I know")
	send(playedFile(t), "keep", "Heard: quarter=144, 576 notes in 60 s.")
	awaitPage(t, ctx, line+`.includes("The recording is kept as number")`)
	const last = `[...document.querySelectorAll("#line-log .post")].at(-1)`
	awaitPage(t, ctx, last+`.querySelector("img")?.naturalWidth > 0`)
	send("", "click", "A click for item")
	awaitPage(t, ctx, last+`.querySelector("audio") !== null`)
	page(t, ctx, `fetch(`+last+`.querySelectorAll(".files a")[1].href).then(r => r.text()).then(s => { document.body.dataset.midi = s.slice(0, 4); })`)
	awaitPage(t, ctx, `document.body.dataset.midi === "MThd"`)

	page(t, ctx, `(() => { const as = document.querySelector("#as"); as.value = "odile"; as.dispatchEvent(new Event("change")); })()`)
	awaitPage(t, ctx, `document.querySelector("#line-who").innerText.includes("Odile")`)
	send("", "recordings Tobias", "Recordings that Tobias keeps")
	page(t, ctx, last+`.querySelector(".choice").click()`)
	awaitPage(t, ctx, last+`.querySelector("audio") !== null`)
	page(t, ctx, last+`.querySelector("audio").load(), `+last+`.querySelector("audio").preload = "metadata"`)
	awaitPage(t, ctx, `Math.round(`+last+`.querySelector("audio").duration) === 62`)
}
