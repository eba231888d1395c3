-- +goose Up

-- Dates are days from 1970-01-01; instants are microseconds from its midnight
-- in UTC. A body is JSON: what the program keeps of the row but never looks up
-- by. Columns are what it does look up by.

-- "LDGR": tells a database of this program from any other SQLite file.
PRAGMA application_id = 0x4C444752;

CREATE TABLE studio (
    id   TEXT PRIMARY KEY,
    body TEXT NOT NULL CHECK (json_valid(body))
) STRICT;

-- A channel belongs to one studio.
CREATE TABLE studio_channel (
    platform TEXT NOT NULL,
    channel  TEXT NOT NULL CHECK (channel <> ''),
    studio   TEXT NOT NULL REFERENCES studio (id) ON DELETE CASCADE,
    PRIMARY KEY (platform, channel)
) STRICT, WITHOUT ROWID;
CREATE INDEX studio_channel_studio ON studio_channel (studio);

CREATE TABLE member (
    id     TEXT PRIMARY KEY,
    studio TEXT NOT NULL REFERENCES studio (id),
    name   TEXT NOT NULL,
    body   TEXT NOT NULL CHECK (json_valid(body))
) STRICT;
CREATE INDEX member_name ON member (studio, name, id);

-- An account may belong to members of several studios, and in a family to
-- several of one.
CREATE TABLE member_account (
    platform TEXT NOT NULL,
    account  TEXT NOT NULL,
    member   TEXT NOT NULL REFERENCES member (id) ON DELETE CASCADE,
    PRIMARY KEY (platform, account, member)
) STRICT, WITHOUT ROWID;
CREATE INDEX member_account_member ON member_account (member);

CREATE TABLE plan (
    member TEXT PRIMARY KEY REFERENCES member (id),
    body   TEXT NOT NULL CHECK (json_valid(body))
) STRICT;

CREATE TABLE routine (
    member TEXT    NOT NULL REFERENCES member (id),
    date   INTEGER NOT NULL,
    number INTEGER NOT NULL,
    body   TEXT    NOT NULL CHECK (json_valid(body)),
    PRIMARY KEY (member, date, number)
) STRICT;

-- What arrived. An inbox number is never given twice.
CREATE TABLE inbox (
    inbox           INTEGER PRIMARY KEY AUTOINCREMENT,
    platform        TEXT    NOT NULL,
    id              TEXT    NOT NULL,
    happening       TEXT    NOT NULL,
    revision        TEXT    NOT NULL,
    author_platform TEXT    NOT NULL,
    author          TEXT    NOT NULL,
    channel         TEXT    NOT NULL,
    parent          TEXT    NOT NULL, -- the channel that a thread is in
    private         INTEGER NOT NULL CHECK (private IN (0, 1)),
    text            TEXT    NOT NULL,
    reply_to        TEXT    NOT NULL,
    to_us           INTEGER NOT NULL CHECK (to_us IN (0, 1)),
    files           TEXT    NOT NULL CHECK (files = '' OR json_valid(files)),
    at              INTEGER NOT NULL,
    opens           INTEGER NOT NULL CHECK (opens IN (0, 1)), -- the first we heard of the message
    verdict         TEXT    NOT NULL DEFAULT '',              -- empty: unread
    UNIQUE (platform, id, happening, revision)
) STRICT;
CREATE INDEX inbox_unread ON inbox (inbox) WHERE verdict = '';
CREATE INDEX inbox_channel ON inbox (platform, channel, at, inbox) WHERE opens;
CREATE INDEX inbox_author ON inbox (author_platform, author, inbox);
CREATE INDEX inbox_private ON inbox (author_platform, author, at, inbox) WHERE opens AND private;

-- What is to be said, and what was.
CREATE TABLE outbox (
    outbox      INTEGER PRIMARY KEY AUTOINCREMENT,
    key         TEXT    NOT NULL UNIQUE,
    kind        TEXT    NOT NULL,
    platform    TEXT    NOT NULL,
    channel     TEXT    NOT NULL, -- empty for a private line
    account     TEXT    NOT NULL, -- empty for a channel
    studio      TEXT    NOT NULL,
    member      TEXT    NOT NULL,
    body        TEXT    NOT NULL CHECK (json_valid(body)),
    queued_at   INTEGER NOT NULL,
    ready_at    INTEGER NOT NULL, -- not to be sent before
    lane        INTEGER NOT NULL CHECK (lane IN (0, 1)), -- 0: an answer, sent before the rest
    turn        INTEGER NOT NULL, -- within a lane, lower ones are sent first
    attempts    INTEGER NOT NULL DEFAULT 0,
    sent_at     INTEGER,
    platform_id TEXT    NOT NULL DEFAULT '',
    failure     TEXT    NOT NULL DEFAULT '' -- why it was given up
) STRICT;
CREATE INDEX outbox_waiting ON outbox (platform, lane, turn, outbox, ready_at) WHERE sent_at IS NULL AND failure = '';
CREATE INDEX outbox_studio ON outbox (platform, lane, studio, turn) WHERE sent_at IS NULL AND failure = '';
CREATE INDEX outbox_line ON outbox (platform, channel, account, lane, turn) WHERE sent_at IS NULL AND failure = '';
CREATE INDEX outbox_ready ON outbox (platform, ready_at) WHERE sent_at IS NULL AND failure = '';
CREATE INDEX outbox_failed ON outbox (platform, channel, account, outbox) WHERE sent_at IS NULL AND failure = '' AND attempts > 0;
CREATE INDEX outbox_known ON outbox (platform, platform_id) WHERE platform_id <> '';
CREATE INDEX outbox_sent ON outbox (platform, channel, account, sent_at, outbox) WHERE sent_at IS NOT NULL;

-- The highest turn that was sent, of each platform and lane.
CREATE TABLE outbox_turn (
    platform TEXT    NOT NULL,
    lane     INTEGER NOT NULL CHECK (lane IN (0, 1)),
    turn     INTEGER NOT NULL,
    PRIMARY KEY (platform, lane)
) STRICT, WITHOUT ROWID;

-- The log's one count: reports, entries and acts are numbered from it, in the
-- order in which the log took them.
CREATE TABLE log_count (
    one  INTEGER PRIMARY KEY CHECK (one = 1),
    last INTEGER NOT NULL
) STRICT;
INSERT INTO log_count (one, last) VALUES (1, 0);

CREATE TABLE report (
    seq    INTEGER PRIMARY KEY,
    member TEXT    NOT NULL REFERENCES member (id),
    inbox  INTEGER REFERENCES inbox (inbox), -- null: not read from a message
    at     INTEGER NOT NULL,
    date   INTEGER NOT NULL,
    body   TEXT    NOT NULL CHECK (json_valid(body))
) STRICT;
CREATE INDEX report_date ON report (member, date);
CREATE INDEX report_inbox ON report (inbox);

CREATE TABLE entry (
    seq        INTEGER PRIMARY KEY,
    report     INTEGER NOT NULL REFERENCES report (seq),
    supersedes INTEGER REFERENCES entry (seq), -- the entry that this one corrects
    body       TEXT    NOT NULL CHECK (json_valid(body))
) STRICT;
CREATE INDEX entry_report ON entry (report, seq);
CREATE INDEX entry_supersedes ON entry (supersedes) WHERE supersedes IS NOT NULL;

-- An entry is about one or more lines.
CREATE TABLE entry_line (
    member TEXT    NOT NULL REFERENCES member (id),
    book   TEXT    NOT NULL,
    study  INTEGER NOT NULL,
    line   INTEGER NOT NULL,
    pass   INTEGER NOT NULL,
    date   INTEGER NOT NULL,
    entry  INTEGER NOT NULL REFERENCES entry (seq),
    PRIMARY KEY (member, book, study, line, pass, date, entry)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_line_entry ON entry_line (entry);

-- A report that no longer holds stays where it is; this says that it is void.
CREATE TABLE withdrawal (
    report INTEGER PRIMARY KEY REFERENCES report (seq),
    reason INTEGER REFERENCES inbox (inbox) -- the message that made it void
) STRICT;
CREATE INDEX withdrawal_reason ON withdrawal (reason);

-- What a teacher did to a line.
CREATE TABLE act (
    seq     INTEGER PRIMARY KEY,
    member  TEXT    NOT NULL REFERENCES member (id),
    teacher TEXT    NOT NULL REFERENCES member (id),
    book    TEXT    NOT NULL,
    study   INTEGER NOT NULL,
    line    INTEGER NOT NULL,
    pass    INTEGER NOT NULL,
    date    INTEGER NOT NULL,
    body    TEXT    NOT NULL CHECK (json_valid(body))
) STRICT;
CREATE INDEX act_line ON act (member, book, study, line, pass, date, seq);
CREATE INDEX act_teacher ON act (teacher);

CREATE TABLE standing (
    member TEXT    NOT NULL REFERENCES member (id),
    book   TEXT    NOT NULL,
    study  INTEGER NOT NULL,
    line   INTEGER NOT NULL,
    pass   INTEGER NOT NULL,
    body   TEXT    NOT NULL CHECK (json_valid(body)),
    bests  TEXT    NOT NULL DEFAULT '[]' CHECK (json_valid(bests)), -- personal bests, of each way of playing it
    PRIMARY KEY (member, book, study, line, pass)
) STRICT, WITHOUT ROWID;

CREATE TABLE streak (
    member TEXT PRIMARY KEY REFERENCES member (id),
    body   TEXT NOT NULL CHECK (json_valid(body))
) STRICT;

CREATE TABLE due (
    kind   TEXT    NOT NULL,
    studio TEXT    NOT NULL REFERENCES studio (id),
    member TEXT    NOT NULL, -- empty for work of the whole studio
    at     INTEGER NOT NULL,
    date   INTEGER NOT NULL,
    PRIMARY KEY (kind, studio, member)
) STRICT, WITHOUT ROWID;
CREATE INDEX due_at ON due (at, kind, studio, member);

CREATE TABLE question (
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    studio TEXT    NOT NULL REFERENCES studio (id),
    member TEXT    NOT NULL REFERENCES member (id),
    inbox  INTEGER REFERENCES inbox (inbox),
    closed INTEGER NOT NULL CHECK (closed IN (0, 1)),
    body   TEXT    NOT NULL CHECK (json_valid(body))
) STRICT;
CREATE INDEX question_inbox ON question (inbox);
CREATE INDEX question_open ON question (member, closed, id);

-- Recordings that came with messages, and what was heard in them.
CREATE TABLE hearing (
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    member TEXT    NOT NULL REFERENCES member (id),
    inbox  INTEGER NOT NULL REFERENCES inbox (inbox),
    date   INTEGER NOT NULL,
    due_at INTEGER, -- of the next attempt; null: done with
    body   TEXT    NOT NULL CHECK (json_valid(body))
) STRICT;
CREATE INDEX hearing_inbox ON hearing (inbox);
CREATE INDEX hearing_member ON hearing (member, date, id);
CREATE INDEX hearing_due ON hearing (due_at, id) WHERE due_at IS NOT NULL;

-- Recordings themselves: those that wait to be listened to, if their chat does not
-- have them, and those that somebody keeps.
CREATE TABLE sound (
    inbox  INTEGER NOT NULL REFERENCES inbox (inbox),
    file   TEXT    NOT NULL, -- its id in the message
    keeper TEXT    REFERENCES member (id), -- null: it waits
    data   BLOB    NOT NULL,
    PRIMARY KEY (inbox, file)
) STRICT;
CREATE INDEX sound_keeper ON sound (keeper, inbox, file) WHERE keeper IS NOT NULL;

CREATE TABLE challenge (
    id        TEXT PRIMARY KEY,
    studio    TEXT    NOT NULL REFERENCES studio (id),
    from_date INTEGER NOT NULL,
    body      TEXT    NOT NULL CHECK (json_valid(body))
) STRICT;
CREATE INDEX challenge_from ON challenge (studio, from_date, id);

-- What teachers, assistants and guardians had the program do.
CREATE TABLE deed (
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    studio TEXT NOT NULL REFERENCES studio (id),
    body   TEXT NOT NULL CHECK (json_valid(body))
) STRICT;
CREATE INDEX deed_studio ON deed (studio, id);

CREATE TABLE mark (
    name  TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

-- +goose Down

DROP TABLE mark;
DROP TABLE deed;
DROP TABLE challenge;
DROP TABLE sound;
DROP TABLE hearing;
DROP TABLE question;
DROP TABLE due;
DROP TABLE streak;
DROP TABLE standing;
DROP TABLE act;
DROP TABLE withdrawal;
DROP TABLE entry_line;
DROP TABLE entry;
DROP TABLE report;
DROP TABLE log_count;
DROP TABLE outbox_turn;
DROP TABLE outbox;
DROP TABLE inbox;
DROP TABLE routine;
DROP TABLE plan;
DROP TABLE member_account;
DROP TABLE member;
DROP TABLE studio_channel;
DROP TABLE studio;
