package main

import (
	"context"
	"crypto/rand"
	"encoding/binary"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"sync"
	"time"

	"ledgerline/adapters/audio"
	"ledgerline/adapters/charts"
	"ledgerline/adapters/database/postgres"
	"ledgerline/adapters/metrics"
	"ledgerline/adapters/room"
	"ledgerline/adapters/sheet"
	"ledgerline/routine"
	"ledgerline/routine/reply"
	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A house is the program put together: a store, the service on it, and the room.
type house struct {
	store   keeper
	service *studio.Service
	room    *room.Room
	board   switchboard
	chats   []liveChat

	metrics    *metrics.Board
	background []func(context.Context) // what else runs while the room is open
}

// A plan of a house.
type blueprint struct {
	database string
	password string
	books    map[studio.StudioID]*routine.Catalogue
	words    map[studio.StudioID]*words.Lexicon // of those that have their own
	now      func() time.Time
	clock    room.Stepper // nil: the clock is the world's
	log      *slog.Logger
	keep     time.Duration // of words; 0: for ever

	lastBackup func() time.Time // nil: no backups are made

	chats *chatFlags                    // beside the room; nil: none
	wrap  func(studio.Chat) studio.Chat // wraps the room; nil: as it is
}

// lexicon returns the words of a studio.
func (b *blueprint) lexicon(id studio.StudioID) *words.Lexicon {
	if x := b.words[id]; x != nil {
		return x
	}
	return words.Program()
}

// receiver lets the room be made before the service that takes its messages.
type receiver func(context.Context, studio.Message) error

func (r receiver) Receive(ctx context.Context, m studio.Message) error { return r(ctx, m) }

// build opens the store and joins the parts.
func build(ctx context.Context, b blueprint) (*house, error) {
	reader, err := reply.NewReader()
	if err != nil {
		return nil, err
	}
	store, err := openStore(ctx, b.database)
	if err != nil {
		return nil, err
	}
	h := &house{store: store}
	h.board = switchboard{
		store: store, database: b.keyFile(), now: b.now, log: b.log,
		receiver: receiver(func(ctx context.Context, m studio.Message) error { return h.service.Receive(ctx, m) }),
		service:  func() *studio.Service { return h.service },
	}
	h.metrics, err = metrics.New(metrics.Config{
		Patient: func() metrics.Patient { return h.service }, Now: b.now, Backup: b.lastBackup, Chats: h.platforms,
	})
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	h.board.metrics = h.metrics
	drawer := charts.New(b.lexicon)
	chats, err := h.open(b, drawer)
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	empty := &routine.Catalogue{}
	atOnce, nap := b.pace()
	h.service = studio.New(studio.Config{
		Store: store, Chats: chats, Drawer: drawer, Reader: reader,
		Books: func(id studio.StudioID) *routine.Catalogue {
			if c := b.books[id]; c != nil {
				return c
			}
			return empty
		},
		Words: b.lexicon, Now: b.now, Random: random, Log: b.log, Keep: b.keep, AtOnce: atOnce, Nap: nap, Meter: h.metrics, Ear: ear(),
	})
	return h, nil
}

// ear listens to recordings in processes of this program. Where the program can't
// tell which file it is, recordings are left alone.
func ear() studio.Ear {
	self, err := os.Executable()
	if err != nil {
		return nil
	}
	return audio.NewEar(audio.Usual, self, "listen")
}

// open makes the room and the other chats.
func (h *house) open(b blueprint, drawer studio.Drawer) (chats []studio.Chat, err error) {
	h.room, err = room.New(room.Config{
		Store: h.store, Drawer: drawer, Printer: sheet.New(), Now: b.now, NewID: rand.Text, Log: b.log,
		Words: b.lexicon, Receiver: h.board.receiver, Password: b.password, Clock: b.clock, Shared: postgres.IsURL(b.database),
	})
	if err != nil {
		return nil, err
	}
	chats = []studio.Chat{h.room}
	if b.wrap != nil {
		chats[0] = b.wrap(h.room)
	}
	if b.chats == nil {
		return chats, nil
	}
	if h.chats, err = b.chats.open(h.board); err != nil {
		return nil, err
	}
	for _, chat := range h.chats {
		chats = append(chats, chat)
	}
	return chats, nil
}

// random returns a number in [0,1) that nobody can foretell: invitations are
// made of such.
func random() float64 {
	var b [8]byte
	rand.Read(b[:])
	return float64(binary.LittleEndian.Uint64(b[:])>>11) / (1 << 53)
}

// apply brings the store in line with the files of studios.
func (h *house) apply(ctx context.Context, rosters []studio.Roster) error {
	for _, r := range rosters {
		if err := h.service.Apply(ctx, r); err != nil {
			return err
		}
	}
	return nil
}

// serve opens the room at addr and works until ctx is done.
func (h *house) serve(ctx context.Context, addr string, ready func(url string)) error {
	listener, err := room.Listen(addr)
	if err != nil {
		return err
	}
	server := room.Server(h.room)
	ended := make(chan error, 2)
	go func() { ended <- server.Serve(listener) }()
	working, stop := context.WithCancel(ctx)
	defer stop()
	var beside sync.WaitGroup
	for _, chat := range h.chats {
		beside.Go(func() { h.board.connect(working, chat) })
	}
	for _, work := range h.background {
		beside.Go(func() { work(working) })
	}
	worked := make(chan error, 1)
	go func() { worked <- h.service.Run(working) }()
	ready("http://" + listener.Addr().String() + "/")

	select {
	case <-ctx.Done():
	case err = <-ended:
	}
	h.room.Close()
	stop()
	grace, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	err = errors.Join(err, server.Shutdown(grace), <-worked)
	beside.Wait()
	return err
}

// platforms returns the chats that there are.
func (h *house) platforms() []studio.Platform {
	all := []studio.Platform{room.Platform}
	for _, chat := range h.chats {
		all = append(all, chat.Platform())
	}
	return all
}

// showMetrics opens the pages of the figures at an address of their own, for as
// long as the room is open.
func (h *house) showMetrics(addr string, log *slog.Logger) error {
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("opening the metrics at %s: %w", addr, err)
	}
	server := &http.Server{Handler: h.metrics, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 30 * time.Second, WriteTimeout: 30 * time.Second}
	log.Info("metrics are shown", "at", "http://"+listener.Addr().String()+"/metrics")
	h.background = append(h.background, func(ctx context.Context) {
		stopped := context.AfterFunc(ctx, func() { server.Close() })
		defer stopped()
		if err := server.Serve(listener); err != nil && !errors.Is(err, http.ErrServerClosed) {
			log.Error("metrics are no longer shown", "err", err)
		}
	})
	return nil
}

// pace returns how much is done at once, and how long the program rests at most: not
// long where others may have left work, or put something up for sending.
func (b *blueprint) pace() (atOnce int, nap time.Duration) {
	if postgres.IsURL(b.database) {
		return 6, 100 * time.Millisecond
	}
	return 0, 0
}

// keyFile returns the file for the keys of encrypted rooms: the database, if it is
// a file.
func (b *blueprint) keyFile() string {
	if postgres.IsURL(b.database) {
		return "ledgerline-keys.db"
	}
	return b.database
}
