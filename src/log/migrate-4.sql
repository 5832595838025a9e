-- migrate-4.sql -- from version 3 to 4: what a person knows, finds and measures beside the photos. See schema.sql.

-- facts, test squares, notes
CREATE TABLE fact (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    place     INTEGER NOT NULL REFERENCES place (id),
    kind      TEXT NOT NULL CHECK (kind <> ''),
    value     TEXT NOT NULL CHECK (value <> ''),
    number    REAL,
    number_to REAL,
    choice    TEXT CHECK (choice <> ''),
    how       TEXT NOT NULL CHECK (how IN ('seen', 'measured', 'counted', 'estimated', 'told')),
    note      TEXT CHECK (note <> ''),
    CHECK (number_to IS NULL OR number <= number_to)
) STRICT;
CREATE UNIQUE INDEX fact_once ON fact (place, kind);
CREATE TABLE fact_shot (
    fact INTEGER NOT NULL REFERENCES fact (id),
    shot INTEGER NOT NULL REFERENCES shot (number),
    PRIMARY KEY (fact, shot)
) STRICT;
CREATE TABLE test_square (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    place     INTEGER NOT NULL REFERENCES place (id),
    number    INTEGER NOT NULL CHECK (number BETWEEN 1 AND 9),
    size      TEXT CHECK (size <> ''),
    width_in  REAL CHECK (width_in > 0),
    height_in REAL CHECK (height_in > 0),
    hits      INTEGER CHECK (hits >= 0),
    not_drawn TEXT CHECK (not_drawn <> ''),
    note      TEXT CHECK (note <> ''),
    who       TEXT NOT NULL,
    at_utc_s  INTEGER NOT NULL,
    CHECK ((hits IS NULL) = (not_drawn IS NOT NULL)),
    CHECK ((size IS NULL) = (width_in IS NULL) AND (size IS NULL) = (height_in IS NULL)),
    CHECK (not_drawn IS NULL OR size IS NULL)
) STRICT;
CREATE UNIQUE INDEX test_square_once ON test_square (place, number);
CREATE TABLE test_square_shot (
    square INTEGER NOT NULL REFERENCES test_square (id),
    shot   INTEGER NOT NULL REFERENCES shot (number),
    PRIMARY KEY (square, shot)
) STRICT;
CREATE TABLE square_threshold (
    id     INTEGER PRIMARY KEY CHECK (id = 1),
    hits   INTEGER NOT NULL CHECK (hits > 0),
    source TEXT NOT NULL CHECK (source <> ''),
    who    TEXT NOT NULL
) STRICT;
CREATE TABLE note (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    place     INTEGER REFERENCES place (id),
    shot      INTEGER REFERENCES shot (number),
    text      TEXT NOT NULL CHECK (text <> ''),
    in_report INTEGER NOT NULL CHECK (in_report IN (0, 1)),
    who       TEXT NOT NULL,
    at_utc_s  INTEGER NOT NULL,
    CHECK (place IS NULL OR shot IS NULL)
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
