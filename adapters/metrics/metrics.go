// Package metrics tells Prometheus, and whoever asks whether the program is well,
// how the studios are doing.
//
// [New] makes a [Board], which is the [studio.Meter] of a service and an
// [http.Handler] with two pages:
//
//	GET /metrics   the figures, in the text format of Prometheus
//	GET /healthz   200 and {"well": true, ...}, or 503 and why not
//
// The figures have a registry of their own. They are of the whole program, by
// platform, kind of post and verdict: none is about a studio or a person. They
// are listed, with alerts to begin from, in cmd/bot/release.
package metrics

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"ledgerline/studio"
)

// A Patient is what is asked how it is: [studio.Service].
type Patient interface {
	Health(ctx context.Context) (studio.Health, error)
}

// A Config is what a [Board] is made from. All fields but Backup are needed.
type Config struct {
	Patient func() Patient           // the service, once there is one
	Now     func() time.Time         // the clock
	Backup  func() time.Time         // when the last backup was made, zero for none yet; nil: none are made
	Chats   func() []studio.Platform // all there are, so that their figures are there from the start
}

// A Board shows figures.
type Board struct {
	cfg     Config
	handler http.Handler

	heard         *prometheus.CounterVec
	lastHeard     *vec
	read          *prometheus.CounterVec
	reading       prometheus.Histogram
	sent, notSent *prometheus.CounterVec
	lastSent      *vec
	givenUp       *prometheus.CounterVec
	waits         *prometheus.HistogramVec
	stopped       prometheus.Counter
	troubles      *prometheus.CounterVec
}

// A vec is figures by platform.
type vec = prometheus.GaugeVec

var _ studio.Meter = (*Board)(nil)

const space = "ledgerline"

// New returns a board.
func New(c Config) (*Board, error) {
	if c.Patient == nil || c.Now == nil || c.Chats == nil {
		return nil, errors.New("metrics: Patient, Now and Chats must all be set")
	}
	b := &Board{
		cfg:       c,
		heard:     counters("messages_heard_total", "Messages heard since the start, with edits and deletions.", "platform"),
		lastHeard: gauges("last_heard_timestamp_seconds", "When a message was last heard.", "platform"),
		read:      counters("messages_read_total", "Messages read, by what became of them.", "verdict"),
		reading: prometheus.NewHistogram(prometheus.HistogramOpts{Namespace: space, Name: "reading_seconds",
			Help: "Time to read one message and keep what it says.", Buckets: prometheus.ExponentialBuckets(0.001, 2.5, 10)}),
		sent:     counters("posts_sent_total", "Posts sent.", "platform", "kind"),
		notSent:  counters("posts_failed_total", "Attempts to send a post that failed.", "platform"),
		givenUp:  counters("posts_given_up_total", "Posts that will not be tried again.", "platform"),
		lastSent: gauges("last_sent_timestamp_seconds", "When a post was last sent.", "platform"),
		waits: prometheus.NewHistogramVec(prometheus.HistogramOpts{Namespace: space, Name: "post_wait_seconds",
			Help: "Time from when a post might be sent to when it was.", Buckets: prometheus.ExponentialBuckets(0.01, 4, 9)}, []string{"kind"}),
		stopped: prometheus.NewCounter(prometheus.CounterOpts{Namespace: space, Name: "work_stopped_total",
			Help: "How often the work stopped short, to be tried again."}),
		troubles: counters("chat_trouble_total", "Troubles with a chat that its teachers were told of.", "platform"),
	}
	registry := prometheus.NewRegistry()
	for _, c := range []prometheus.Collector{
		b.heard, b.lastHeard, b.read, b.reading, b.sent, b.notSent, b.givenUp, b.lastSent, b.waits, b.stopped, b.troubles,
		&ward{b}, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
	} {
		if err := registry.Register(c); err != nil {
			return nil, err
		}
	}
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(registry, promhttp.HandlerOpts{ErrorHandling: promhttp.ContinueOnError}))
	mux.HandleFunc("GET /healthz", b.showHealth)
	b.handler = mux
	return b, nil
}

func gauges(name, help string, labels ...string) *prometheus.GaugeVec {
	return prometheus.NewGaugeVec(prometheus.GaugeOpts{Namespace: space, Name: name, Help: help}, labels)
}

func counters(name, help string, labels ...string) *prometheus.CounterVec {
	return prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: space, Name: name, Help: help}, labels)
}

// ServeHTTP implements [http.Handler].
func (b *Board) ServeHTTP(w http.ResponseWriter, req *http.Request) { b.handler.ServeHTTP(w, req) }

// Heard implements [studio.Meter].
func (b *Board) Heard(p studio.Platform) {
	b.heard.WithLabelValues(string(p)).Inc()
	b.lastHeard.WithLabelValues(string(p)).Set(seconds(b.cfg.Now()))
}

// Read implements [studio.Meter].
func (b *Board) Read(v studio.Verdict, took time.Duration) {
	b.read.WithLabelValues(string(v)).Inc()
	b.reading.Observe(took.Seconds())
}

// Sent implements [studio.Meter].
func (b *Board) Sent(p studio.Platform, k studio.PostKind, waited time.Duration) {
	b.sent.WithLabelValues(string(p), string(k)).Inc()
	b.lastSent.WithLabelValues(string(p)).Set(seconds(b.cfg.Now()))
	b.waits.WithLabelValues(string(k)).Observe(max(0, waited.Seconds()))
}

// NotSent implements [studio.Meter].
func (b *Board) NotSent(p studio.Platform, givenUp bool) {
	b.notSent.WithLabelValues(string(p)).Inc()
	if givenUp {
		b.givenUp.WithLabelValues(string(p)).Inc()
	}
}

// Stopped implements [studio.Meter].
func (b *Board) Stopped() { b.stopped.Inc() }

// Trouble counts that teachers were told of a trouble with a chat.
func (b *Board) Trouble(p studio.Platform) { b.troubles.WithLabelValues(string(p)).Inc() }

func seconds(t time.Time) float64 { return float64(t.UnixMilli()) / 1000 }

// What the health of the service gives, asked at each look.
const (
	lookAtMost = 5 * time.Second
	unwell     = 5 * time.Minute // since the service last went round
)

// Standing is what /healthz says.
type Standing struct {
	Well      bool              `json:"well"`
	Why       string            `json:"why,omitempty"` // if not well
	Worked    time.Time         `json:"worked"`        // when it last went round
	Unread    int               `json:"unread"`
	Overdue   string            `json:"overdue,omitempty"` // how long scheduled work has been waiting
	Platforms map[string]Health `json:"platforms"`
}

// Health is how one platform is.
type Health struct {
	Waiting int       `json:"waiting"`         // posts that may be sent and were not yet
	Failing int       `json:"failing"`         // of them, those that failed and are tried again
	Oldest  time.Time `json:"oldest,omitzero"` // since when the oldest waits
}

func (b *Board) showHealth(w http.ResponseWriter, req *http.Request) {
	ctx, cancel := context.WithTimeout(req.Context(), lookAtMost)
	defer cancel()
	s := b.standing(ctx)
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	if !s.Well {
		w.WriteHeader(http.StatusServiceUnavailable)
	}
	json.NewEncoder(w).Encode(s)
}

func (b *Board) standing(ctx context.Context) Standing {
	s := Standing{Platforms: map[string]Health{}}
	for _, p := range b.cfg.Chats() {
		s.Platforms[string(p)] = Health{}
	}
	h, err := b.cfg.Patient().Health(ctx)
	if err != nil {
		s.Why = "the store does not answer"
		return s
	}
	s.Worked, s.Unread = h.Worked.UTC(), h.Unread
	if h.Overdue > 0 {
		s.Overdue = h.Overdue.Round(time.Second).String()
	}
	for _, q := range h.Queues {
		s.Platforms[string(q.Platform)] = Health{q.Waiting, q.Failing, q.Oldest}
	}
	if idle := b.cfg.Now().Sub(h.Worked); idle > unwell || idle < -unwell {
		s.Why = "the service has not gone round for a while"
		return s
	}
	s.Well = true
	return s
}

// A ward collects what must be asked for.
type ward struct{ *Board }

func desc(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc(prometheus.BuildFQName(space, "", name), help, labels, nil)
}

// Describe says that the figures are whatever Collect gives.
func (w *ward) Describe(chan<- *prometheus.Desc) {}

// Collect implements [prometheus.Collector].
func (w *ward) Collect(out chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), lookAtMost)
	defer cancel()
	s := w.standing(ctx)
	gauge := func(name, help string, value float64, labels ...string) {
		var names []string
		if len(labels) > 0 {
			names = []string{"platform"}
		}
		out <- prometheus.MustNewConstMetric(desc(name, help, names...), prometheus.GaugeValue, value, labels...)
	}
	well := 0.0
	if s.Well {
		well = 1
	}
	gauge("well", "1 if /healthz says that all is well, else 0.", well)
	gauge("messages_unread", "Messages that were heard and not read yet.", float64(s.Unread))
	overdue, _ := time.ParseDuration(s.Overdue) // none is 0
	gauge("work_overdue_seconds", "How long the longest due scheduled work has been waiting.", overdue.Seconds())
	for p, h := range s.Platforms {
		gauge("posts_waiting", "Posts that may be sent and were not yet.", float64(h.Waiting), p)
		gauge("posts_failing", "Posts that failed and are tried again.", float64(h.Failing), p)
		age := 0.0
		if !h.Oldest.IsZero() {
			age = w.cfg.Now().Sub(h.Oldest).Seconds()
		}
		gauge("posts_oldest_seconds", "How long the oldest post has been waiting that may be sent.", age, p)
	}
	if w.cfg.Backup != nil {
		at := 0.0
		if made := w.cfg.Backup(); !made.IsZero() {
			at = seconds(made)
		}
		gauge("last_backup_timestamp_seconds", "When the last backup was made and verified; 0: none yet.", at)
	}
}
