-- migrate-3.sql -- from version 2 to 3. See schema.sql.

-- seals: the first one is written when the claim is opened
CREATE TABLE seal (
    step             INTEGER PRIMARY KEY,
    originals        INTEGER NOT NULL,
    originals_sha256 TEXT NOT NULL,
    parts            INTEGER NOT NULL,
    parts_sha256     TEXT NOT NULL,
    sha256           TEXT NOT NULL
) STRICT;

-- roofs: what was measured of them
CREATE TABLE roof_entry (
    id            INTEGER PRIMARY KEY AUTOINCREMENT,
    place         INTEGER NOT NULL REFERENCES place (id),
    section       TEXT NOT NULL COLLATE NOCASE CHECK (section <> ''),
    shape         TEXT NOT NULL
                  CHECK (shape IN ('rectangle', 'triangle', 'trapezoid', 'parallelogram', 'gable', 'hip', 'dutch gable')),
    bottom        TEXT NOT NULL CHECK (bottom IN ('eave', 'break', 'wall')),
    top           TEXT NOT NULL CHECK (top IN ('ridge', 'break', 'wall', 'high edge')),
    left_side     TEXT NOT NULL CHECK (left_side IN ('rake', 'hip', 'valley', 'wall')),
    right_side    TEXT NOT NULL CHECK (right_side IN ('rake', 'hip', 'valley', 'wall')),
    cut_out       INTEGER NOT NULL CHECK (cut_out IN (0, 1)),
    ridge_to_rear INTEGER NOT NULL CHECK (ridge_to_rear IN (0, 1))
) STRICT;
CREATE INDEX roof_entry_by_place ON roof_entry (place);
CREATE TABLE roof_given (
    entry  INTEGER NOT NULL REFERENCES roof_entry (id),
    what   TEXT NOT NULL
           CHECK (what IN ('eave', 'ridge', 'up', 'run', 'pitch', 'left', 'right', 'width', 'depth', 'overhang', 'rake overhang', 'gablet')),
    typed  TEXT NOT NULL CHECK (typed <> ''),
    number REAL NOT NULL,
    PRIMARY KEY (entry, what)
) STRICT;
CREATE TABLE roof_setting (
    id            INTEGER PRIMARY KEY CHECK (id = 1),
    waste_percent REAL CHECK (waste_percent BETWEEN 0 AND 100),
    steep         TEXT CHECK (steep <> '')
) STRICT;
