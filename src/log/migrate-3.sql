-- migrate-3.sql -- from version 2 to 3: seals. The first one is written when the claim is opened. See schema.sql.
CREATE TABLE seal (
    step             INTEGER PRIMARY KEY,
    originals        INTEGER NOT NULL,
    originals_sha256 TEXT NOT NULL,
    parts            INTEGER NOT NULL,
    parts_sha256     TEXT NOT NULL,
    sha256           TEXT NOT NULL
) STRICT;
