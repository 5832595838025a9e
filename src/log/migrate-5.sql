-- migrate-5.sql -- from version 4 to 5: what people draw over photos. See schema.sql.
CREATE TABLE mark (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    shot      INTEGER NOT NULL REFERENCES shot (number),
    kind      TEXT NOT NULL CHECK (kind IN ('arrow', 'ellipse', 'chalk', 'text', 'scale', 'line', 'angle')),
    points    TEXT NOT NULL CHECK (points <> ''),
    text      TEXT CHECK (text <> ''),
    length    TEXT CHECK (length <> ''),
    length_in REAL CHECK (length_in > 0),
    CHECK ((kind = 'scale') = (length IS NOT NULL) AND (length IS NULL) = (length_in IS NULL))
) STRICT;
CREATE INDEX mark_of ON mark (shot);
