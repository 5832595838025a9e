-- migrate-2.sql -- from version 1 to 2: what the pixels say, and what people say of clocks. See schema.sql.
ALTER TABLE original ADD COLUMN survey_width INTEGER;
ALTER TABLE original ADD COLUMN survey_height INTEGER;
ALTER TABLE original ADD COLUMN sharpness REAL;
ALTER TABLE original ADD COLUMN smear_px REAL;
ALTER TABLE original ADD COLUMN smear_side_px INTEGER;
ALTER TABLE original ADD COLUMN luma_mean REAL;
ALTER TABLE original ADD COLUMN luma_dark REAL;
ALTER TABLE original ADD COLUMN luma_middle REAL;
ALTER TABLE original ADD COLUMN luma_light REAL;
ALTER TABLE original ADD COLUMN black REAL;
ALTER TABLE original ADD COLUMN white REAL;
ALTER TABLE original ADD COLUMN picture_hash INTEGER;
CREATE TABLE clock_word (
    camera  TEXT PRIMARY KEY NOT NULL,
    said    TEXT NOT NULL CHECK (said <> ''),
    error_s REAL NOT NULL
) STRICT;
CREATE TABLE clock_pair (
    shot  INTEGER PRIMARY KEY REFERENCES original (id),
    other INTEGER NOT NULL REFERENCES original (id),
    CHECK (shot <> other)
) STRICT;
