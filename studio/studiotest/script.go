package studiotest

import (
	"time"

	"ledgerline/routine"
	"ledgerline/studio"
)

// conversations are held over every chat.
var conversations = []struct {
	name  string
	names map[studio.MemberID]string // of members who are called otherwise
	steps []step
}{
	{name: "a routine, a reply and its receipt", steps: []step{
		sees("ada", "Daily Ground", "line"),
		says("ada", "1 60 clean, 2 skip, 30m"),
		sees("ada", "1 clean at quarter=60", "2 skipped", "30 min"),
		logs("ada", "1 clean", "2 skipped"),
	}},
	{name: "a reply to the card", steps: []step{
		sees("ada", "Daily Ground"),
		replies("ada", "1 60 shaky"),
		sees("ada", "1 shaky"),
		logs("ada", "1 shaky"),
	}},
	{name: "an edit and a deletion", steps: []step{
		sees("ada", "Daily Ground"),
		says("ada", "1 60 clean"),
		logs("ada", "1 clean"),
		edits("ada", "1 60 missed"),
		logs("ada", "1 missed"),
		deletes("ada"),
		logs("ada"),
	}},
	{name: "an edit of a reply to the card, twice", steps: []step{
		sees("ada", "Daily Ground"),
		replies("ada", "2 60 clean"),
		logs("ada", "2 clean"),
		edits("ada", "2 60 shaky"),
		logs("ada", "2 shaky"),
		passes(time.Minute), // by which edits are told apart
		edits("ada", "1 60 clean, 2 missed"),
		logs("ada", "1 clean", "2 missed"),
	}},
	{name: "an edit that makes a question of a reply, and one that answers it", steps: []step{
		sees("ada", "Daily Ground"),
		says("ada", "1 60 clean"),
		sees("ada", "1 clean"),
		edits("ada", "60"),
		sees("ada", "not sure about"),
		logs("ada"),
		passes(time.Minute),
		edits("ada", "2 60 clean"),
		sees("ada", "2 clean"),
		logs("ada", "2 clean"),
	}},
	{name: "a quick answer, and taking it back", steps: []step{
		sees("ada", "Daily Ground"),
		chooses("ada", "Daily Ground", 0),
		marked("ada"),
		logs("ada", "1 done", "2 done"),
		takesBack(logs("ada")),
	}},
	{name: "a quick answer taken back, and given anew", steps: []step{
		sees("ada", "Daily Ground"),
		chooses("ada", "Daily Ground", 0),
		logs("ada", "1 done", "2 done"),
		takesBack(
			logs("ada"),
			chooses("ada", "Daily Ground", 0),
			logs("ada", "1 done", "2 done"),
		),
	}},
	{name: "the quick answer of part of it", steps: []step{
		sees("ada", "Daily Ground"),
		chooses("ada", "Daily Ground", 1),
		sees("ada", "Logged"),
		has("ada", "played"),
	}},
	{name: "the quick answer of a rest day", steps: []step{
		sees("ada", "Daily Ground"),
		chooses("ada", "Daily Ground", 2),
		marked("ada"),
		has("ada", string(routine.RestDay)),
	}},
	{name: "the quick answer of one who can't today", steps: []step{
		sees("ada", "Daily Ground"),
		chooses("ada", "Daily Ground", 3),
		sees("ada", "Logged"),
		has("ada", "not played"),
	}},
	{name: "a question answered by a choice", steps: []step{
		sees("ada", "Daily Ground"),
		says("ada", "60"),
		sees("ada", "not sure about"),
		logs("ada"),
		chooses("ada", "not sure about", 1),
		sees("ada", "Logged"),
		logs("ada", "1 done"),
	}},
	{name: "pain reaches the teacher", steps: []step{
		sees("ada", "Daily Ground"),
		says("ada", "my lip hurts"),
		sees("odile", "Ada reports pain", "my lip hurts"),
		sees("ada", "licensed health professional"),
	}},
	{name: "nothing of a minor is logged before her guardian agrees", steps: []step{
		says("mina", "done 15"),
		sees("mina", "a guardian has to agree", "consent Mina"),
		has("mina"),
		says("petra", "consent Mina"),
		sees("petra", "Mina"),
		says("mina", "done 15"),
		marked("mina"),
		has("mina", "played"),
		says("petra", "week Mina"),
		sees("petra", "Mina"),
	}},
	{name: "words that would be markup change nothing", steps: []step{
		sees("ada", "Daily Ground"),
		says("ada", "can you hear @everyone and @room, *so* [x](y) <b>bold</b> `code`, in my tone?"),
		sees("odile", "@everyone and @room, *so* [x](y) <b>bold</b> `code`"),
	}},
	{name: "names that would be markup change nothing", names: map[studio.MemberID]string{
		"ada": "@everyone", "mina": "[x](y)", "odile": "<script>alert(1)</script>", "petra": "@room",
	}, steps: []step{
		sees("ada", "Daily Ground"),
		says("ada", "my lip hurts"),
		sees("odile", "@everyone reports pain"),
		says("odile", "tell @everyone rest, and greet @here"),
		sees("odile", "@everyone"),
		sees("ada", "<script>alert(1)</script>", "rest, and greet @here"),
		says("mina", "done 15"),
		sees("mina", "consent [x](y)"),
		says("petra", "consent [x](y)"),
		sees("petra", "[x](y)"),
	}},
	{name: "a command of the teacher and one that is not hers to give", steps: []step{
		says("odile", "minutes Ada 25"),
		sees("odile", "Ada now has 25 minutes"),
		sees("ada", "Daily Ground"),
		says("ada", "/minutes Ada 90"),
		sees("ada", "not yours to give"),
	}},
	{name: "an answer too long for one message", steps: []step{
		says("odile", "help"),
		seesCommands("odile"),
	}},
	{name: "an announcement in the channel, and talk left alone", steps: []step{
		says("odile", "challenge 3 50 Three days together"),
		sees("odile", "Three days together"),
		sees("ada", "Daily Ground"),
		talks("ada", "1 96 clean"),
		passes(24 * time.Hour),
		everybodySees("From today to Thursday 5 March"),
		logs("ada"),
	}},
	{name: "a reply in the channel, and its receipt where nobody else sees it", steps: []step{
		says("odile", "challenge 3 50 Three days together"),
		sees("ada", "Daily Ground"),
		passes(24 * time.Hour),
		everybodySees("From today to Thursday 5 March"),
		sees("ada", "Tuesday 3 March"),
		answers("ada", "From today", "1 60 clean"),
		sees("ada", "1 clean"),
		logs("ada", "1 clean"),
		nobodySees("1 clean"),
	}},
	{name: "a message in the channel that names the bot", steps: []step{
		sees("ada", "Daily Ground"),
		names("ada", "1 60 clean"),
		sees("ada", "1 clean"),
		logs("ada", "1 clean"),
		nobodySees("1 clean"),
	}},
	{name: "a message in a thread that hangs from a post", steps: []step{
		says("odile", "challenge 3 50 Three days together"),
		sees("ada", "Daily Ground"),
		passes(24 * time.Hour),
		everybodySees("From today to Thursday 5 March"),
		sees("ada", "Tuesday 3 March"),
		branches("ada", "1 60 clean"),
		sees("ada", "1 clean"),
		logs("ada", "1 clean"),
		nobodySees("1 clean"),
	}},
	{name: "a picture", steps: []step{
		sees("ada", "Daily Ground"),
		says("ada", "1 60 clean"),
		sees("ada", "1 clean"),
		says("ada", "week"),
		sees("ada", "Days kept, Ada"),
	}},
}
