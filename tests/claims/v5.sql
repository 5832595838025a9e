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
    -- since version 2: what the pixels say (quality.h); all NULL where they were never measured
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
INSERT INTO original VALUES(1,'7bf8aef5dee2e10e494f5c2ec58dee77fd236bfd9e78161c0e9607a54271ff00','IMG_0001.JPG','IMG_0001-7bf8aef5dee2.JPG',3009,64,48,0,1,'Larkfield','LF-7',NULL,1778770928.2499999999,-300,32.5,-97.250000000000000003,NULL,205.0,'T',NULL,NULL,NULL,NULL,0,1795613351,64,48,496.70146338144940045,1.2154785156250000888,64,67.525716145833328597,34.0,68.0,101.0,0.0,0.0,-5317002374721921382);
INSERT INTO original VALUES(2,'c5cb939b4f9cf50dfbb70a7ed602618ab9f632a12da6b3efc33e092f697e3c72','IMG_0002.JPG','IMG_0002-c5cb939b4f9c.JPG',2768,64,48,0,1,NULL,NULL,NULL,1778770990.0,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,0,1795613351,64,48,474.3805537753635235,1.6570800781250001332,64,67.591145833333328594,35.0,68.0,99.0,0.0,0.0,-8732816341603413429);
INSERT INTO original VALUES(3,'061d8476b37f53459fb78fb987d753c476882d4eea331cb3a1899eb36ef2599a','IMG_0003.JPG','IMG_0003-061d8476b37f.JPG',2551,64,48,0,1,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,0,1795613351,64,48,484.53018856048583984,0.63749999999999995559,64,64.992187500000000001,34.0,67.0,90.0,0.0,0.0,-2250528164888541311);
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
INSERT INTO waiver VALUES('test-square place:11','Slate, too steep to walk','Ada Quill',1795613351);
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
INSERT INTO history_step VALUES(1,1,'done','Ada Quill',1795613351);
INSERT INTO history_step VALUES(2,2,'done','Ada Quill',1795613351);
INSERT INTO history_step VALUES(3,3,'done','Ada Quill',1795613351);
INSERT INTO history_step VALUES(4,4,'done','Ada Quill',1795613351);
INSERT INTO history_step VALUES(5,5,'done','Ada Quill',1795613351);
INSERT INTO history_step VALUES(6,6,'done','Ada Quill',1795613351);
INSERT INTO history_step VALUES(7,7,'done','Ada Quill',1795613351);
INSERT INTO history_step VALUES(8,8,'done','Ada Quill',1795613351);
INSERT INTO history_step VALUES(9,8,'undone','root',1795613351);
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
INSERT INTO history_part VALUES(7,0,X'5404010000007761697665720012000314746573742d73717561726520706c6163653a31310318536c6174652c20746f6f20737465657020746f2077616c6b0309416461205175696c6c01000000006b06e2a7');
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
INSERT INTO seal VALUES(1,3,'9c9159b843ab69dec71b162754084b7b3113c8249830d8852022294a2215a362',1,'61d0781f52e7f9729fab9dffcaca18dd93d2d33224729cb4592a5038e95df147','5b57984580fbf615fba329fe4668bc0e7aced9674872d37960bcbecf0f44695f');
INSERT INTO seal VALUES(2,3,'9c9159b843ab69dec71b162754084b7b3113c8249830d8852022294a2215a362',2,'f11a5427ac44e8989b8942336be34302eb11c31b24623a8819483b8c2a41e549','cec68c2bdc4c4af9c1d90ed5862837ec8146286c3f19d57b5ee64fbc57a1f66c');
INSERT INTO seal VALUES(3,3,'9c9159b843ab69dec71b162754084b7b3113c8249830d8852022294a2215a362',3,'db0e8ae073f2921f3dbc4083755dfd6ab49042953c952fc4347f7da91bfd874d','f1513d9f2f9c4750dee865688fe0a1ae50768fcdd156fa1d55e2c09424da97d3');
INSERT INTO seal VALUES(4,3,'9c9159b843ab69dec71b162754084b7b3113c8249830d8852022294a2215a362',4,'bc3388eaf8268676b8f38fe02104c9fc637641ad6f2303547db80aaaa7853748','f06d6649c879297e53f338579d965a8c2078cf1c261eb3d21bc95c174d0832d3');
INSERT INTO seal VALUES(5,3,'9c9159b843ab69dec71b162754084b7b3113c8249830d8852022294a2215a362',5,'1abebdcc78cf6cd064e2305ddacd75567f49c08d705faf616713a0fb6de13d6f','aeaee447266adb076062a5d770aaf6acab8903fe2f9210aa64fb07f15beb60de');
INSERT INTO seal VALUES(6,3,'9c9159b843ab69dec71b162754084b7b3113c8249830d8852022294a2215a362',6,'8f180d22dc83d7ad3bcbe55021c7dbba8e0bd3793011e8ab0f226501c8c366b8','6176cde0adff03691a46d1cb4ebe21e29f2a69eaa76c0b942972b101fde2cb4f');
INSERT INTO seal VALUES(7,3,'9c9159b843ab69dec71b162754084b7b3113c8249830d8852022294a2215a362',7,'f811b064415d8c77a3e486dd8db88710b9f238b1310c4b0bccffd3f33ced85f9','a658a22105e450550013821009be240f84f5f06f7239e52ece7d7914bdd6bfdb');
INSERT INTO seal VALUES(8,3,'9c9159b843ab69dec71b162754084b7b3113c8249830d8852022294a2215a362',8,'2352892f20f323c12b99d138adfdeb22f5304170cb7e6687774c02f3e1f4a7f2','c17eafdc5fd4ef6357e33902a3359879016c4b089513776b70f726b1bee8311f');
INSERT INTO seal VALUES(9,3,'9c9159b843ab69dec71b162754084b7b3113c8249830d8852022294a2215a362',8,'2352892f20f323c12b99d138adfdeb22f5304170cb7e6687774c02f3e1f4a7f2','2bfa586ccfd64f279e9acc4252285c2b7f0eda8ba7865328fff3e3a16274a702');
CREATE TABLE attachment (
    id             INTEGER PRIMARY KEY AUTOINCREMENT,
    sha256         TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    source_name    TEXT NOT NULL CHECK (source_name <> ''),
    stored_name    TEXT NOT NULL UNIQUE CHECK (stored_name <> '' AND stored_name NOT GLOB '*/*'),
    kind           TEXT NOT NULL CHECK (kind <> ''),
    bytes          INTEGER NOT NULL CHECK (bytes >= 0),
    imported_utc_s INTEGER NOT NULL
) STRICT;
CREATE TABLE attached (
    attachment INTEGER PRIMARY KEY REFERENCES attachment (id)
) STRICT;
DELETE FROM sqlite_sequence;
INSERT INTO sqlite_sequence VALUES('structure',2);
INSERT INTO sqlite_sequence VALUES('place',19);
INSERT INTO sqlite_sequence VALUES('original',3);
INSERT INTO sqlite_sequence VALUES('history',8);
INSERT INTO sqlite_sequence VALUES('history_step',9);
CREATE UNIQUE INDEX place_once ON place (ifnull(structure, 0), kind, ifnull(face, ''), ifnull(room, ''));
CREATE INDEX shot_by_place ON shot (place);
CREATE INDEX history_step_of ON history_step (history);
COMMIT;
