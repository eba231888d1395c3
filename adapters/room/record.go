package room

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"mime"
	"net/http"
	"path"
	"strconv"
	"strings"
	"time"

	"ledgerline/studio"
	"ledgerline/studio/words"
)

// A recordingView is what a page is told of the recordings that it may send.
type recordingView struct {
	Most    int      `json:"most"`    // bytes
	Endings []string `json:"endings"` // of names
}

// maxName is the longest name of a file that is kept, in bytes.
const maxName = 120

// record takes a message that comes with a recording: a line as for [Room.say],
// and then the file. Who may not send one is told before it is read.
func (r *Room) record(w http.ResponseWriter, req *http.Request) error {
	if req.ContentLength > studio.MaxRecording+maxBody {
		return tooLarge(req.ContentLength)
	}
	body := bufio.NewReaderSize(req.Body, maxBody)
	head, err := body.ReadSlice('\n')
	if err != nil {
		return misused("a line of JSON comes before the file")
	}
	var in writing
	if err := decodeJSON(bytes.NewReader(head), &in); err != nil {
		return err
	}
	if err := r.check(req.Context(), &in, false); err != nil {
		return err
	}
	file := studio.File{ID: "recording", Name: path.Base("/" + strings.ToValidUTF8(in.File, ""))}
	if len(file.Name) > maxName {
		file.Name = strings.ToValidUTF8(file.Name[len(file.Name)-maxName:], "")
	}
	if !file.IsSound() {
		return fail(http.StatusUnsupportedMediaType, "room.no-recording", nil)
	}
	msg, at, err := r.compose(req.Context(), in)
	if err != nil {
		return err
	}
	if at.Account == "" {
		return fail(http.StatusBadRequest, "room.recording-line", nil)
	}
	allowTime(w)
	if file.Data, err = readRecording(body); err != nil {
		return err
	}
	file.Size = int64(len(file.Data))
	msg.Files = []studio.File{file}
	return r.receive(w, req, msg, at)
}

// allowTime gives a request time for a whole recording. A writer that has no
// limits of time needs none.
func allowTime(w http.ResponseWriter) {
	rc, until := http.NewResponseController(w), time.Now().Add(fileTime)
	_, _ = rc.SetReadDeadline(until), rc.SetWriteDeadline(until.Add(replyTime))
}

func tooLarge(size int64) error {
	return fail(http.StatusRequestEntityTooLarge, "room.recording-large", words.With{"size": max(size>>20, 1), "most": studio.MaxRecording >> 20})
}

func readRecording(body io.Reader) ([]byte, error) {
	file, err := io.ReadAll(io.LimitReader(body, studio.MaxRecording+1))
	var tooBig *http.MaxBytesError
	switch {
	case errors.As(err, &tooBig) || len(file) > studio.MaxRecording:
		return nil, tooLarge(int64(len(file)))
	case err != nil:
		return nil, misused("the body breaks off")
	case len(file) == 0:
		return nil, fail(http.StatusBadRequest, "room.recording-empty", nil)
	}
	return file, nil
}

var errNoFile = fail(http.StatusNotFound, "room.no-file", nil)

// showFile gives a file that goes with a post.
func (r *Room) showFile(w http.ResponseWriter, req *http.Request) error {
	n, err := strconv.Atoi(req.FormValue("n"))
	if err != nil || n < 0 {
		return errNoFile
	}
	post, seat, err := r.findPost(req, errNoFile)
	if err != nil {
		return err
	}
	var files []studio.Attached
	err = r.cfg.Store.View(req.Context(), func(tx studio.Tx) (err error) {
		files, err = studio.FilesOf(tx, &post.Post, &seat.member)
		return err
	})
	if errors.Is(err, studio.ErrNotFound) || err == nil && n >= len(files) {
		return errNoFile
	}
	if err != nil {
		return err
	}
	f := files[n]
	w.Header().Set("Content-Type", f.Type)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": f.Name}))
	allowTime(w)
	http.ServeContent(w, req, "", time.Time{}, bytes.NewReader(f.Data))
	return nil
}
