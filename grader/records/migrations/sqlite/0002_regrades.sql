-- The attempt in which the program was handed in, where the row is a later
-- grading of it; and the practice log that was handed in with it, so that it can
-- be graded again ('' for none).
ALTER TABLE attempt ADD COLUMN regrades INTEGER REFERENCES attempt (id);
ALTER TABLE attempt ADD COLUMN log TEXT NOT NULL DEFAULT '';
