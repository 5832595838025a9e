PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
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
INSERT INTO claim VALUES(1,'Ines O''Marlow','LK-20260514','14 Larkfield Road','2026-05-14',NULL,'hail',NULL,NULL,205.0);
CREATE TABLE structure (
    id   INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE CHECK (name <> ''),
    kind TEXT NOT NULL CHECK (kind IN ('dwelling', 'garage', 'shed', 'barn', 'carport', 'fence', 'deck', 'other'))
) STRICT;
INSERT INTO structure VALUES(1,'dwelling','dwelling');
INSERT INTO structure VALUES(2,'garage','garage');
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
INSERT INTO place VALUES(1,NULL,'site',NULL,NULL);
INSERT INTO place VALUES(2,1,'whole',NULL,NULL);
INSERT INTO place VALUES(3,1,'elevation','front',NULL);
INSERT INTO place VALUES(4,1,'elevation','right',NULL);
INSERT INTO place VALUES(5,1,'elevation','rear',NULL);
INSERT INTO place VALUES(6,1,'elevation','left',NULL);
INSERT INTO place VALUES(7,1,'roof',NULL,NULL);
INSERT INTO place VALUES(8,1,'slope','front',NULL);
INSERT INTO place VALUES(9,1,'slope','right',NULL);
INSERT INTO place VALUES(10,1,'slope','rear',NULL);
INSERT INTO place VALUES(11,1,'slope','left',NULL);
INSERT INTO place VALUES(12,2,'whole',NULL,NULL);
INSERT INTO place VALUES(13,2,'elevation','front',NULL);
INSERT INTO place VALUES(14,2,'elevation','right',NULL);
INSERT INTO place VALUES(15,2,'elevation','rear',NULL);
INSERT INTO place VALUES(16,2,'elevation','left',NULL);
INSERT INTO place VALUES(17,2,'slope','right',NULL);
INSERT INTO place VALUES(18,2,'slope','left',NULL);
INSERT INTO place VALUES(19,2,'roof',NULL,NULL);
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
INSERT INTO original VALUES(1,'2f82fa509100943fb98b29c0af35fd76b6179a1edfe8c7a3260bcee76e1925ac','IMG_0001.JPG','IMG_0001-2f82fa509100.JPG',2981,64,48,0,1,'Larkfield','LF-7',NULL,1778770928.2499999999,-300,32.5,-97.250000000000000003,NULL,205.0,'T',NULL,NULL,NULL,NULL,0,1795624652,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO original VALUES(2,'bf0131134b9785f28a925c4ab8f159fe86d4aae0cff998c320b5bd447a692899','IMG_0002.JPG','IMG_0002-bf0131134b97.JPG',2741,64,48,0,1,NULL,NULL,NULL,1778770990.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,0,1795624652,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
INSERT INTO original VALUES(3,'6bbeef42d819f1a7afd83f1c02f0a6bc70bd67b6800f75f699feb857b59c9361','IMG_0003.JPG','IMG_0003-6bbeef42d819.JPG',2550,64,48,0,1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,0,1795624652,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
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
INSERT INTO survey VALUES(1,NULL,0,64,48,547.15399328867590613,1.055908203125,64,64.867838541666671403,37.0,65.0,91.0,0.0,0.0,651909823351667724,'b377c6c8a50f1ce185e2f0378cef00c7541d4d795316710242cf4622ad1ee4a4');
INSERT INTO survey VALUES(2,NULL,0,64,48,472.3060394922892442,0.4000000000000000222,64,63.6728515625,33.0,64.0,92.0,0.0,0.0,-8534668831754843286,'60e2ff41a4e355a6fa0c5c230878a21e6befc164e66fbdfe111ece929b47fdf2');
INSERT INTO survey VALUES(3,NULL,0,64,48,510.12428749932183791,0.7645996093750000444,64,64.1171875,41.0,62.0,90.0,0.0,0.0,-1595692198738551859,'e62764fb17a3ac81d276710f41fb90d4606041b4f53383ea7da1071b46b94d7b');
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
INSERT INTO shot VALUES(1,10,'test-square','mid-range','9',9.0,NULL,0,NULL);
INSERT INTO shot VALUES(2,13,'siding-size',NULL,'4 in',4.0,'Lap siding, "4 in" <showing>',0,NULL);
INSERT INTO shot VALUES(3,3,NULL,'overview',NULL,NULL,NULL,1,NULL);
CREATE TABLE waiver (
    key      TEXT PRIMARY KEY NOT NULL CHECK (key <> ''),            -- a line of the check, see check.h
    why      TEXT NOT NULL CHECK (why <> ''),
    who      TEXT NOT NULL,
    at_utc_s INTEGER NOT NULL
) STRICT;
INSERT INTO waiver VALUES('test-square place:11','Slate, too steep to walk','Ada Quill',1795624652);
CREATE TABLE clock_word (
    camera  TEXT PRIMARY KEY NOT NULL,                               -- its key, see camera.h
    said    TEXT NOT NULL CHECK (said <> ''),                        -- "67 min slow"
    error_s REAL NOT NULL                                            -- ahead > 0, behind < 0
) STRICT;
CREATE TABLE clock_pair (
    shot  INTEGER PRIMARY KEY REFERENCES original (id),              -- of the camera that is to be corrected
    other INTEGER NOT NULL REFERENCES original (id),                 -- of the one that is trusted
    CHECK (shot <> other)
) STRICT;
CREATE TABLE attachment (
    id             INTEGER PRIMARY KEY AUTOINCREMENT,
    sha256         TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    source_name    TEXT NOT NULL CHECK (source_name <> ''),          -- on the card
    stored_name    TEXT NOT NULL UNIQUE CHECK (stored_name <> '' AND stored_name NOT GLOB '*/*'), -- in originals/
    kind           TEXT NOT NULL CHECK (kind <> ''),                 -- 'raw photo', 'video' ...
    bytes          INTEGER NOT NULL CHECK (bytes >= 0),
    imported_utc_s INTEGER NOT NULL
) STRICT;
CREATE TABLE attached (
    attachment INTEGER PRIMARY KEY REFERENCES attachment (id)
) STRICT;
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
CREATE TABLE finding_shot (
    finding INTEGER NOT NULL REFERENCES finding (id),
    shot    INTEGER NOT NULL REFERENCES shot (number),
    PRIMARY KEY (finding, shot)
) STRICT;
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
CREATE TABLE fact_shot (
    fact INTEGER NOT NULL REFERENCES fact (id),
    shot INTEGER NOT NULL REFERENCES shot (number),
    PRIMARY KEY (fact, shot)
) STRICT;
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
CREATE TABLE test_square_shot (
    square INTEGER NOT NULL REFERENCES test_square (id),
    shot   INTEGER NOT NULL REFERENCES shot (number),
    PRIMARY KEY (square, shot)
) STRICT;
CREATE TABLE square_threshold (
    id     INTEGER PRIMARY KEY CHECK (id = 1),
    hits   INTEGER NOT NULL CHECK (hits > 0),
    source TEXT NOT NULL CHECK (source <> ''),                       -- who says so
    who    TEXT NOT NULL
) STRICT;
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
CREATE TABLE roof_given (
    entry  INTEGER NOT NULL REFERENCES roof_entry (id),
    what   TEXT NOT NULL
           CHECK (what IN ('eave', 'ridge', 'up', 'run', 'pitch', 'left', 'right', 'width', 'depth', 'overhang', 'rake overhang', 'gablet')),
    typed  TEXT NOT NULL CHECK (typed <> ''),                        -- as typed: 16'9"
    number REAL NOT NULL,                                            -- inches; pitch: rise in 12
    PRIMARY KEY (entry, what)
) STRICT;
CREATE TABLE roof_setting (
    id            INTEGER PRIMARY KEY CHECK (id = 1),
    waste_percent REAL CHECK (waste_percent BETWEEN 0 AND 100),
    steep         TEXT CHECK (steep <> '')                           -- bands as typed: 'over 4/12'
) STRICT;
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
CREATE TABLE history (
    id      INTEGER PRIMARY KEY AUTOINCREMENT,
    verb    TEXT NOT NULL CHECK (verb <> ''),
    summary TEXT NOT NULL,
    state   TEXT NOT NULL CHECK (state IN ('done', 'undone', 'dropped'))
) STRICT;
INSERT INTO history VALUES(1,'import','3 photos from card','done');
INSERT INTO history VALUES(2,'edit','claim number, date of loss, front azimuth','done');
INSERT INTO history VALUES(3,'structure','garage: front, right, rear, left; slopes right, left','done');
INSERT INTO history VALUES(4,'tag','shot 1: place rear slope; subject Test square; distance mid-range; value 9','done');
INSERT INTO history VALUES(5,'tag','shot 2: place garage front; subject Siding size; value 4 in; caption written','done');
INSERT INTO history VALUES(6,'tag','shot 3: place front; distance overview; left out of the report','done');
INSERT INTO history VALUES(7,'waive','test square, left slope: Slate, too steep to walk','done');
INSERT INTO history VALUES(8,'tag','shot 3: caption written','undone');
CREATE TABLE history_step (
    id       INTEGER PRIMARY KEY AUTOINCREMENT,
    history  INTEGER NOT NULL REFERENCES history (id),
    step     TEXT NOT NULL CHECK (step IN ('done', 'undone', 'redone')),
    who      TEXT NOT NULL,
    at_utc_s INTEGER NOT NULL
) STRICT;
INSERT INTO history_step VALUES(1,1,'done','Ada Quill',1795624652);
INSERT INTO history_step VALUES(2,2,'done','Ada Quill',1795624652);
INSERT INTO history_step VALUES(3,3,'done','Ada Quill',1795624652);
INSERT INTO history_step VALUES(4,4,'done','Ada Quill',1795624652);
INSERT INTO history_step VALUES(5,5,'done','Ada Quill',1795624652);
INSERT INTO history_step VALUES(6,6,'done','Ada Quill',1795624652);
INSERT INTO history_step VALUES(7,7,'done','Ada Quill',1795624652);
INSERT INTO history_step VALUES(8,8,'done','Ada Quill',1795624652);
INSERT INTO history_step VALUES(9,8,'undone','root',1795624652);
CREATE TABLE history_part (
    history   INTEGER NOT NULL REFERENCES history (id),
    part      INTEGER NOT NULL,
    changeset BLOB NOT NULL,
    PRIMARY KEY (history, part)
) STRICT;
INSERT INTO history_part VALUES(1,0,X'540901000000000000000073686f7400120001000000000000000105050505050501000000000000000005120001000000000000000205050505050501000000000000000005120001000000000000000305050505050501000000000000000005');
INSERT INTO history_part VALUES(2,0,X'540a01000000000000000000636c61696d0017000100000000000000010005000500000000050000030b4c4b2d323032363035313400030a323032362d30352d313400000000024069a00000000000');
INSERT INTO history_part VALUES(3,0,X'54030100007374727563747572650012000100000000000000020306676172616765030667617261676554050100000000706c61636500120001000000000000000d0100000000000000020309656c65766174696f6e030566726f6e7405120001000000000000000c010000000000000002030577686f6c650505120001000000000000000f0100000000000000020309656c65766174696f6e03047265617205120001000000000000000e0100000000000000020309656c65766174696f6e030572696768740512000100000000000000120100000000000000020305736c6f706503046c6566740512000100000000000000130100000000000000020304726f6f66050512000100000000000000100100000000000000020309656c65766174696f6e03046c6566740512000100000000000000110100000000000000020305736c6f70650305726967687405');
INSERT INTO history_part VALUES(4,0,X'540901000000000000000073686f7400170001000000000000000105050505050000000001000000000000000a030b746573742d73717561726503096d69642d72616e6765030139024022000000000000000000');
INSERT INTO history_part VALUES(5,0,X'540901000000000000000073686f7400170001000000000000000205050005050500000001000000000000000d030b736964696e672d73697a650003043420696e024010000000000000031c4c617020736964696e672c20223420696e22203c73686f77696e673e0000');
INSERT INTO history_part VALUES(6,0,X'540901000000000000000073686f7400170001000000000000000305000500000001000000000000000000000100000000000000030003086f7665727669657700000001000000000000000100');
INSERT INTO history_part VALUES(7,0,X'5404010000007761697665720012000314746573742d73717561726520706c6163653a31310318536c6174652c20746f6f20737465657020746f2077616c6b0309416461205175696c6c01000000006b070ecc');
INSERT INTO history_part VALUES(8,0,X'540901000000000000000073686f740017000100000000000000030000000000050000000000000000030a74616b656e206261636b0000');
CREATE TABLE seal (
    step             INTEGER PRIMARY KEY,                            -- history_step.id; 0: a new claim
    originals        INTEGER NOT NULL,                               -- chained up to this row of original ...
    originals_sha256 TEXT NOT NULL,
    parts            INTEGER NOT NULL,                               -- ... and of history_part
    parts_sha256     TEXT NOT NULL,
    sha256           TEXT NOT NULL                                   -- of all of it
) STRICT;
INSERT INTO seal VALUES(0,0,'',0,'','149280ca73679a725be147e78b6fd25ad5972d2ac66d61de94c1e7bd6c23f80d');
INSERT INTO seal VALUES(1,3,'9d14268a3950101064ad7de3df4057c250252cf849f951ec42423f47ae0eded3',1,'61d0781f52e7f9729fab9dffcaca18dd93d2d33224729cb4592a5038e95df147','cec794e781a03683144fef6cf1f0605c1ad2e4f1a13c4c18cff57b5312dcd42d');
INSERT INTO seal VALUES(2,3,'9d14268a3950101064ad7de3df4057c250252cf849f951ec42423f47ae0eded3',2,'f11a5427ac44e8989b8942336be34302eb11c31b24623a8819483b8c2a41e549','0bd1b89d61fb6da9d45d47b17b1268b796239859a973a5278adc52ca5485eb77');
INSERT INTO seal VALUES(3,3,'9d14268a3950101064ad7de3df4057c250252cf849f951ec42423f47ae0eded3',3,'db0e8ae073f2921f3dbc4083755dfd6ab49042953c952fc4347f7da91bfd874d','2b3710af5845b3707d36d989d49ff1d49128071997a0efba03bb462d44c09e79');
INSERT INTO seal VALUES(4,3,'9d14268a3950101064ad7de3df4057c250252cf849f951ec42423f47ae0eded3',4,'bc3388eaf8268676b8f38fe02104c9fc637641ad6f2303547db80aaaa7853748','9760b55f0dbf10e5f462ca2f79acc4ad6cbbb6f2a6c4217254c58753d6f0ab8e');
INSERT INTO seal VALUES(5,3,'9d14268a3950101064ad7de3df4057c250252cf849f951ec42423f47ae0eded3',5,'1abebdcc78cf6cd064e2305ddacd75567f49c08d705faf616713a0fb6de13d6f','9dc0bb0fc38001b331a0d8c3649688c3c06ff77f43cfa3b48addfe76766a13dd');
INSERT INTO seal VALUES(6,3,'9d14268a3950101064ad7de3df4057c250252cf849f951ec42423f47ae0eded3',6,'8f180d22dc83d7ad3bcbe55021c7dbba8e0bd3793011e8ab0f226501c8c366b8','49bc16bb6b7252199fcf933b2b17af563a358516d911dbf3e387f47422f3b7b9');
INSERT INTO seal VALUES(7,3,'9d14268a3950101064ad7de3df4057c250252cf849f951ec42423f47ae0eded3',7,'7c44acca1fc650e74351fb8d6dfc5365294234021788b6dd2caca447d8d93caf','5df819c98c0ce6fd5572e41157fd723bed0fc67e75369559d418f5437b0dd226');
INSERT INTO seal VALUES(8,3,'9d14268a3950101064ad7de3df4057c250252cf849f951ec42423f47ae0eded3',8,'dfdc1c6f9090d0b302ad9e0f53d189847047d2562eee4d9deac917a2a9dde9d0','ac662d3facb78f40931e62a7e6c2c856ce79fe3209777e3090bd8600870a46ea');
INSERT INTO seal VALUES(9,3,'9d14268a3950101064ad7de3df4057c250252cf849f951ec42423f47ae0eded3',8,'dfdc1c6f9090d0b302ad9e0f53d189847047d2562eee4d9deac917a2a9dde9d0','6ed0c100f10b65e6dc6b44eddd81ad0fc8e256df7f37ad2a4f9e58bc2b9903d7');
DELETE FROM sqlite_sequence;
INSERT INTO sqlite_sequence VALUES('structure',2);
INSERT INTO sqlite_sequence VALUES('place',19);
INSERT INTO sqlite_sequence VALUES('original',3);
INSERT INTO sqlite_sequence VALUES('history',8);
INSERT INTO sqlite_sequence VALUES('history_step',9);
CREATE UNIQUE INDEX place_once ON place (ifnull(structure, 0), kind, ifnull(face, ''), ifnull(room, ''));
CREATE INDEX shot_by_place ON shot (place);
CREATE INDEX finding_by_place ON finding (place);
CREATE UNIQUE INDEX fact_once ON fact (place, kind);
CREATE UNIQUE INDEX test_square_once ON test_square (place, number);
CREATE INDEX roof_entry_by_place ON roof_entry (place);
CREATE INDEX mark_of ON mark (shot);
CREATE INDEX history_step_of ON history_step (history);
COMMIT;
