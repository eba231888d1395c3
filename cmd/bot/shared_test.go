package main

import (
	"bytes"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"text/template"
	"time"

	"ledgerline/adapters/database/postgres/postgrestest"
	"ledgerline/adapters/discord"
	"ledgerline/adapters/discord/discordtest"
	"ledgerline/routine"
	"ledgerline/studio"
	"ledgerline/studio/harbour"
)

// A load is what TestShared puts on programs that share a database.
type load struct {
	programs []int // how many there are, one after another; of the last one is killed
	all      int   // studios in the database
	talking  int   // of them, those whose students talk, and whose folders the programs have
	pupils   int   // of each studio
	waiting  int   // replies that wait for their receipts at once, to find how many go through
	rate     int   // replies a second otherwise
	seconds  int   // of either
	routines int   // studios whose routines fall due at once
	away     int   // how long the way to the database and back takes besides, in microseconds
}

// loadWanted returns a small load, or that of LEDGERLINE_SHARED, such as
// "1,2,4 all=20000 talking=2000 pupils=25 waiting=48 rate=20 seconds=40 routines=100 away=1000".
func loadWanted(t *testing.T) load {
	l := load{programs: []int{1, 3}, all: 12, talking: 8, pupils: 3, waiting: 4, rate: 10, seconds: 3, routines: 4}
	for i, word := range strings.Fields(os.Getenv("LEDGERLINE_SHARED")) {
		if i == 0 {
			l.programs = nil
			for n := range strings.SplitSeq(word, ",") {
				l.programs = append(l.programs, number(t, n))
			}
			continue
		}
		name, value, _ := strings.Cut(word, "=")
		field := map[string]*int{
			"all": &l.all, "talking": &l.talking, "pupils": &l.pupils, "waiting": &l.waiting,
			"rate": &l.rate, "seconds": &l.seconds, "routines": &l.routines, "away": &l.away,
		}[name]
		if field == nil {
			t.Fatalf("LEDGERLINE_SHARED: there is no %q", name)
		}
		*field = number(t, value)
	}
	return l
}

func number(t *testing.T, s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestShared has the real program run several times on one PostgreSQL, while
// students of many studios talk with it over a Discord of ours, and kills one: each
// reply is logged once and gets its receipt. With LEDGERLINE_SHARED and -v it is
// the measurement of DEVELOPERS.md.
func TestShared(t *testing.T) {
	if testing.Short() || runtime.GOOS == "windows" {
		t.Skip("this takes a while; not with -short")
	}
	l := loadWanted(t)
	today()
	w := newWharf(t, l)
	for i, n := range l.programs {
		w.start(n)
		w.report(n, "all that goes through", w.flood(), true)
		w.report(n, fmt.Sprint(l.rate, " a second"), w.steady(nil), false)
		w.morning(n, i)
		if i == len(l.programs)-1 && n > 1 {
			w.report(n, "one of them killed", w.steady(w.programs[0]), false)
		}
		w.end()
	}
	w.compare()
}

// A wharf is studios of a kind, on a Discord of ours and in one database.
type wharf struct {
	*testing.T
	load
	db       *sql.DB
	address  string
	far      string // the same, for the programs
	folders  string
	discord  *discordtest.Server
	channels []string // of the studios that talk
	players  []discordtest.User
	owner    discordtest.User // of the servers; and who never writes
	outcomes [][]string       // what each player said, in order
	programs []*program
	*receipts
}

const (
	shardsOfWharf = 4
	wharfID       = "quay-00000" // of the first studio; the others' are as long
	wharfChannel  = "80000000000000000"
	wharfPlayer   = "70000000000000000"
)

var wharfFile = template.Must(template.New("studio.yaml").Parse(`
id: {{.ID}}
name: Quay
zone: UTC
lang: en
channels: [{platform: discord, channel: "{{.Channel}}"}]
post-at: "0 0 * * *"
remind-at: never
digest-at: never
members:
  - {id: {{.ID}}-teacher, name: Odile Renner, role: teacher, age: adult, accounts: [{platform: room, id: {{.ID}}-teacher}]}
{{range $n, $none := .Pupils}}
  - id: {{$.ID}}-pupil{{$n}}
    name: Pupil {{$n}}
    role: student
    age: adult
    accounts: [{{if eq $n 0}}{platform: discord, id: "{{$.Player}}"}{{else}}{platform: room, id: {{$.ID}}-pupil{{$n}}}{{end}}]
    instrument: trumpet
    level: growing
    minutes: 40
    highest: A5
    joined: {{$.Joined}}
    plan:
      - {study: slur-atlas/2, pass: 1, since: {{$.Joined}}}
      - {study: slur-atlas/3, pass: 1, since: {{$.Joined}}}
{{end}}`))

func quay(n int) string { return fmt.Sprintf("quay-%05d", n) }

// newWharf fills the database: the first studio by the program's own means, the
// others as copies of its rows under other names.
func newWharf(t *testing.T, l load) *wharf {
	w := &wharf{T: t, load: l, address: postgrestest.Database(t), folders: t.TempDir(), discord: discordtest.New(), receipts: newReceipts()}
	t.Cleanup(w.discord.Close)
	w.discord.Watch(w.receipts.watch)
	w.discord.Shards(shardsOfWharf)
	w.outcomes = make([][]string, l.talking)
	w.discord.Limit("", "/", 1<<30, time.Second)
	for range l.talking {
		w.players = append(w.players, w.discord.AddUser("player"))
	}
	w.owner = w.discord.AddUser("owner")
	for n := range l.talking {
		w.channels = append(w.channels, w.discord.AddChannel(w.discord.AddGuild(quay(n), w.owner), "practice"))
	}
	postgrestest.Exec(t, w.address, `ALTER SYSTEM SET fsync = on`)
	postgrestest.Exec(t, w.address, `SELECT pg_reload_conf()`)
	var err error
	if w.db, err = sql.Open("pgx", w.address); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.db.Close() })
	if w.far = w.address; l.away > 0 {
		w.far = far(t, w.address, time.Duration(l.away)*time.Microsecond/2)
	}
	began := time.Now()
	w.fill()
	t.Logf("%d studios of %d students filled in after %v", l.all, l.pupils, time.Since(began).Round(time.Second))
	return w
}

// writeQuay writes the folder of a studio.
func (w *wharf) writeQuay(name, channel, player string) string {
	folder := filepath.Join(w.folders, name)
	var text bytes.Buffer
	book, err := harbour.Files.ReadFile("books/slur-atlas.yaml")
	err = errors.Join(err, wharfFile.Execute(&text, map[string]any{
		"ID": name, "Channel": channel, "Player": player, "Pupils": make([]bool, w.pupils),
		"Joined": (routine.DateOf(time.Now(), time.UTC) - 10).String(),
	}), os.MkdirAll(filepath.Join(folder, "books"), 0o700))
	if err == nil {
		err = errors.Join(os.WriteFile(filepath.Join(folder, "studio.yaml"), text.Bytes(), 0o600),
			os.WriteFile(filepath.Join(folder, "books", "slur-atlas.yaml"), book, 0o600))
	}
	if err != nil {
		w.Fatal(err)
	}
	return folder
}

func (w *wharf) fill() {
	folder := w.writeQuay(wharfID, wharfChannel, wharfPlayer)
	rosters, books, err := readFolders([]string{folder})
	if err != nil {
		w.Fatal(err)
	}
	h, err := build(w.Context(), blueprint{database: w.address, books: books, now: time.Now, log: slog.New(slog.DiscardHandler)})
	if err != nil {
		w.Fatal(err)
	}
	err = h.apply(w.Context(), rosters)
	w.exec(`UPDATE due SET at = 0, date = date - 1 WHERE member LIKE '%pupil0'`)
	_, err2 := h.service.RunDue(w.Context())
	if err := errors.Join(err, err2, h.store.Close()); err != nil {
		w.Fatal(err)
	}
	w.exec(`CREATE TABLE quays (id TEXT PRIMARY KEY, channel TEXT, player TEXT, sum TEXT)`)
	part, err := json.Marshal(rosters[0])
	if err != nil {
		w.Fatal(err)
	}
	var rows []string
	for n := 1; n <= w.all; n++ {
		channel, player := fmt.Sprintf("81%015d", n), w.owner.ID
		if n <= w.talking {
			channel, player = w.channels[n-1], w.players[n-1].ID
			w.writeQuay(quay(n), channel, player)
		}
		sum := sha256.Sum256([]byte(strings.NewReplacer(wharfID, quay(n), wharfChannel, channel, wharfPlayer, player).Replace(string(part))))
		rows = append(rows, fmt.Sprintf("('%s','%s','%s','%s')", quay(n), channel, player, hex.EncodeToString(sum[:])))
	}
	w.exec(`INSERT INTO quays VALUES ` + strings.Join(rows, ","))
	w.copyRows()
	w.exec(`ANALYZE`)
}

// copyRows copies the rows of the first studio, and removes that. Those who never
// write have no routine yet, whatever the hour.
func (w *wharf) copyRows() {
	w.exec(`DELETE FROM routine WHERE member NOT LIKE '%pupil0'`)
	renamed := func(column string) string {
		return fmt.Sprintf(`replace(replace(replace(%s, '%s', q.id), '%s', q.channel), '%s', q.player)`, column, wharfID, wharfChannel, wharfPlayer)
	}
	for _, table := range []struct{ name, columns string }{
		{"studio", "id* body*"}, {"studio_channel", "platform channel* studio*"},
		{"member", "id* studio* name body*"}, {"member_account", "platform account* member*"},
		{"plan", "member* body"}, {"routine", "member* date number body"}, {"due", "kind studio* member* at date"},
		{"streak", "member* body"}, {"standing", "member* book study line pass body bests"},
	} {
		var into, from []string
		for c := range strings.FieldsSeq(table.columns) {
			name, changes := strings.CutSuffix(c, "*")
			into, from = append(into, name), append(from, "t."+name)
			if changes {
				from[len(from)-1] = renamed("t." + name)
			}
		}
		w.exec(fmt.Sprintf(`INSERT INTO %s (%s) SELECT %s FROM %[1]s AS t, quays AS q`, table.name, strings.Join(into, ", "), strings.Join(from, ", ")))
	}
	w.exec(`INSERT INTO mark (name, value) SELECT 'applied/roster/' || id, convert_to(sum, 'UTF8') FROM quays`)
	of := func(column string) string { return fmt.Sprintf(`%s LIKE '%s%%'`, column, wharfID) }
	w.exec(`DELETE FROM outbox`)
	for _, table := range []string{"routine", "plan", "streak", "standing", "member_account", "due"} {
		w.exec(`DELETE FROM ` + table + ` WHERE ` + of(`member`))
	}
	w.exec(`DELETE FROM due WHERE ` + of(`studio`))
	w.exec(`DELETE FROM member WHERE ` + of(`id`))
	w.exec(`DELETE FROM studio WHERE ` + of(`id`))
}

func (w *wharf) exec(statement string) {
	w.Helper()
	if _, err := w.db.Exec(statement); err != nil {
		w.Fatal(err)
	}
}

func (w *wharf) count(query string, args ...any) (n int) {
	w.Helper()
	if err := w.db.QueryRow(query, args...).Scan(&n); err != nil {
		w.Fatal(err)
	}
	return n
}

// start starts n programs and waits until they have divided the shards and have
// read back what there is.
func (w *wharf) start(n int) {
	began := time.Now()
	w.programs = nil
	for i := range n {
		p := newProgram(w, quay(1), w.far)
		for k := 2; k <= w.talking; k++ {
			p.folders = append(p.folders, quay(k))
		}
		p.args = append(p.args, "--discord-per-second=1000000", "--log-level=warn")
		p.settings = []string{discord.TokenVariable + "=" + w.discord.Token(), "LEDGERLINE_DISCORD_API=" + w.discord.API()}
		p.slow = 10 * time.Minute
		p.begin = func(c *exec.Cmd) error { c.Dir = w.folders; return c.Start() }
		w.programs = append(w.programs, p)
		if p.launch(); i == 0 { // it is the one that sends
			w.opened(p)
		}
	}
	for _, p := range w.programs[1:] {
		w.opened(p)
	}
	for quiet, before := 0, w.discord.Stats(); quiet < 6; {
		time.Sleep(500 * time.Millisecond)
		if now := w.discord.Stats(); now.Histories != before.Histories || now.Identifies != before.Identifies {
			quiet, before = 0, now
		} else {
			quiet++
		}
	}
	w.Logf("%d programs are at work after %v", n, time.Since(began).Round(time.Second))
}

func (w *wharf) opened(p *program) {
	w.Helper()
	if err := p.open(); err != nil {
		w.Fatal(err)
	}
}

// end stops the programs that were not killed.
func (w *wharf) end() {
	for _, p := range w.programs {
		if p.process != nil {
			p.stop()
		}
	}
}

// say has the player of a studio write a reply in its channel.
func (w *wharf) say(n int) {
	outcome := []string{"clean", "shaky"}[len(w.outcomes[n])%2]
	w.outcomes[n] = append(w.outcomes[n], outcome)
	w.await(w.discord.Line(w.players[n]), n)
	w.discord.Say(w.channels[n], w.players[n], "<@"+w.discord.Bot().ID+"> 1 "+outcome)
}

// flood keeps as many replies waiting as the load says.
func (w *wharf) flood() *tide {
	tide := w.begin(w)
	end := time.After(time.Duration(w.seconds) * time.Second)
	free := w.turnOver(w.waiting, w.talking)
	for open := true; open; {
		select {
		case <-end:
			open = false
		case n := <-free:
			w.say(n)
		}
	}
	w.turnOver(0, 0)
	w.settle(tide)
	tide.lasted = time.Since(tide.began) // those that waited at the end are counted too
	return tide
}

// steady has replies written at a rate, and kills a program in the middle, if one
// is given.
func (w *wharf) steady(victim *program) *tide {
	tide := w.begin(w)
	ticker := time.NewTicker(time.Second / time.Duration(w.rate))
	defer ticker.Stop()
	for n := range w.rate * w.seconds {
		<-ticker.C
		w.say(n * 7 % w.talking)
		if victim != nil && n == w.rate*w.seconds/2 {
			victim.kill()
		}
	}
	tide.lasted = time.Since(tide.began)
	w.settle(tide)
	return tide
}

// settle waits until all replies have their receipts.
func (w *wharf) settle(tide *tide) {
	for end := time.Now().Add(2 * time.Minute); w.left() > 0 && time.Now().Before(end); {
		time.Sleep(20 * time.Millisecond)
	}
	tide.finish(w)
}

// morning has the routines of studios fall due at once.
func (w *wharf) morning(n, round int) {
	first := round*w.routines + 1
	if first+w.routines > w.talking+1 {
		first = 1
	}
	before := w.count(`SELECT count(*) FROM routine`)
	tide := w.begin(w)
	date := int64(routine.DateOf(time.Now(), time.UTC))
	res, err := w.db.Exec(`UPDATE due SET at = $1, date = $2 WHERE kind = 'routine' AND member NOT LIKE '%pupil0' AND studio BETWEEN $3 AND $4
		AND NOT EXISTS (SELECT 1 FROM routine AS r WHERE r.member = due.member)`, time.Now().UnixMicro(), date, quay(first), quay(first+w.routines-1))
	if err != nil {
		w.Fatal(err)
	}
	due, _ := res.RowsAffected()
	if due == 0 {
		w.Fatal("no routine falls due")
	}
	for end := time.Now().Add(5 * time.Minute); w.count(`SELECT count(*) FROM routine`) < before+int(due); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			w.Fatalf("%d routines fell due, and are not made", due)
		}
	}
	tide.lasted = time.Since(tide.began)
	tide.finish(w)
	w.Logf("%d programs: %d routines due at once are made and queued in %v: %.0f a second; %s", n, due, tide.lasted.Round(10*time.Millisecond),
		float64(due)/tide.lasted.Seconds(), tide.costs(int(due)))
	for end := time.Now().Add(5 * time.Minute); w.count(`SELECT count(*) FROM outbox WHERE sent_at IS NULL`) > 0 && time.Now().Before(end); {
		time.Sleep(100 * time.Millisecond)
	}
	w.Logf("%d programs: and sent, after %v", n, time.Since(tide.began).Round(10*time.Millisecond))
}

// compare looks whether everything is there once.
func (w *wharf) compare() {
	w.Helper()
	said := w.total()
	for what, query := range map[string]string{
		"messages":                  `SELECT count(*) FROM inbox`,
		"messages that were logged": `SELECT count(*) FROM inbox WHERE verdict = 'logged'`,
		"messages with a report":    `SELECT count(DISTINCT inbox) FROM report`,
		"reports":                   `SELECT count(*) FROM report`,
	} {
		if got := w.count(query); got != said {
			w.Errorf("%d %s, want %d", got, what, said)
		}
	}
	if n := w.count(`SELECT count(*) FROM outbox WHERE sent_at IS NULL`); n > 0 {
		w.Errorf("%d posts were not sent", n)
	}
	if n := w.count(`SELECT count(*) FROM (SELECT member, date FROM routine GROUP BY member, date HAVING count(*) > 1) AS twice`); n > 0 {
		w.Errorf("%d students have two routines of one date", n)
	}
	wrong := 0
	for n, want := range w.outcomes {
		var got []string
		for _, m := range w.discord.Messages(w.discord.Line(w.players[n])) {
			outcome := "other"
			for _, word := range []string{"clean", "shaky"} {
				if strings.Contains(m.Content, "1 "+word) {
					outcome = word
				}
			}
			got = append(got, outcome)
		}
		if !slices.Equal(got, want) {
			w.Logf("said %v, receipts for %v", want, got)
			wrong++
		}
	}
	if wrong > 0 {
		w.Errorf("%d players of %d did not get one receipt for each reply, in order", wrong, len(w.outcomes))
	}
	w.Logf("%d replies compared with the log and with what is shown", said)
}

// Programs that start at the same moment on an empty database make its tables once,
// and take the files of the studio over once.
func TestProgramsStartAtOnce(t *testing.T) {
	address := postgrestest.Database(t)
	postgrestest.Exec(t, address, `DROP SCHEMA public CASCADE`)
	postgrestest.Exec(t, address, `CREATE SCHEMA public`)
	date := today()
	folder := writeFolder(t, date)
	var programs []*program
	for range 4 {
		p := newProgram(t, folder, address)
		p.launch()
		programs = append(programs, p)
	}
	for _, p := range programs {
		if err := p.open(); err != nil {
			t.Error(err)
		}
	}
	if t.Failed() {
		return
	}
	store, err := openStore(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	err = store.View(t.Context(), func(tx studio.Tx) error {
		members, err := tx.Members("harbour-row")
		if len(members) != len(everybody()) {
			t.Errorf("%d members, want %d", len(members), len(everybody()))
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
	for _, p := range programs {
		p.stop()
	}
}
