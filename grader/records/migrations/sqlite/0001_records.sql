-- Times are microseconds since 1970-01-01 UTC; booleans are 0 or 1.
-- AUTOINCREMENT, so that the id of an erased row is never given again.

CREATE TABLE store (
    name  TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

CREATE TABLE person (
    id   INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT    NOT NULL,
    fold TEXT    NOT NULL UNIQUE, -- the name without differences of case
    at   INTEGER NOT NULL
) STRICT;

-- What the roster says of a person; the newest row holds.
CREATE TABLE roster (
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    person INTEGER NOT NULL REFERENCES person (id),
    crew   TEXT    NOT NULL,
    site   TEXT    NOT NULL,
    role   TEXT    NOT NULL,
    key    TEXT    NOT NULL,
    at     INTEGER NOT NULL
) STRICT;
CREATE INDEX roster_person ON roster (person, id);
CREATE INDEX roster_key ON roster (key) WHERE key <> '';

CREATE TABLE attempt (
    id       INTEGER PRIMARY KEY AUTOINCREMENT,
    person   INTEGER NOT NULL REFERENCES person (id),
    lesson   TEXT    NOT NULL,
    seed     INTEGER NOT NULL,
    verdict  TEXT    NOT NULL,
    points   REAL    NOT NULL CHECK (points BETWEEN 0 AND 100),
    duration INTEGER NOT NULL CHECK (duration >= 0), -- microseconds
    course   TEXT    NOT NULL,
    job      TEXT UNIQUE,
    corrects INTEGER UNIQUE REFERENCES attempt (id),
    at       INTEGER NOT NULL,
    -- The long ones come last: reading the others then touches no further pages.
    program  BLOB    NOT NULL,
    findings TEXT    NOT NULL
) STRICT;
CREATE INDEX attempt_person ON attempt (person, lesson, id);
CREATE INDEX attempt_newest ON attempt (person, id);
CREATE INDEX attempt_lesson ON attempt (lesson, id);
CREATE INDEX attempt_at ON attempt (at);

-- Sums over attempt, kept by the program and recomputable from it at any time.
CREATE TABLE progress (
    person   INTEGER NOT NULL REFERENCES person (id),
    lesson   TEXT    NOT NULL,
    attempts INTEGER NOT NULL,
    best     REAL    NOT NULL,
    passed   INTEGER NOT NULL,
    last     INTEGER NOT NULL,
    PRIMARY KEY (person, lesson)
) STRICT, WITHOUT ROWID;

CREATE TABLE answer (
    id       INTEGER PRIMARY KEY AUTOINCREMENT,
    person   INTEGER NOT NULL REFERENCES person (id),
    deck     TEXT    NOT NULL,
    question TEXT    NOT NULL,
    given    TEXT    NOT NULL,
    correct  INTEGER NOT NULL CHECK (correct IN (0, 1)),
    duration INTEGER NOT NULL CHECK (duration >= 0),
    course   TEXT    NOT NULL,
    at       INTEGER NOT NULL
) STRICT;
CREATE INDEX answer_person ON answer (person, id);

CREATE TABLE practice (
    id     INTEGER PRIMARY KEY AUTOINCREMENT,
    person INTEGER NOT NULL REFERENCES person (id),
    lesson TEXT    NOT NULL,
    seed   INTEGER NOT NULL,
    kind   TEXT    NOT NULL,
    data   TEXT    NOT NULL,
    at     INTEGER NOT NULL
) STRICT;
CREATE INDEX practice_person ON practice (person, lesson, id);

-- Where the chain of each site ends.
CREATE TABLE site (
    name   TEXT PRIMARY KEY,
    places INTEGER NOT NULL,
    head   BLOB    NOT NULL
) STRICT;

-- The chain: every column but id and hash goes into hash.
CREATE TABLE chain (
    id         INTEGER PRIMARY KEY AUTOINCREMENT,
    site       TEXT    NOT NULL REFERENCES site (name),
    place      INTEGER NOT NULL,
    kind       TEXT    NOT NULL,
    deck       TEXT    NOT NULL,
    course     TEXT    NOT NULL,
    points     REAL    NOT NULL,
    needed     REAL    NOT NULL,
    passed     INTEGER NOT NULL CHECK (passed IN (0, 1)),
    corrects   INTEGER NOT NULL, -- a place of the same site, 0 for none
    detail     TEXT    NOT NULL,
    at         INTEGER NOT NULL,
    commitment BLOB    NOT NULL,
    prev       BLOB    NOT NULL,
    hash       BLOB    NOT NULL,
    UNIQUE (site, place)
) STRICT;
CREATE INDEX chain_corrects ON chain (site, corrects) WHERE corrects > 0;
CREATE INDEX chain_site ON chain (site, id);

-- The personal part of a sign-off, outside the hashed row, so that it can be erased.
CREATE TABLE signer (
    chain  INTEGER PRIMARY KEY REFERENCES chain (id),
    person INTEGER NOT NULL REFERENCES person (id),
    deck   TEXT    NOT NULL,
    name   TEXT    NOT NULL,
    typed  TEXT    NOT NULL,
    crew   TEXT    NOT NULL,
    note   TEXT    NOT NULL,
    salt   BLOB    NOT NULL
) STRICT;
CREATE INDEX signer_person ON signer (person, deck, chain);
CREATE INDEX signer_newest ON signer (person, chain);

-- Holds a person only inside the transaction that erases them.
CREATE TABLE erasing (person INTEGER PRIMARY KEY) STRICT;

CREATE TRIGGER roster_fixed BEFORE UPDATE ON roster
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER attempt_fixed BEFORE UPDATE ON attempt
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER answer_fixed BEFORE UPDATE ON answer
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER practice_fixed BEFORE UPDATE ON practice
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER person_fixed BEFORE UPDATE ON person
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER signer_fixed BEFORE UPDATE ON signer
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER chain_fixed BEFORE UPDATE ON chain
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER chain_kept BEFORE DELETE ON chain
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;

CREATE TRIGGER roster_kept BEFORE DELETE ON roster
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE person = OLD.person)
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER attempt_kept BEFORE DELETE ON attempt
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE person = OLD.person)
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER answer_kept BEFORE DELETE ON answer
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE person = OLD.person)
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER practice_kept BEFORE DELETE ON practice
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE person = OLD.person)
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER signer_kept BEFORE DELETE ON signer
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE person = OLD.person)
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
CREATE TRIGGER person_kept BEFORE DELETE ON person
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE person = OLD.id)
BEGIN SELECT RAISE(ABORT, 'records are append-only'); END;
