-- migrate-6.sql -- from version 5 to 6: attachments. See schema.sql.
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
