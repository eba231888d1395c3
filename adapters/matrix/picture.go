package matrix

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/png"
	"slices"
	"strings"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"

	"ledgerline/studio"
)

const pngType = "image/png"

// pictured parts a post's pictures into those to be uploaded and those to be put
// into words, since they were not drawn. The words of a picture are its body.
func pictured(d studio.Delivery) (words []string, pictures []*part) {
	for i, p := range d.Pictures {
		if i >= len(d.Images) {
			words = append(words, p.Alt)
			continue
		}
		size, err := png.DecodeConfig(bytes.NewReader(d.Images[i]))
		if err != nil {
			words = append(words, p.Alt)
			continue
		}
		alt := cut(clean(p.Alt), func(s string) bool { return jsonSize(s) <= pageLimit })[0]
		name := chartName(i + 1)
		if alt == "" {
			alt = name
		}
		pictures = append(pictures, &part{png: d.Images[i], MessageEventContent: event.MessageEventContent{
			MsgType: event.MsgImage, Body: alt, FileName: name, Mentions: &event.Mentions{},
			Info: &event.FileInfo{MimeType: pngType, Width: size.Width, Height: size.Height, Size: len(d.Images[i])},
		}})
	}
	return words, append(pictures, filed(d.Files)...)
}

// chartName is the file name of a post's picture by its number from 1.
func chartName(n int) string { return fmt.Sprintf("chart-%d.png", n) }

// filed returns the files of a post: what sounds as sound.
func filed(files []studio.Attached) (all []*part) {
	for _, f := range files {
		kind := event.MsgFile
		if strings.HasPrefix(f.Type, "audio/") && f.Type != "audio/midi" {
			kind = event.MsgAudio
		}
		all = append(all, &part{png: f.Data, MessageEventContent: event.MessageEventContent{
			MsgType: kind, Body: f.Name, FileName: f.Name, Mentions: &event.Mentions{},
			Info: &event.FileInfo{MimeType: f.Type, Size: len(f.Data)},
		}})
	}
	return all
}

// upload puts a picture where the event can name it; locked, if the room is
// encrypted. One that is too large for the server becomes its words.
func (b *Bot) upload(ctx context.Context, s *session, room id.RoomID, p *part) error {
	r, err := b.rooms.get(ctx, s.Client, room)
	if err != nil {
		return err
	}
	req := mautrix.ReqUploadMedia{ContentBytes: p.png, ContentType: p.Info.MimeType, FileName: p.FileName}
	if r.encryption != nil {
		req = mautrix.ReqUploadMedia{ContentBytes: slices.Clone(p.png), ContentType: "application/octet-stream"}
		p.File = lockFile(req.ContentBytes)
	}
	resp, err := s.UploadMedia(ctx, req)
	switch {
	case errors.Is(err, mautrix.MTooLarge):
		p.MsgType, p.FileName, p.Info, p.File = event.MsgText, "", nil, nil
	case err != nil:
		return fmt.Errorf("uploading a picture: %w", err)
	case p.File != nil:
		p.File.URL = resp.ContentURI.CUString()
	default:
		p.URL = resp.ContentURI.CUString()
	}
	return nil
}
