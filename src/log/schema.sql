-- schema.sql -- the claim database, version 7.
--
-- Two kinds of table. What the files say and what was done (original, survey, attachment, history*) is only ever added to. What people
-- decided (claim, structure, place, shot, fact, roof_*, finding ... waiver, clock_*, attached) changes, and every change of it is recorded as a changeset in
-- history_part, from which it is undone and redone. New columns go at the end of a table: old changesets then still apply.

PRAGMA application_id = 1732398155; -- 'gBLK'; the file command shows it
PRAGMA user_version = 7;

-- The facts of the claim: exactly one row.
CREATE TABLE claim (
    id                INTEGER PRIMARY KEY CHECK (id = 1),
    insured           TEXT CHECK (insured <> ''),
    number            TEXT CHECK (number <> ''),
    address           TEXT CHECK (address <> ''),
    loss_date         TEXT CHECK (loss_date GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    inspection_date   TEXT CHECK (inspection_date GLOB '[0-9][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
    cause             TEXT CHECK (cause <> ''),
    adjuster          TEXT CHECK (adjuster <> ''),
    checklist         TEXT CHECK (checklist <> ''),
    front_azimuth_deg REAL CHECK (front_azimuth_deg >= 0 AND front_azimuth_deg < 360)
) STRICT;
INSERT INTO claim (id) VALUES (1);

-- Ids of structures and places are never used again: waivers name them, and one of a garage that is gone must not
-- speak for the shed that came after it.
CREATE TABLE structure (
    id   INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (name <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('dwelling', 'garage', 'shed', 'barn', 'carport', 'fence', 'deck', 'other'))
) STRICT;
INSERT INTO structure (id, name, kind) VALUES (1, 'dwelling', 'dwelling');

-- Parts of structures. The site belongs to none.
CREATE TABLE place (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    structure INTEGER REFERENCES structure (id),
    kind      TEXT NOT NULL CHECK (kind IN ('site', 'whole', 'elevation', 'roof', 'slope', 'room')),
    face      TEXT CHECK (face IN ('front', 'right', 'rear', 'left')),
    room      TEXT COLLATE NOCASE CHECK (room <> ''),
    CHECK ((kind = 'site') = (structure IS NULL)),
    CHECK ((kind IN ('elevation', 'slope')) = (face IS NOT NULL)),
    CHECK ((kind = 'room') = (room IS NOT NULL))
) STRICT;
CREATE UNIQUE INDEX place_once ON place (ifnull(structure, 0), kind, ifnull(face, ''), ifnull(room, ''));
INSERT INTO place (structure, kind, face) VALUES
    (NULL, 'site', NULL), (1, 'whole', NULL),
    (1, 'elevation', 'front'), (1, 'elevation', 'right'), (1, 'elevation', 'rear'), (1, 'elevation', 'left'),
    (1, 'roof', NULL),
    (1, 'slope', 'front'), (1, 'slope', 'right'), (1, 'slope', 'rear'), (1, 'slope', 'left');

-- A photo as it came: written once, when its bytes are safe in originals/, never changed, never removed.
-- The id is the shot's number: AUTOINCREMENT never gives one out twice. NULL is unknown.
CREATE TABLE original (
    id               INTEGER PRIMARY KEY AUTOINCREMENT,
    sha256           TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    source_name      TEXT NOT NULL CHECK (source_name <> ''),        -- on the card
    stored_name      TEXT NOT NULL UNIQUE CHECK (stored_name <> '' AND stored_name NOT GLOB '*/*'), -- in originals/
    bytes            INTEGER NOT NULL CHECK (bytes >= 0),
    width            INTEGER NOT NULL CHECK (width > 0),             -- pixels as stored, before turning
    height           INTEGER NOT NULL CHECK (height > 0),
    damaged          INTEGER NOT NULL CHECK (damaged IN (0, 1)),     -- partly readable
    orientation      INTEGER NOT NULL CHECK (orientation BETWEEN 1 AND 8),
    make             TEXT,
    model            TEXT,
    serial           TEXT,
    taken_local_s    REAL,    -- the camera's clock, seconds since 1970-01-01 as if it were UTC, with sub-seconds
    offset_min       INTEGER CHECK (offset_min BETWEEN -840 AND 840), -- zone the file states, minutes east of UTC
    lat_deg          REAL CHECK (lat_deg BETWEEN -90 AND 90),
    lon_deg          REAL CHECK (lon_deg BETWEEN -180 AND 180),
    alt_m            REAL,
    heading_deg      REAL CHECK (heading_deg >= 0 AND heading_deg < 360),
    heading_ref      TEXT CHECK (heading_ref IN ('T', 'M')),
    position_error_m REAL,
    gps_utc_s        REAL,
    gps_day_s        REAL,
    focal_35mm_mm    REAL,
    exif_incomplete  INTEGER NOT NULL CHECK (exif_incomplete IN (0, 1)),
    imported_utc_s   INTEGER NOT NULL,
    -- of versions 2 to 6: what the pixels say; since version 7 in survey, and here NULL. damaged likewise is 0
    survey_width     INTEGER, -- of the plane that was measured, pixels
    survey_height    INTEGER,
    sharpness        REAL,    -- variance of the Laplacian
    smear_px         REAL,    -- of its sharpest edges ...
    smear_side_px    INTEGER, -- ... in the pixels of a picture of this longest side
    luma_mean        REAL,    -- 0 ... 255
    luma_dark        REAL,    -- 5 % of the pixels do not exceed it
    luma_middle      REAL,
    luma_light       REAL,    -- 95 %
    black            REAL,    -- shares of pixels, 0 ... 1
    white            REAL,
    picture_hash     INTEGER, -- difference hash, 64 bits
    CHECK ((lat_deg IS NULL) = (lon_deg IS NULL)),
    CHECK ((heading_deg IS NULL) = (heading_ref IS NULL))
) STRICT;

-- What the pixels of a photo say (quality.h): found once, when it is looked at behind its import, and never changed. It follows from the
-- bytes, so no seal covers it; each row carries the digest of itself and of the photo's own digest. Since version 7.
CREATE TABLE survey (
    original      INTEGER PRIMARY KEY REFERENCES original (id),
    trouble       TEXT CHECK (trouble <> ''),                        -- why no picture can be made of it; then all below is NULL
    damaged       INTEGER NOT NULL CHECK (damaged IN (0, 1)),        -- partly readable
    survey_width  INTEGER,                                           -- of the plane that was measured, pixels
    survey_height INTEGER,
    sharpness     REAL,                                              -- variance of the Laplacian
    smear_px      REAL,                                              -- of its sharpest edges ...
    smear_side_px INTEGER,                                           -- ... in the pixels of a picture of this longest side
    luma_mean     REAL,                                              -- 0 ... 255
    luma_dark     REAL,                                              -- 5 % of the pixels do not exceed it
    luma_middle   REAL,
    luma_light    REAL,                                              -- 95 %
    black         REAL,                                              -- shares of pixels, 0 ... 1
    white         REAL,
    picture_hash  INTEGER,                                           -- difference hash, 64 bits
    sha256        TEXT NOT NULL
) STRICT;

-- What a person says of a photo that is in the claim.
CREATE TABLE shot (
    number       INTEGER PRIMARY KEY REFERENCES original (id),
    place        INTEGER REFERENCES place (id),
    subject      TEXT CHECK (subject <> ''),                         -- id in the catalogue
    distance     TEXT CHECK (distance IN ('overview', 'mid-range', 'close-up')),
    value        TEXT CHECK (value <> ''),                           -- as typed
    value_number REAL,                                               -- normalised by the subject's kind of value
    caption      TEXT CHECK (caption <> ''),                         -- the user's own; NULL: composed
    left_out     INTEGER NOT NULL DEFAULT 0 CHECK (left_out IN (0, 1)),
    hand_order   INTEGER CHECK (hand_order > 0)                      -- the user's own order within the place
) STRICT;
CREATE INDEX shot_by_place ON shot (place);

CREATE TABLE waiver (
    key      TEXT PRIMARY KEY NOT NULL CHECK (key <> ''),            -- a line of the check, see check.h
    why      TEXT NOT NULL CHECK (why <> ''),
    who      TEXT NOT NULL,
    at_utc_s INTEGER NOT NULL
) STRICT;

-- A person's word on a camera's clock. Since version 2.
CREATE TABLE clock_word (
    camera  TEXT PRIMARY KEY NOT NULL,                               -- its key, see camera.h
    said    TEXT NOT NULL CHECK (said <> ''),                        -- "67 min slow"
    error_s REAL NOT NULL                                            -- ahead > 0, behind < 0
) STRICT;

-- Two shots of different cameras taken at the same moment, as a person says. Since version 2.
CREATE TABLE clock_pair (
    shot  INTEGER PRIMARY KEY REFERENCES original (id),              -- of the camera that is to be corrected
    other INTEGER NOT NULL REFERENCES original (id),                 -- of the one that is trusted
    CHECK (shot <> other)
) STRICT;

-- A file that is kept beside the photos and never shown: a raw photo, a video. Like original. Since version 6.
CREATE TABLE attachment (
    id             INTEGER PRIMARY KEY AUTOINCREMENT,
    sha256         TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    source_name    TEXT NOT NULL CHECK (source_name <> ''),          -- on the card
    stored_name    TEXT NOT NULL UNIQUE CHECK (stored_name <> '' AND stored_name NOT GLOB '*/*'), -- in originals/
    kind           TEXT NOT NULL CHECK (kind <> ''),                 -- 'raw photo', 'video' ...
    bytes          INTEGER NOT NULL CHECK (bytes >= 0),
    imported_utc_s INTEGER NOT NULL
) STRICT;

-- Which of them are in the claim. Since version 6.
CREATE TABLE attached (
    attachment INTEGER PRIMARY KEY REFERENCES attachment (id)
) STRICT;

-- One damaged thing, what did it and what is to be done. Since version 4. Numbers are never used again: people write them down.
CREATE TABLE finding (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    place     INTEGER NOT NULL REFERENCES place (id),
    component TEXT NOT NULL CHECK (component <> ''),                 -- id in templates/components.ini
    cause     TEXT CHECK (cause IN ('hail', 'wind', 'water', 'fire', 'impact', 'wear', 'other')),
    action    TEXT CHECK (action IN ('remove and replace', 'repair', 'detach and reset', 'clean', 'none')),
    quantity  TEXT CHECK (quantity <> ''),                           -- as typed
    measure   TEXT CHECK (measure <> ''),                            -- the measurement it follows: 'drip edge'
    amount    REAL CHECK (amount > 0),                               -- NULL where it follows one
    unit      TEXT CHECK (unit IN ('EA', 'LF', 'SF', 'SQ')),         -- of the amount, or wanted of the measurement
    note      TEXT CHECK (note <> ''),
    CHECK (measure IS NULL OR amount IS NULL),
    CHECK (amount IS NULL OR unit IS NOT NULL)
) STRICT;
CREATE INDEX finding_by_place ON finding (place);

-- Which shots prove it. Since version 4.
CREATE TABLE finding_shot (
    finding INTEGER NOT NULL REFERENCES finding (id),
    shot    INTEGER NOT NULL REFERENCES shot (number),
    PRIMARY KEY (finding, shot)
) STRICT;

-- --- facts, test squares, notes. Since version 4. ---

-- One thing known of a place: the roof's covering, a slope's pitch. What photos say of themselves is not here: it is read from them.
CREATE TABLE fact (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    place     INTEGER NOT NULL REFERENCES place (id),
    kind      TEXT NOT NULL CHECK (kind <> ''),                      -- a section of templates/facts.ini
    value     TEXT NOT NULL CHECK (value <> ''),                     -- as typed
    number    REAL,                                                  -- normalised by the kind; of a range its low end
    number_to REAL,                                                  -- of a range its high end, NULL an open one; else the same
    choice    TEXT CHECK (choice <> ''),                             -- of a choice, the word in full
    how       TEXT NOT NULL CHECK (how IN ('seen', 'measured', 'counted', 'estimated', 'told')),
    note      TEXT CHECK (note <> ''),
    CHECK (number_to IS NULL OR number <= number_to)
) STRICT;
CREATE UNIQUE INDEX fact_once ON fact (place, kind);

-- Photos named as its proof, beside those that show the right thing at the right place anyway.
CREATE TABLE fact_shot (
    fact INTEGER NOT NULL REFERENCES fact (id),
    shot INTEGER NOT NULL REFERENCES shot (number),
    PRIMARY KEY (fact, shot)
) STRICT;

-- One test square of a slope: its hits, or why none was drawn.
CREATE TABLE test_square (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    place     INTEGER NOT NULL REFERENCES place (id),
    number    INTEGER NOT NULL CHECK (number BETWEEN 1 AND 9),       -- on its slope
    size      TEXT CHECK (size <> ''),                               -- as typed: '10 x 10 ft'
    width_in  REAL CHECK (width_in > 0),                             -- inches
    height_in REAL CHECK (height_in > 0),
    hits      INTEGER CHECK (hits >= 0),
    not_drawn TEXT CHECK (not_drawn <> ''),                          -- why it was not drawn
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

-- How many hits in a test square matter, as the user of this claim was told: at most one row. It is shown, never applied.
CREATE TABLE square_threshold (
    id     INTEGER PRIMARY KEY CHECK (id = 1),
    hits   INTEGER NOT NULL CHECK (hits > 0),
    source TEXT NOT NULL CHECK (source <> ''),                       -- who says so
    who    TEXT NOT NULL
) STRICT;

-- Free words on the claim (neither place nor shot), on a place, or on a shot. Numbers are never used again: people write them down.
CREATE TABLE note (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    place     INTEGER REFERENCES place (id),
    shot      INTEGER REFERENCES shot (number),
    text      TEXT NOT NULL CHECK (text <> ''),
    in_report INTEGER NOT NULL CHECK (in_report IN (0, 1)),
    who       TEXT NOT NULL,                                         -- who wrote it, or changed it last
    at_utc_s  INTEGER NOT NULL,
    CHECK (place IS NULL OR shot IS NULL)
) STRICT;

-- Roof measurements: an entry is one slope (its place is that slope) or a whole roof on a rectangle (its place is the structure's roof).
-- Areas and lengths are not stored: they follow (roof.h). Since version 4.
CREATE TABLE roof_entry (
    id            INTEGER PRIMARY KEY AUTOINCREMENT,                 -- shown to the user, never used again
    place         INTEGER NOT NULL REFERENCES place (id),
    section       TEXT NOT NULL COLLATE NOCASE CHECK (section <> ''), -- which part of the roof: 'main', 'wing'
    shape         TEXT NOT NULL
                  CHECK (shape IN ('rectangle', 'triangle', 'trapezoid', 'parallelogram', 'gable', 'hip', 'dutch gable')),
    bottom        TEXT NOT NULL CHECK (bottom IN ('eave', 'break', 'wall')),         -- what its edges are; of a whole roof without meaning
    top           TEXT NOT NULL CHECK (top IN ('ridge', 'break', 'wall', 'high edge')),
    left_side     TEXT NOT NULL CHECK (left_side IN ('rake', 'hip', 'valley', 'wall')), -- as seen from outside
    right_side    TEXT NOT NULL CHECK (right_side IN ('rake', 'hip', 'valley', 'wall')),
    cut_out       INTEGER NOT NULL CHECK (cut_out IN (0, 1)),        -- taken out of the roof
    ridge_to_rear INTEGER NOT NULL CHECK (ridge_to_rear IN (0, 1))   -- whole roofs: front to rear, not along the street
) STRICT;
CREATE INDEX roof_entry_by_place ON roof_entry (place);

-- What was measured of an entry. Since version 4.
CREATE TABLE roof_given (
    entry  INTEGER NOT NULL REFERENCES roof_entry (id),
    what   TEXT NOT NULL
           CHECK (what IN ('eave', 'ridge', 'up', 'run', 'pitch', 'left', 'right', 'width', 'depth', 'overhang', 'rake overhang', 'gablet')),
    typed  TEXT NOT NULL CHECK (typed <> ''),                        -- as typed: 16'9"
    number REAL NOT NULL,                                            -- inches; pitch: rise in 12
    PRIMARY KEY (entry, what)
) STRICT;

-- The user's own settings for roofs: one row, or none where nothing is set. Since version 4.
CREATE TABLE roof_setting (
    id            INTEGER PRIMARY KEY CHECK (id = 1),
    waste_percent REAL CHECK (waste_percent BETWEEN 0 AND 100),
    steep         TEXT CHECK (steep <> '')                           -- bands as typed: 'over 4/12'
) STRICT;

-- What a person drew over a photo. Since version 5.
CREATE TABLE mark (
    id        INTEGER PRIMARY KEY AUTOINCREMENT,
    shot      INTEGER NOT NULL REFERENCES shot (number),
    kind      TEXT NOT NULL CHECK (kind IN ('arrow', 'ellipse', 'chalk', 'text', 'scale', 'line', 'angle')),
    points    TEXT NOT NULL CHECK (points <> ''),                    -- 'x,y x,y': shares of the upright picture
    text      TEXT CHECK (text <> ''),
    length    TEXT CHECK (length <> ''),                             -- of a scale, as typed
    length_in REAL CHECK (length_in > 0),                            -- the same in inches
    CHECK ((kind = 'scale') = (length IS NOT NULL) AND (length IS NULL) = (length_in IS NULL))
) STRICT;
CREATE INDEX mark_of ON mark (shot);

-- One entry a change a person made. 'dropped': undone, and then something else was done, so it can't be redone.
CREATE TABLE history (
    id      INTEGER PRIMARY KEY AUTOINCREMENT,
    verb    TEXT NOT NULL CHECK (verb <> ''),
    summary TEXT NOT NULL,
    state   TEXT NOT NULL CHECK (state IN ('done', 'undone', 'dropped'))
) STRICT;

-- When and by whom it was done, undone, redone: only ever added to.
CREATE TABLE history_step (
    id       INTEGER PRIMARY KEY AUTOINCREMENT,
    history  INTEGER NOT NULL REFERENCES history (id),
    step     TEXT NOT NULL CHECK (step IN ('done', 'undone', 'redone')),
    who      TEXT NOT NULL,
    at_utc_s INTEGER NOT NULL
) STRICT;
CREATE INDEX history_step_of ON history_step (history);

-- Before and after, as an SQLite changeset (session extension). A long import saves several parts.
CREATE TABLE history_part (
    history   INTEGER NOT NULL REFERENCES history (id),
    part      INTEGER NOT NULL,
    changeset BLOB NOT NULL,
    PRIMARY KEY (history, part)
) STRICT;

-- Which content the claim had after which step (state.h): one row a step, written in the transaction that changed it. Since version 3.
CREATE TABLE seal (
    step             INTEGER PRIMARY KEY,                            -- history_step.id; 0: a new claim
    originals        INTEGER NOT NULL,                               -- chained up to this row of original ...
    originals_sha256 TEXT NOT NULL,
    parts            INTEGER NOT NULL,                               -- ... and of history_part
    parts_sha256     TEXT NOT NULL,
    sha256           TEXT NOT NULL                                   -- of all of it
) STRICT;
