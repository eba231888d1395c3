-- Rows of the first schema, one or more in every table, as the program wrote them.
INSERT INTO studio VALUES ('harbour-row', '{"id":"harbour-row","name":"Harbour Row Brass","zone":"Europe/Lisbon","lang":"en","channels":[{"platform":"room","channel":"square"}],"post_at":"0 7 * * *","remind_at":"0 19 * * *","digest_at":"0 18 * * 0","cut_off":12,"consent_under":["under-13"]}');
INSERT INTO studio_channel VALUES ('room', 'square', 'harbour-row');
INSERT INTO member VALUES ('odile', 'harbour-row', 'Odile', '{"id":"odile","studio":"harbour-row","name":"Odile","role":"teacher","zone":"Europe/Lisbon","lang":"en","age":"adult"}');
INSERT INTO member VALUES ('wim', 'harbour-row', 'Wim', '{"id":"wim","studio":"harbour-row","name":"Wim","role":"student","accounts":[{"platform":"room","id":"wim"}],"zone":"Europe/Lisbon","lang":"en","age":"adult"}');
INSERT INTO member_account VALUES ('room', 'wim', 'wim');
INSERT INTO plan VALUES ('wim', '{"entries":[{"study":{"book":"slur-atlas","study":3},"pass":2,"since":"2026-03-02"}]}');
INSERT INTO routine VALUES ('wim', 20514, 1, '{"date":"2026-03-02","number":1,"items":[],"minutes":30}');
INSERT INTO inbox VALUES (1, 'room', 'm1', 'written', '', 'room', 'wim', 'square', '', 0, '1 shaky', 'p1', 0, '', 1772452800000000, 1, 'logged');
INSERT INTO inbox VALUES (2, 'room', 'm2', 'written', '', 'room', 'wim', '@wim', '', 1, 'rest', '', 0, '[{"id":"f1","ref":"f1"}]', 1772452801000000, 1, '');
INSERT INTO outbox VALUES (1, 'routine/wim/2026-03-02/1', 'routine', 'room', '', 'wim', 'harbour-row', 'wim', '{"key":"routine/wim/2026-03-02/1","kind":"routine","studio":"harbour-row","member":"wim","to":{"platform":"room","account":"wim"},"title":"Monday"}', 1772452800000000, 1772452800000000, 1, 0, 0, 1772452800000000, 'p1', '');
INSERT INTO outbox_turn VALUES ('room', 1, 0);
INSERT INTO report VALUES (1, 'wim', 1, 1772452800000000, 20514, '{"seq":1,"date":"2026-03-02","played":true,"minutes":20}');
INSERT INTO report VALUES (3, 'wim', 1, 1772452800000000, 20514, '{"seq":3,"date":"2026-03-02","played":true,"minutes":25}');
INSERT INTO entry VALUES (2, 1, NULL, '{"seq":2,"date":"2026-03-02","item":1,"lines":["slur-atlas/3/1"],"pass":1,"outcome":"clean","to":"quarter=84"}');
INSERT INTO entry VALUES (4, 3, NULL, '{"seq":4,"date":"2026-03-02","item":1,"lines":["slur-atlas/3/1"],"pass":1,"outcome":"missed","to":"quarter=84"}');
INSERT INTO entry VALUES (5, 3, 4, '{"seq":5,"date":"2026-03-02","item":1,"lines":["slur-atlas/3/1"],"pass":1,"outcome":"shaky","to":"quarter=84","supersedes":4}');
INSERT INTO entry_line VALUES ('wim', 'slur-atlas', 3, 1, 1, 20514, 2);
INSERT INTO entry_line VALUES ('wim', 'slur-atlas', 3, 1, 1, 20514, 4);
INSERT INTO entry_line VALUES ('wim', 'slur-atlas', 3, 1, 1, 20514, 5);
INSERT INTO withdrawal VALUES (1, 1);
INSERT INTO act VALUES (6, 'wim', 'odile', 'slur-atlas', 3, 1, 1, 20514, '{"seq":6,"date":"2026-03-02","line":"slur-atlas/3/1","pass":1,"kind":"sign-off"}');
UPDATE log_count SET last = 6;
INSERT INTO standing VALUES ('wim', 'slur-atlas', 3, 1, 1, '{"state":"passed","mark":"quarter=84","last":"2026-03-02","last_outcome":"shaky","plays":1,"passed":"2026-03-02","due":"2026-03-05"}',
    '[{"key":{"line":"slur-atlas/3/1","pass":1,"articulation":"slurred"},"tempo":"quarter=80","date":"2026-02-20"}]');
INSERT INTO streak VALUES ('wim', '{"through":"2026-03-02","current":4,"longest":11,"weeks":2,"longest_weeks":5,"total_weeks":9,"week":{"planned":1,"kept":1}}');
INSERT INTO due VALUES ('routine', 'harbour-row', 'wim', 1772521200000000, 20515);
INSERT INTO question VALUES (1, 'harbour-row', 'wim', 1, 0, '{"id":0,"studio":"harbour-row","member":"wim","inbox":1,"day":"2026-03-02","about":"item 2","raw":"1 shaky","choices":null,"asked_at":"2026-03-02T12:00:00Z","closed":false}');
INSERT INTO hearing VALUES (1, 'wim', 2, 20514, 1772452801000000, '{"id":0,"member":"wim","inbox":2,"date":"2026-03-02","file":{"id":"f1","ref":"f1"},"per_beat":4,"answer":{"key":"","kind":"receipt","studio":"harbour-row","to":{"platform":"room","account":"wim"}},"waiting":true,"next_at":"2026-03-02T12:00:01Z"}');
INSERT INTO sound VALUES (2, 'f1', NULL, x'52494646'), (2, 'f2', 'wim', x'00ff');
INSERT INTO challenge VALUES ('spring', 'harbour-row', 20514, '{"id":"spring","studio":"harbour-row","title":"High water","from":"2026-03-02","to":"2026-03-29","kind":{"id":"days","measure":"days","per":"studio","goal":80,"days":28,"words":{}},"closes":"2026-03-30T12:00:00Z","joined":["wim"]}');
INSERT INTO mark VALUES ('roster', '7');

INSERT INTO deed VALUES (1, 'harbour-row', '{"id":0,"studio":"harbour-row","member":"odile","role":"teacher","at":"2026-03-02T12:00:00Z","command":"minutes","words":"Wim 40"}');
