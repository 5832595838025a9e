-- migrate-7.sql -- from version 6 to 7: what the pixels say is found behind the import. See schema.sql.
CREATE TABLE survey (
    original      INTEGER PRIMARY KEY REFERENCES original (id),
    trouble       TEXT CHECK (trouble <> ''),
    damaged       INTEGER NOT NULL CHECK (damaged IN (0, 1)),
    survey_width  INTEGER,
    survey_height INTEGER,
    sharpness     REAL,
    smear_px      REAL,
    smear_side_px INTEGER,
    luma_mean     REAL,
    luma_dark     REAL,
    luma_middle   REAL,
    luma_light    REAL,
    black         REAL,
    white         REAL,
    picture_hash  INTEGER,
    sha256        TEXT NOT NULL
) STRICT;
