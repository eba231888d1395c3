package main

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"slices"
	"sync"
	"time"
)

// A strike is a kind of moment at which the program is killed; or, so that its
// own way of stopping is tried at such moments too, asked to stop.
type strike int

const (
	midStart strike = iota
	midNight
	midRequest
	afterwards
	onRequest
)

var strikes = [...]string{"while it started", "while it made up for a night", "in the middle of requests", "soon after an answer", "as a stop that was asked for"}

// A talk is a conversation with the program.
type talk struct {
	*program
	*visitor
	random   *rand.Rand // of the strikes' moments
	result   *result
	doubtful bool // some answers are lost on their way
	drafts   int
	messages map[string][]string // ids of a member's messages that she has not deleted, in order
	wrote    map[string]int      // how many she has written in all
	changed  map[string]int      // how many her author had written when a message was last edited
}

func newTalk(p *program, seed uint64, res *result) *talk {
	return &talk{
		program: p, visitor: newVisitor(), random: rand.New(rand.NewPCG(seed, 1)),
		result: res, messages: map[string][]string{}, wrote: map[string]int{}, changed: map[string]int{},
	}
}

// An offer is a writing on its way.
type offer struct {
	step
	writing
	first    bool // was not offered before
	accepted bool
}

// turn has the members do the steps of one turn while the strikes fall, and
// returns once each writing was accepted.
func (c *talk) turn(steps []step, strikes []strike) {
	c.t.Helper()
	var offers []*offer
	for _, s := range steps {
		if o := c.prepare(s); o != nil {
			offers = append(offers, o)
		}
	}
	c.result.offered += len(offers)
	for _, s := range strikes {
		switch s {
		case midStart:
			c.kill()
			c.hitStart()
		case midRequest, onRequest:
			c.offer(offers, func() { c.hitSoon(s) })
		case afterwards:
			c.offer(offers, nil)
			c.hitSoon(afterwards)
		}
		c.start()
	}
	c.offer(offers, nil)
	for _, o := range offers {
		o.accepted = o.accepted && !(c.doubtful && c.random.IntN(4) == 0)
	}
	c.offer(offers, nil)
	if c.mortal && slices.ContainsFunc(offers, func(o *offer) bool { return !o.accepted }) {
		c.revive()
		c.offer(offers, nil)
	}
	for _, o := range offers {
		if !o.accepted {
			c.result.lost++
			c.t.Fatalf("lost: %s of %s was never accepted", o.do, o.as)
		}
		c.accepted(o)
	}
}

// hitStart kills the program somewhere in its start, or a little after.
func (c *talk) hitStart() {
	c.launch()
	c.hit(midStart, time.Duration(c.random.Float64()*float64(120*time.Millisecond)))
}

// hitSoon kills the program in the next few milliseconds.
func (c *talk) hitSoon(s strike) {
	c.hit(s, time.Duration(c.random.ExpFloat64()*float64(3*time.Millisecond)))
}

func (c *talk) hit(s strike, after time.Duration) {
	time.Sleep(after)
	if s == onRequest {
		c.stop()
	} else {
		c.kill()
	}
	c.result.kills[s]++
}

// prepare makes a step into what the page would send; nil if there is nothing
// to send, such as an edit by somebody who has written nothing.
func (c *talk) prepare(s step) *offer {
	c.t.Helper()
	c.drafts++
	o := &offer{step: s, first: true, writing: writing{
		Studio: "harbour-row", As: s.as, Where: "line", Text: s.text, Draft: fmt.Sprintf("draft-%04d", c.drafts),
	}}
	own := c.messages[s.as]
	switch s.do {
	case "say":
		if s.open {
			o.Where, o.ReplyTo = "channel", c.await(s.as, "channel", "announcement", "").ID
		}
		return o
	case "press":
		o.do = "say"
		set := c.await(s.as, "line", "routine", "")
		o.ReplyTo, o.Text = set.ID, set.Post.Choices[s.pick].Text
		return o
	case "answer":
		o.do = "say"
		question := c.await(s.as, "line", "question", own[len(own)-1])
		o.ReplyTo, o.Text = question.ID, question.Post.Choices[s.pick].Text
		return o
	}
	if len(own) == 0 {
		return nil
	}
	o.Where, o.Message = "", own[s.pick%len(own)]
	if !c.settled(s.as, o.Message) {
		return nil
	}
	return o
}

// settled reports whether all that befell a message so far has been read, and
// waits for it where that can be told: by a later message having been read. An
// edit that is overtaken by another, or by the deletion, is left out by the
// program, so that it matters which comes first.
func (c *talk) settled(as, message string) bool {
	c.t.Helper()
	since, changed := c.changed[message]
	if !changed {
		return true
	}
	if c.wrote[as] == since {
		return false
	}
	c.heard(as)
	return true
}

// await waits until a member sees a post.
func (c *talk) await(as, where, kind, message string) (found shown) {
	c.t.Helper()
	there := eventually(func() (ok bool) {
		lines := c.see(as, where)
		found, ok = post(lines, kind, message)
		return ok
	})
	if !there {
		c.result.lost++
		c.t.Fatalf("lost: %s never saw a %s in answer to %q", as, kind, message)
	}
	return found
}

// see returns a conversation as a member sees it.
func (c *talk) see(as, where string) []shown {
	c.t.Helper()
	lines, err := c.read(c.url, as, where)
	if err != nil && c.mortal {
		c.revive()
		lines, err = c.read(c.url, as, where)
	}
	if err != nil {
		c.t.Fatal(err)
	}
	return lines
}

// offer offers what was not accepted yet, all at once, while meanwhile runs.
func (c *talk) offer(offers []*offer, meanwhile func()) {
	c.t.Helper()
	var wait sync.WaitGroup
	room := c.url
	errs := make([]error, len(offers))
	for i, o := range offers {
		if o.accepted {
			continue
		}
		if !o.first {
			c.result.again++
		}
		wait.Go(func() { errs[i] = c.offerOne(room, o) })
	}
	if meanwhile != nil {
		meanwhile()
	}
	wait.Wait()
	if err := errors.Join(errs...); err != nil {
		c.t.Fatal(err)
	}
}

// offerOne offers a writing once. No answer is no error.
func (c *talk) offerOne(room string, o *offer) error {
	id, err := c.write(room, o.do, o.writing)
	again := !o.first
	o.first = false
	var no *refused
	switch {
	case err == nil:
		o.accepted = true
		if o.do == "say" {
			o.Message = id
		}
	case errors.As(err, &no):
		// The first offer may have been carried out, and only its answer lost.
		if o.do == "delete" && again && no.status == http.StatusConflict {
			o.accepted = true
			return nil
		}
		return fmt.Errorf("%s of %s: %w", o.do, o.as, no)
	}
	return nil
}

// accepted remembers what a member has written.
func (c *talk) accepted(o *offer) {
	switch o.do {
	case "say":
		c.messages[o.as] = append(c.messages[o.as], o.Message)
		c.wrote[o.as]++
	case "edit":
		c.changed[o.Message] = c.wrote[o.as]
	case "delete":
		c.messages[o.as] = slices.DeleteFunc(c.messages[o.as], func(id string) bool { return id == o.Message })
	}
}

// heard waits until everything a member has written was read.
func (c *talk) heard(as string) {
	c.t.Helper()
	judged := eventually(func() bool {
		return allJudged(c.see(as, "line")) && allJudged(c.see(as, "channel"))
	})
	if !judged {
		c.result.lost++
		c.t.Fatalf("lost: a message of %s was never read", as)
	}
}
