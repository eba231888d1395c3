// Bot runs brass studios in a chat: it posts each student's routine of the day,
// reads the short replies, keeps the log and tells the teacher what she can
// teach from.
//
// See the README for what it does, and bot --help for how to run it.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	_ "time/tzdata" // zones on machines that have none

	"github.com/alecthomas/kong"
)

type cli struct {
	Config kong.ConfigFlag `help:"File with settings, in YAML, under the names of the flags: \"listen: 127.0.0.1:8080\"." placeholder:"FILE"`

	Demo    demoCmd    `cmd:"" help:"Play some weeks of an invented studio and open its room in the browser."`
	Run     runCmd     `cmd:"" help:"Run the studios described in one or more folders."`
	Backup  backupCmd  `cmd:"" help:"Copy the database, also while the program runs, and verify the copy."`
	Restore restoreCmd `cmd:"" help:"Make a database of a backup, verified."`

	Export       exportCmd       `cmd:"" help:"Write all that is kept of one member into a file."`
	Erase        eraseCmd        `cmd:"" help:"Remove one member with all that is kept of her."`
	ExportStudio exportStudioCmd `cmd:"" help:"Write a whole studio into a folder, as JSON and as tables."`
	Import       importCmd       `cmd:"" help:"Take members and plans over from tables, or say what that would do."`

	ImportStudio importStudioCmd `cmd:"" help:"Take an exported studio over into a database, or say what that would do."`
	ImportMember importMemberCmd `cmd:"" help:"Take an exported member over into a studio, or say what that would do."`

	Deeds deedsCmd `cmd:"" help:"List what teachers, assistants and guardians did by commands."`
	Move  moveCmd  `cmd:"" help:"Move everything from a file into a PostgreSQL database, and compare."`

	Check  checkCmd  `cmd:"" help:"Read the folders of studios and say what is wrong in them."`
	Plan   planCmd   `cmd:"" help:"Show what a date brings a student, and why."`
	Digest digestCmd `cmd:"" help:"Make the digest of a week or of other dates, as text, HTML or PDF."`
	Hear   hearCmd   `cmd:"" help:"Listen to a minute test in a sound file and print what was played as JSON."`
	Listen listenCmd `cmd:"" hidden:"" help:"Measure the one recording that standard input brings; the program runs itself so."`
	Read   readCmd   `cmd:"" help:"Read replies against a routine, one a line, and print each reading as JSON."`

	Lessons lessonsCmd `cmd:"" help:"Take the lessons from a calendar file, or write them into one."`
}

const about = `Ledgerline runs a brass teacher's studio in a chat.

See the whole job at once:

    bot demo

Begin a studio of your own:

    bot demo --files my-studio
    bot check my-studio
    bot run my-studio`

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "bot:", err)
		os.Exit(1)
	}
}

// run does what args say. What is asked for goes to out; progress and the log go
// to standard error.
func run(ctx context.Context, args []string, in io.Reader, out io.Writer) error {
	var c cli
	parser, err := kong.New(&c,
		kong.Name("bot"), kong.Description(about), kong.Configuration(settings),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
		kong.Writers(out, os.Stderr),
		kong.BindTo(ctx, (*context.Context)(nil)), kong.BindTo(in, (*io.Reader)(nil)), kong.BindTo(out, (*io.Writer)(nil)))
	if err != nil {
		return err
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	k, err := parser.Parse(args)
	if err != nil {
		return err
	}
	if err := checkSecrets(k); err != nil {
		return err
	}
	return k.Run()
}
