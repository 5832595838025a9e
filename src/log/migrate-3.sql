-- migrate-3.sql -- from version 2 to 3: what was found. See schema.sql.

-- findings
CREATE TABLE finding (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    place     INTEGER NOT NULL REFERENCES place (id),
    component TEXT NOT NULL CHECK (component <> ''),
    cause     TEXT CHECK (cause IN ('hail', 'wind', 'water', 'fire', 'impact', 'wear', 'other')),
    action    TEXT CHECK (action IN ('remove and replace', 'repair', 'detach and reset', 'clean', 'none')),
    quantity  TEXT CHECK (quantity <> ''),
    measure   TEXT CHECK (measure <> ''),
    amount    REAL CHECK (amount > 0),
    unit      TEXT CHECK (unit IN ('EA', 'LF', 'SF', 'SQ')),
    note      TEXT CHECK (note <> ''),
    CHECK (measure IS NULL OR amount IS NULL),
    CHECK (amount IS NULL OR unit IS NOT NULL)
) STRICT;
CREATE INDEX finding_by_place ON finding (place);
CREATE TABLE finding_shot (
    finding INTEGER NOT NULL REFERENCES finding (id),
    shot    INTEGER NOT NULL REFERENCES shot (number),
    PRIMARY KEY (finding, shot)
) STRICT;
