-- Rows as a program with schema version 3 left them.
INSERT INTO store VALUES ('id', '6ba7b810-9dad-41d1-80b4-00c04fd430c8');
INSERT INTO person (id, name, fold, at) VALUES (1, 'Ines Calloway', 'ines calloway', 1772430600000000);
INSERT INTO roster (id, person, crew, site, role, key, at) VALUES (1, 1, 'day', 'harrow-mere', 'learner', '', 1772430600000000);
INSERT INTO attempt (id, person, lesson, seed, verdict, points, duration, course, job, corrects, at, program, findings) VALUES
    (1, 1, 'L07', 7, 'passed', 95.5, 90000000, '1.4.0', 'job-1', NULL, 1772430660000000, '\x612070726f6772616d', '[]'),
    (2, 1, 'L07', 7, 'passed', 91.25, 90000000, '1.4.0', NULL, 1, 1772430720000000, '\x612070726f6772616d', '[]');
INSERT INTO progress (person, lesson, attempts, best, passed, last) VALUES (1, 'L07', 1, 91.25, 1, 1772430720000000);
INSERT INTO answer (id, person, deck, question, given, correct, duration, course, at) VALUES (1, 1, 'D1', 'D1-Q1', '2, 4', 1, 8000000, '1.4.0', 1772430690000000);
INSERT INTO practice (id, person, lesson, seed, kind, data, at) VALUES (1, 1, 'L07', 7, 'run', '{}', 1772430650000000);
INSERT INTO site (name, places, head) VALUES ('harrow-mere', 1, '\x52ab4ca72765b305dffaa25f352875fab6ae17e97b8940ea3f1fd23e80593eb8');
INSERT INTO chain (id, site, place, kind, deck, course, points, needed, passed, corrects, detail, at, commitment, prev, hash) VALUES
    (1, 'harrow-mere', 1, 'sign-off', 'D1', '1.4.0', 100, 80, 1, 0, '{"asked":["D1-Q1"]}', 1772430700000000,
    '\x0a03238ffd1cfbf0c680b2d6883bfcaa3b3909e97caea53930fee1486bd6cbd0',
    '\x0000000000000000000000000000000000000000000000000000000000000000',
    '\x52ab4ca72765b305dffaa25f352875fab6ae17e97b8940ea3f1fd23e80593eb8');
INSERT INTO signer (chain, person, deck, name, typed, crew, note, salt) VALUES (1, 1, 'D1', 'Ines Calloway', 'ines calloway', 'day', '', '\x3031323334353637383961626364656630313233343536373839616263646566');
SELECT setval('person_id_seq', 1), setval('roster_id_seq', 1), setval('attempt_id_seq', 2), setval('answer_id_seq', 1), setval('practice_id_seq', 1), setval('chain_id_seq', 1);
INSERT INTO code (id, person, label, hash, until, at) VALUES (1, 1, 'K7Q2', '\x61', 1772517000000000, 1772430600000000);
INSERT INTO code_use (code, person, at) VALUES (1, 1, 1772430640000000);
INSERT INTO ruling (id, site, person, kind, lesson, data, at) VALUES (1, 'harrow-mere', 1, 'close', 'L07', '{}', 1772430640000000);
SELECT setval('code_id_seq', 1), setval('ruling_id_seq', 1);
