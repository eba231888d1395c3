package room

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strconv"
	"sync/atomic"
	"testing"
	"time"

	"ledgerline/studio"
)

// A scene is a room with people in it, and a server around it.
type scene struct {
	room   *Room
	store  *fakeStore
	clock  *fakeClock
	bot    *fakeBot
	log    *bytes.Buffer
	server *httptest.Server
}

var (
	lineOfAda = studio.Address{Platform: Platform, Account: "ada"}
	channel   = studio.Address{Platform: Platform, Channel: "harbour-row"}
)

func account(id string) []studio.Account { return []studio.Account{{Platform: Platform, ID: id}} }

// newScene returns a room with one studio of four people and another one beside
// it; alter may change what the room is made from.
func newScene(t *testing.T, alter func(*Config)) *scene {
	t.Helper()
	store := &fakeStore{
		studios: []studio.Studio{
			{ID: "harbour-row", Name: "Harbour Row Brass", Zone: "Europe/Lisbon", Lang: "en", Channels: []studio.Address{channel}},
			{ID: "upper-mill", Name: "Upper Mill Brass", Zone: "Europe/Paris", Lang: "fr"},
		},
		members: []studio.Member{
			{ID: "odile", Studio: "harbour-row", Name: "Odile Renner", Role: studio.Teacher, Zone: "Europe/Lisbon", Lang: "en", Accounts: account("odile")},
			{ID: "ada", Studio: "harbour-row", Name: "Ada", Role: studio.Student, Zone: "Europe/Lisbon", Lang: "en", Accounts: account("ada")},
			{ID: "ilo", Studio: "harbour-row", Name: "Ilo", Role: studio.Student, Zone: "Asia/Tokyo", Lang: "en", Accounts: account("ilo")},
			{ID: "mara", Studio: "harbour-row", Name: "Mara", Role: studio.Guardian, Zone: "Europe/Lisbon", Lang: "en", Accounts: account("mara"), Wards: []studio.MemberID{"ada"}},
			{ID: "elsewhere", Studio: "harbour-row", Name: "Kit", Role: studio.Student, Zone: "UTC", Accounts: []studio.Account{{Platform: "matrix", ID: "@kit"}}},
			{ID: "jules", Studio: "upper-mill", Name: "Jules", Role: studio.Teacher, Zone: "Europe/Paris", Lang: "fr", Accounts: account("jules")},
		},
	}
	s := &scene{store: store, clock: &fakeClock{t: time.Date(2026, 3, 4, 7, 2, 0, 0, time.UTC)}, log: &bytes.Buffer{}}
	s.bot = &fakeBot{store: store, clock: s.clock}
	var ids atomic.Int64
	c := Config{
		Store: store, Receiver: s.bot, Drawer: plainDrawer{}, Printer: plainPrinter{}, Now: s.clock.Now, Clock: s.clock,
		NewID: func() string { return "id-" + strconv.FormatInt(ids.Add(1), 10) },
		Log:   slog.New(slog.NewTextHandler(&lockedWriter{w: s.log}, &slog.HandlerOptions{Level: slog.LevelDebug})),
	}
	if alter != nil {
		alter(&c)
	}
	room, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	s.room = room
	s.server = httptest.NewServer(room)
	t.Cleanup(func() {
		room.Close()
		s.server.Close()
	})
	return s
}

// plainDrawer draws every picture as one shade, as wide as the real ones are.
type plainDrawer struct{}

func (plainDrawer) Describe(p studio.Picture) string { return p.Alt }

func (plainDrawer) Draw(studio.Picture) ([]byte, error) {
	img := image.NewGray(image.Rect(0, 0, 720, 360))
	for i := range img.Pix {
		img.Pix[i] = 240
	}
	for x := range 720 {
		img.SetGray(x, 180, color.Gray{40})
	}
	var out bytes.Buffer
	err := png.Encode(&out, img)
	return out.Bytes(), err
}

type answer struct {
	status int
	header http.Header
	body   string
}

// do sends a request to the scene's room as the room's own page would.
func (s *scene) do(t *testing.T, method, path, body string, headers ...string) answer {
	t.Helper()
	req := httptest.NewRequest(method, path, bytes.NewReader([]byte(body)))
	req.Host, req.RemoteAddr = "localhost:8080", "127.0.0.1:50000"
	if method == http.MethodPost {
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Origin", "http://localhost:8080")
	}
	for i := 0; i+1 < len(headers); i += 2 {
		switch headers[i] {
		case "Host":
			req.Host = headers[i+1]
		case "RemoteAddr":
			req.RemoteAddr = headers[i+1]
		default:
			req.Header.Set(headers[i], headers[i+1])
		}
	}
	w := httptest.NewRecorder()
	s.room.ServeHTTP(w, req)
	return answer{w.Code, w.Header(), w.Body.String()}
}

// plainPrinter makes a page of the title and the number of pictures.
type plainPrinter struct{}

func (plainPrinter) HTML(s studio.Sheet) ([]byte, error) {
	return fmt.Appendf(nil, "%s, %s, %d", s.From, s.Title, len(s.Images)), nil
}

func (plainPrinter) PDF(_ studio.Sheet, p studio.Paper) ([]byte, error) {
	return []byte("%PDF " + p), nil
}
