-- What a host of many learners keeps: one-time codes, and what an instructor
-- rules in a room.

-- Of a person's codes the newest counts, as long as it was not used.
CREATE TABLE code (
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    person INTEGER NOT NULL REFERENCES person (id),
    label  TEXT    NOT NULL, -- the part of the code that is no secret
    hash   BLOB    NOT NULL,
    until  INTEGER NOT NULL,
    at     INTEGER NOT NULL
) STRICT;
CREATE INDEX code_person ON code (person, id);
CREATE INDEX code_label ON code (label, id);

CREATE TABLE code_use (
    code   INTEGER PRIMARY KEY REFERENCES code (id), -- a code is used once
    person INTEGER NOT NULL REFERENCES person (id),
    at     INTEGER NOT NULL
) STRICT;
CREATE INDEX code_use_person ON code_use (person, code);

CREATE TABLE ruling (
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    site   TEXT    NOT NULL,
    person INTEGER NOT NULL REFERENCES person (id), -- who ruled
    kind   TEXT    NOT NULL,
    lesson TEXT    NOT NULL,
    data   TEXT    NOT NULL,
    at     INTEGER NOT NULL
) STRICT;
CREATE INDEX ruling_site ON ruling (site, id);
CREATE INDEX ruling_person ON ruling (person, id);

CREATE TRIGGER code_fixed BEFORE UPDATE ON code
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER code_use_fixed BEFORE UPDATE ON code_use
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER ruling_fixed BEFORE UPDATE ON ruling
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER code_kept BEFORE DELETE ON code
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE person = OLD.person)
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER code_use_kept BEFORE DELETE ON code_use
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE person = OLD.person)
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER ruling_kept BEFORE DELETE ON ruling
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE person = OLD.person)
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
