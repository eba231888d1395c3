package room

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// Platform is the name of the room among the platforms.
const Platform studio.Platform = "room"

// A Config is what a [Room] is made from. All fields but Words, Printer, Password,
// Shared and Clock are needed.
type Config struct {
	Store    studio.Store
	Receiver studio.Receiver  // takes what is typed
	Drawer   studio.Drawer    // draws the pictures of posts
	Printer  studio.Printer   // makes posts into pages; nil: it has none
	Now      func() time.Time // the clock of the studios, which may be a simulated one
	NewID    func() string    // ids that never repeat, also after a restart
	Log      *slog.Logger     // told no message text and no names

	// Words gives the words of a studio; nil: those of the program.
	Words func(studio.StudioID) *words.Lexicon

	// Password is the host's, who may act as everybody: at least 8 characters and at
	// most 72 bytes, or the bcrypt hash of such a password. Empty: only this
	// machine may enter.
	Password string

	// Shared says that other programs may say something too, on the same store: pages
	// look at their conversations again every few seconds.
	Shared bool

	// Clock moves the clock that Now shows. Nil: it can't be moved.
	Clock Stepper
}

// A Stepper moves a simulated clock forward and does what falls due on the way.
type Stepper interface {
	// Step returns once the clock has moved by d and all is done that fell due
	// meanwhile. It obeys ctx.
	Step(ctx context.Context, d time.Duration) error
}

// A Room serves the studios of one store to browsers.
type Room struct {
	cfg      Config
	handler  http.Handler
	door     *door
	hub      *hub
	gallery  *gallery
	stepping sync.Mutex // held while the clock is being moved
}

var (
	_ studio.Chat  = (*Room)(nil)
	_ http.Handler = (*Room)(nil)
)

// New returns a room. It fails if a field of c is missing, or the password is
// one that [CheckPassword] refuses.
func New(c Config) (*Room, error) {
	if c.Store == nil || c.Receiver == nil || c.Drawer == nil || c.Now == nil || c.NewID == nil || c.Log == nil {
		return nil, errors.New("room: Store, Receiver, Drawer, Now, NewID and Log must all be set")
	}
	door, err := newDoor(c.Password)
	if err != nil {
		return nil, fmt.Errorf("room: %w", err)
	}
	c.Password = ""
	r := &Room{cfg: c, door: door, hub: newHub(), gallery: newGallery(c.Drawer)}
	r.handler = r.routes()
	return r, nil
}

// Close ends the live updates of all pages, so that a server can shut down
// without waiting for them. Pages come back by themselves when they can.
func (r *Room) Close() { r.hub.close() }

// Platform returns "room".
func (r *Room) Platform() studio.Platform { return Platform }

// AtOnce returns 1: nothing is gained by more, since a post is on its way for no
// time.
func (r *Room) AtOnce() int { return 1 }

// Send tells the pages that show d's address to look again. The post is in their
// transcript once the outbox has it as sent, under the id that Send returns,
// which depends on d.Key alone.
func (r *Room) Send(_ context.Context, d studio.Delivery) (id string, err error) {
	if d.To.Platform != Platform {
		return "", &studio.SendError{Permanent: true, Err: fmt.Errorf("post for platform %q given to the room", d.To.Platform)}
	}
	id = postID(d.Key)
	r.hub.await(d.To, id)
	return id, nil
}

// postID returns the platform id of a post.
func postID(k studio.Key) string { return "post:" + string(k) }

// ServeHTTP implements [http.Handler].
func (r *Room) ServeHTTP(w http.ResponseWriter, req *http.Request) { r.handler.ServeHTTP(w, req) }

func (r *Room) routes() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /", r.answer(pageFiles()))
	mux.Handle("GET /api/words", r.answer(r.showWords))

	mux.Handle("POST /api/signin", r.answer(r.signIn))
	mux.Handle("POST /api/signout", r.answer(r.signOut))

	inside := map[string]action{
		"GET /api/room":       r.showRoom,
		"GET /api/members":    r.showMembers,
		"GET /api/transcript": r.showTranscript,
		"GET /api/events":     r.streamEvents,
		"GET /picture":        r.showPicture,
		"GET /sheet":          r.showSheet,
		"GET /file":           r.showFile,
		"POST /api/say":       r.say,
		"POST /api/record":    r.record,
		"POST /api/edit":      r.edit,
		"POST /api/delete":    r.takeBack,
		"POST /api/step":      r.step,
	}
	for pattern, do := range inside {
		mux.Handle(pattern, r.answer(r.door.inside(do)))
	}
	return r.guard(mux)
}
