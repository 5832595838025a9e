/* test_flow.c -- the main job, from a card to the report, held against other programs.
 *
 * Sources: exiftool -n (what the cameras wrote), sha256sum (the bytes), the Nu HTML checker (the page). Photos: demo-photos, real camera
 * photos where they lie beside the checkout, and a few written here with exiftool.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <glib/gstdio.h>
#include <jansson.h>
#include <sqlite3.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

#define UNKNOWN ((double)NAN)

/* --- photos --- */

/* Photos with every field that the log keeps, in FOLDER/card: both hemispheres, both references, below the sea, half hours of zone. */
static void write_tagged_photos(const char *folder)
{
    static const char *const fields[] = {
        "-Make=Acme -Model='Acme One' -SerialNumber=A1 -DateTimeOriginal='2026:05:14 15:02:08' -SubSecTimeOriginal=250"
        " -OffsetTimeOriginal=-05:00 -GPSLatitude=44.977753 -GPSLatitudeRef=N -GPSLongitude=93.265011 -GPSLongitudeRef=W"
        " -GPSAltitude=263.4 -GPSAltitudeRef=0 -GPSImgDirection=205.25 -GPSImgDirectionRef=T -GPSHPositioningError=4.75"
        " -GPSDateStamp=2026:05:14 -GPSTimeStamp=20:02:06 -FocalLengthIn35mmFormat=26 -Orientation=1",
        "-Make=Acme -Model=Two -DateTimeOriginal='2026:05:14 23:59:59' -OffsetTimeOriginal=+05:30 -GPSLatitude=33.8567"
        " -GPSLatitudeRef=S -GPSLongitude=151.2152 -GPSLongitudeRef=E -GPSAltitude=3.2 -GPSAltitudeRef=1 -GPSImgDirection=359.99"
        " -GPSImgDirectionRef=M -GPSHPositioningError=30 -Orientation=6",
        "-DateTimeOriginal='2026:05:14 00:00:00' -GPSImgDirection=0 -GPSImgDirectionRef=T -Orientation=3",
        "-Make=Acme -GPSLatitude=0 -GPSLatitudeRef=N -GPSLongitude=0 -GPSLongitudeRef=E",
    };
    make_card(folder, "card", G_N_ELEMENTS(fields), 64);
    for (guint i = 0; i < G_N_ELEMENTS(fields); i++) {
        g_autofree char *script = g_strdup_printf("exiftool -q -n -overwrite_original %s card/IMG_%04u.JPG", fields[i], i + 1);
        assert_int_equal(sh(folder, NULL, NULL, script), 0);
    }
}

/* The JPEGs of a folder, copied to FOLDER/card under their own names. */
static void add_photos(const char *folder, const char *from)
{
    g_autofree char *quoted = g_shell_quote(from);
    g_autofree char *script = g_strdup_printf("mkdir -p card && { find %s -name '*.[jJ][pP]*[gG]' -exec cp -n {} card/ ';' ; true; }", quoted);
    assert_int_equal(sh(folder, NULL, NULL, script), 0);
}

/* All that there is, imported into FOLDER/c. */
static void import_all(const char *folder)
{
    if (!have_program("exiftool"))
        skip();
    g_autofree char *demo = source_path("demo-photos"), *real = real_photo("README.md"), *out = NULL;
    write_tagged_photos(folder);
    if (g_file_test(demo, G_FILE_TEST_IS_DIR))
        add_photos(folder, demo);
    if (real != NULL) {
        g_autofree char *beside = g_path_get_dirname(real);
        add_photos(folder, beside);
    } else
        print_message("no real photos beside the checkout\n");
    assert_int_equal(sh(folder, &out, NULL, "gablebook new c --cause hail --front-azimuth 205 && gablebook import c card"), 0);
    print_message("%s", strstr(out, "\n") != NULL ? strrchr(g_strchomp(out), '\n') + 1 : out);
    print_message("\n");
}

/* --- what exiftool reads --- */

/* File name to the object of exiftool -j -n -G1. OWNED by the caller. */
static json_t *ask_exiftool(const char *folder)
{
    g_autofree char *out = NULL;
    sh(folder, &out, NULL, "exiftool -j -n -G1 -FileName -ExifIFD:all -IFD0:all -GPS:all card");
    json_t *list = json_loads(out, 0, NULL), *by_name = json_object(), *photo;
    gsize i;
    assert_non_null(list);
    json_array_foreach(list, i, photo)
        json_object_set(by_name, json_string_value(json_object_get(photo, "System:FileName")), photo);
    json_decref(list);
    return by_name;
}

/* NAN where exiftool has none, or has text like "undef" for a zero denominator. */
static double number_in(const json_t *photo, const char *tag)
{
    const json_t *value = json_object_get(photo, tag);
    return json_is_number(value) ? json_number_value(value) : UNKNOWN;
}

static char *text_in(const json_t *photo, const char *tag)
{
    const json_t *value = json_object_get(photo, tag);
    char *text = json_is_string(value) ? g_strdup(json_string_value(value)) : json_is_null(value) ? g_strdup("") : json_dumps(value, JSON_ENCODE_ANY);
    return g_strstrip(text != NULL ? text : g_strdup(""));
}

/* A position is known when both parts and their references are; south and west are negative. */
static double coordinate_in(const json_t *photo, const char *tag, const char *ref_tag, char negative)
{
    g_autofree char *ref = text_in(photo, ref_tag);
    return *ref == '\0' ? UNKNOWN : number_in(photo, tag) * (*ref == negative ? -1 : 1);
}

/* "2026:05:14 15:02:08" and the digits of a fraction to seconds, by GLib's calendar; NAN for no date. */
static double seconds_in(const char *text, const char *fraction)
{
    int y, mo, d, h, mi, s;
    if (sscanf(text, "%d:%d:%d %d:%d:%d", &y, &mo, &d, &h, &mi, &s) != 6)
        return NAN;
    g_autoptr(GDateTime) time = g_date_time_new_utc(y, mo, d, h, mi, s);
    g_autofree char *part = g_strdup_printf("0.%s", fraction);
    return time == NULL ? UNKNOWN : (double)g_date_time_to_unix(time) + g_ascii_strtod(part, NULL);
}

static double offset_in(const char *text)
{
    int h, m;
    char sign;
    return sscanf(text, "%c%d:%d", &sign, &h, &m) == 3 ? (sign == '-' ? -1 : 1) * (h * 60 + m) : UNKNOWN;
}

/* --- the log against exiftool --- */

typedef struct {
    const char *file;
    guint compared, unknown;
} Count;

static void compare(Count *count, const char *what, double seen, double wanted, double within)
{
    if (isnan(seen) && isnan(wanted))
        count->unknown++;
    else if (fabs(seen - wanted) <= within)
        count->compared++;
    else
        fail_msg("%s: %s is %.12g, exiftool says %.12g", count->file, what, seen, wanted);
}

static void compare_text(Count *count, const char *what, const char *seen, const char *wanted)
{
    if (strcmp(seen == NULL ? "" : seen, wanted) != 0)
        fail_msg("%s: %s is '%s', exiftool says '%s'", count->file, what, seen, wanted);
    *(*wanted != '\0' ? &count->compared : &count->unknown) += 1;
}

static double column(sqlite3_stmt *row, int i)
{
    return sqlite3_column_type(row, i) == SQLITE_NULL ? UNKNOWN : sqlite3_column_double(row, i);
}

#define ROW "SELECT source_name, make, model, serial, taken_local_s, offset_min, lat_deg, lon_deg, alt_m, heading_deg, heading_ref," \
            " position_error_m, focal_35mm_mm, orientation, width, height, bytes, gps_day_s FROM original ORDER BY id"
enum { NAME, MAKE, MODEL, SERIAL, TAKEN, OFFSET, LAT, LON, ALT, HEADING, HEADING_REF, ERROR_M, FOCAL, ORIENTATION, WIDTH, HEIGHT, BYTES, DAY };

static void compare_times(Count *count, sqlite3_stmt *row, const json_t *photo)
{
    g_autofree char *taken = text_in(photo, "ExifIFD:DateTimeOriginal"), *fraction = text_in(photo, "ExifIFD:SubSecTimeOriginal");
    g_autofree char *offset = text_in(photo, "ExifIFD:OffsetTimeOriginal"), *day = text_in(photo, "GPS:GPSTimeStamp");
    int h, m;
    double s = NAN;
    compare(count, "time", column(row, TAKEN), seconds_in(taken, fraction), 1e-6);
    compare(count, "offset", column(row, OFFSET), offset_in(offset), 0);
    compare(count, "GPS time of day", column(row, DAY), sscanf(day, "%d:%d:%lf", &h, &m, &s) == 3 ? h * 3600 + m * 60 + s : UNKNOWN, 1e-6);
}

static void compare_place(Count *count, sqlite3_stmt *row, const json_t *photo)
{
    g_autofree char *ref = text_in(photo, "GPS:GPSImgDirectionRef");
    double heading = number_in(photo, "GPS:GPSImgDirection");
    compare(count, "latitude", column(row, LAT), coordinate_in(photo, "GPS:GPSLatitude", "GPS:GPSLatitudeRef", 'S'), 1e-9);
    compare(count, "longitude", column(row, LON), coordinate_in(photo, "GPS:GPSLongitude", "GPS:GPSLongitudeRef", 'W'), 1e-9);
    compare(count, "altitude", column(row, ALT), number_in(photo, "GPS:GPSAltitude") * (number_in(photo, "GPS:GPSAltitudeRef") == 1 ? -1 : 1), 1e-6);
    compare(count, "heading", column(row, HEADING), heading, 1e-6);
    compare_text(count, "heading's reference", (const char *)sqlite3_column_text(row, HEADING_REF), isnan(heading) ? "" : *ref ? ref : "T");
    compare(count, "positioning error", column(row, ERROR_M), number_in(photo, "GPS:GPSHPositioningError"), 1e-6);
}

static void compare_camera(Count *count, sqlite3_stmt *row, const json_t *photo)
{
    g_autofree char *make = text_in(photo, "IFD0:Make"), *model = text_in(photo, "IFD0:Model");
    g_autofree char *serial = text_in(photo, "ExifIFD:SerialNumber");
    double focal = number_in(photo, "ExifIFD:FocalLengthIn35mmFormat"), orientation = number_in(photo, "IFD0:Orientation");
    compare_text(count, "make", (const char *)sqlite3_column_text(row, MAKE), make);
    compare_text(count, "model", (const char *)sqlite3_column_text(row, MODEL), model);
    compare_text(count, "serial number", (const char *)sqlite3_column_text(row, SERIAL), serial);
    compare(count, "35 mm focal length", column(row, FOCAL), focal == 0 ? UNKNOWN : focal, 1e-9);
    compare(count, "orientation", column(row, ORIENTATION), isnan(orientation) ? 1 : orientation, 0);
}

static sqlite3 *open_claim_db(const char *folder)
{
    sqlite3 *db;
    g_autofree char *path = g_build_filename(folder, "c", "claim.db", NULL);
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    return db;
}

static void the_log_keeps_what_exiftool_reads_for_every_photo_and_field(void **state)
{
    import_all(*state);
    g_autoptr(json_t) photos = ask_exiftool(*state);
    sqlite3 *db = open_claim_db(*state);
    sqlite3_stmt *row;
    Count count = { 0 };
    guint rows = 0;
    assert_int_equal(sqlite3_prepare_v2(db, ROW, -1, &row, NULL), SQLITE_OK);
    for (; sqlite3_step(row) == SQLITE_ROW; rows++) {
        count.file = (const char *)sqlite3_column_text(row, NAME);
        const json_t *photo = json_object_get(photos, count.file);
        assert_non_null(photo);
        compare_times(&count, row, photo);
        compare_place(&count, row, photo);
        compare_camera(&count, row, photo);
    }
    print_message("%u photos: %u values agree with exiftool, %u are unknown to both\n", rows, count.compared, count.unknown);
    assert_true(rows >= 4);
    assert_true(count.compared >= 40);
    sqlite3_finalize(row);
    sqlite3_close(db);
}

static const char *taken_by(const json_t *shot)
{
    return json_string_value(json_object_get(shot, "taken_utc"));
}

static double listed(const json_t *shot, const char *key)
{
    const json_t *value = json_object_get(shot, key);
    assert_non_null(value); /* unknown is null, not absent */
    return json_is_number(value) ? json_number_value(value) : UNKNOWN;
}

static const char *listed_text(const json_t *shot, const char *key)
{
    const char *text = json_string_value(json_object_get(shot, key));
    return text == NULL ? "" : text;
}

static void the_list_shows_what_exiftool_reads_in_order_of_time(void **state)
{
    import_all(*state);
    g_autofree char *out = NULL;
    g_autoptr(json_t) photos = ask_exiftool(*state);
    assert_int_equal(sh(*state, &out, NULL, "gablebook list c --json"), 0);
    g_autoptr(json_t) list = json_loads(out, 0, NULL);
    assert_int_equal(json_array_size(list), json_object_size(photos));
    const char *before = "";
    Count count = { 0 };
    gsize i;
    json_t *shot;
    json_array_foreach(list, i, shot) {
        count.file = listed_text(shot, "file");
        const json_t *photo = json_object_get(photos, count.file);
        g_autofree char *taken = text_in(photo, "ExifIFD:DateTimeOriginal"), *offset = text_in(photo, "ExifIFD:OffsetTimeOriginal");
        g_autofree char *make = text_in(photo, "IFD0:Make"), *model = text_in(photo, "IFD0:Model");
        g_autofree char *ref = text_in(photo, "GPS:GPSImgDirectionRef");
        double heading = number_in(photo, "GPS:GPSImgDirection");
        for (char *c = taken; c - taken < 10 && *c != '\0'; c++)
            if (*c == ':')
                *c = '-';
        compare_text(&count, "reading", listed_text(shot, "reading"), taken);
        compare(&count, "offset_min", listed(shot, "offset_min"), offset_in(offset), 0);
        compare(&count, "lat", listed(shot, "lat"), coordinate_in(photo, "GPS:GPSLatitude", "GPS:GPSLatitudeRef", 'S'), 1e-9);
        compare(&count, "lon", listed(shot, "lon"), coordinate_in(photo, "GPS:GPSLongitude", "GPS:GPSLongitudeRef", 'W'), 1e-9);
        compare(&count, "heading_deg", listed(shot, "heading_deg"), heading, 1e-6);
        compare_text(&count, "heading_ref", listed_text(shot, "heading_ref"), isnan(heading) ? "" : *ref ? ref : "T");
        compare(&count, "position_error_m", listed(shot, "position_error_m"), number_in(photo, "GPS:GPSHPositioningError"), 1e-6);
        if (strstr(listed_text(shot, "camera"), *model ? model : make) == NULL)
            fail_msg("%s: camera '%s', exiftool says '%s' '%s'", count.file, listed_text(shot, "camera"), make, model);
        /* in order of time; those whose time nobody knows come last */
        assert_true(taken_by(shot) == NULL || strcmp(before, taken_by(shot)) <= 0);
        before = taken_by(shot) == NULL ? "unknown" : taken_by(shot);
    }
}

/* --- the bytes --- */

static void the_originals_are_the_photos_byte_for_byte_and_the_card_is_untouched(void **state)
{
    import_all(*state);
    g_autofree char *card = NULL, *originals = NULL, *after = NULL, *check = NULL, *sums = g_build_filename(*state, "sums", NULL);
    assert_int_equal(sh(*state, &card, NULL, "cat card/* | wc -c; cd card && sha256sum * | cut -d' ' -f1 | sort -u"), 0);
    assert_int_equal(sh(*state, &originals, NULL, "cat c/originals/* | wc -c; cd c/originals && sha256sum * | cut -d' ' -f1 | sort -u"), 0);
    assert_string_equal(originals, card);
    assert_int_equal(sh(*state, NULL, NULL, "test -z \"$(find c/originals -type f -perm /222)\""), 0); /* nobody may write them */

    /* what the log says of them is what sha256sum says */
    sqlite3 *db = open_claim_db(*state);
    sqlite3_stmt *row;
    g_autoptr(GString) list = g_string_new(NULL);
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT sha256, stored_name FROM original", -1, &row, NULL), SQLITE_OK);
    while (sqlite3_step(row) == SQLITE_ROW)
        g_string_append_printf(list, "%s  c/originals/%s\n", sqlite3_column_text(row, 0), sqlite3_column_text(row, 1));
    sqlite3_finalize(row);
    sqlite3_close(db);
    assert_true(g_file_set_contents(sums, list->str, -1, NULL));
    assert_int_equal(sh(*state, NULL, &check, "sha256sum --check --strict --quiet sums"), 0);

    /* and nothing that is done later touches them */
    assert_int_equal(sh(*state, NULL, NULL, "gablebook tag c 1,2 --place front --caption 'The front.' && gablebook report c &&"
                                            " gablebook undo c && gablebook undo c && gablebook redo c"), 0);
    assert_int_equal(sh(*state, &after, NULL, "cat c/originals/* | wc -c; cd c/originals && sha256sum * | cut -d' ' -f1 | sort -u"), 0);
    assert_string_equal(after, card);
}

/* --- the report --- */

/* FOLDER/c with a few things said, one waiver, and much missing. */
static void say_some(const char *folder)
{
    assert_int_equal(sh(folder, NULL, NULL,
        "gablebook edit c --insured 'Rosa <Test> & Sons' --address '12 Elm Lane' --loss-date 2026-05-12 --inspected 2026-05-14"
        " --adjuster 'M. Tarn' &&"
        " gablebook tag c 1 --place site --subject address &&"
        " gablebook tag c 2 --place front --subject overview &&"
        " gablebook tag c 3 --place 'front slope' --subject 'test square' --value 9 --caption 'Nine hits; see the chalk.' &&"
        " gablebook tag c 4 --leave-out &&"
        " gablebook waive c 'test square rear slope' --why 'wet and mossy, not safe to walk' --as 'Mary Doe'"), 0);
}

static void the_same_log_gives_the_same_report_byte_for_byte(void **state)
{
    import_all(*state);
    say_some(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c && cp c/reports/photo-report.html first.html &&"
                                            " LC_ALL=C.UTF-8 TZ=Asia/Tokyo gablebook report c && cmp first.html c/reports/photo-report.html"), 0);
    /* without what the first left in cache/, from another place, and after a change that was taken back */
    assert_int_equal(sh(*state, NULL, NULL, "rm -rf c/cache && gablebook report c --out second.html && cmp first.html second.html"), 0);
    assert_int_equal(sh(*state, NULL, NULL, "cp -r c moved && cd moved && gablebook report . --out ../third.html && cmp ../first.html ../third.html"), 0);
    /* ... which is another state of the log, and all that differs is its name and the digest in the last line */
    assert_int_equal(sh(*state, NULL, NULL, "gablebook tag c 2 --caption 'Other.' && gablebook undo c && gablebook report c --out fourth.html &&"
                                            " test \"$(diff first.html fourth.html | grep -c '^>')\" = 3 &&"
                                            " test \"$(diff first.html fourth.html | grep '^>' | grep -c 'gablebook-state\\|gablebook-sha256\\|from state')\" = 3"), 0);
}

static void the_report_tells_what_is_missing_what_was_waived_and_why(void **state)
{
    import_all(*state);
    say_some(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c"), 0);
    g_autofree char *path = g_build_filename(*state, "c", "reports", "photo-report.html", NULL), *page = slurp(path), *out = NULL;
    assert_int_equal(sh(*state, &out, NULL, "gablebook check c --json"), 1);
    g_autoptr(json_t) check = json_loads(out, 0, NULL);
    gsize i, j, missing = 0;
    json_t *group, *line;
    json_array_foreach(json_object_get(check, "groups"), i, group)
        json_array_foreach(json_object_get(group, "lines"), j, line)
            if (strcmp(json_string_value(json_object_get(line, "state")), "missing") == 0) {
                assert_has(page, json_string_value(json_object_get(line, "what")));
                missing++;
            }
    assert_true(missing > 10);
    assert_has(page, "wet and mossy, not safe to walk");
    assert_has(page, "Mary Doe");
    assert_has(page, "Nine hits; see the chalk.");
    assert_has(page, "Rosa &lt;Test&gt; &amp; Sons");
    assert_has_not(page, "<Test>");
}

/* A page for a court loads nothing from anywhere and runs nothing. */
static void the_report_needs_nothing_but_itself(void **state)
{
    import_all(*state);
    say_some(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c"), 0);
    g_autofree char *path = g_build_filename(*state, "c", "reports", "photo-report.html", NULL), *page = slurp(path);
    static const char *const unwanted[] = { "<script", "src=\"http", "href=\"http", "url(http", "@import", "<link", "<iframe" };
    for (gsize i = 0; i < G_N_ELEMENTS(unwanted); i++)
        assert_has_not(page, unwanted[i]);
    assert_has(page, "data:image/jpeg;base64,");
}

static void the_report_passes_the_html_checker(void **state)
{
    const char *checker = g_getenv("GB_VNU");
    if (!have_program("java") || checker == NULL || !g_file_test(checker, G_FILE_TEST_EXISTS)) {
        print_message("the Nu HTML checker is not installed (make test-tools)\n");
        if (g_getenv("CI") != NULL)
            fail_msg("... and this is CI");
        skip();
    }
    import_all(*state);
    say_some(*state);
    /* small pictures: the checker reads them all as text */
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c --picture-size 200"), 0);
    g_autofree char *path = g_build_filename(*state, "c", "reports", "photo-report.html", NULL), *err = NULL;
    const char *argv[] = { "java", "-jar", checker, path, NULL };
    int status = run(argv, NULL, &err);
    if (status != 0)
        fail_msg("%.4000s", err);
    /* A warning of the checker alone: img-src data: does allow data: (CSP Level 3, "scheme-source" matching), and browsers show them. */
    g_auto(GStrv) lines = g_strsplit(err, "\n", -1);
    for (char **line = lines; *line != NULL; line++)
        if (**line != '\0' && strstr(*line, "Content Security Policy (meta tag): image “data:image/jpeg;base64,") == NULL)
            fail_msg("%.1000s", *line);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(the_log_keeps_what_exiftool_reads_for_every_photo_and_field),
        test_in_folder(the_list_shows_what_exiftool_reads_in_order_of_time),
        test_in_folder(the_originals_are_the_photos_byte_for_byte_and_the_card_is_untouched),
        test_in_folder(the_same_log_gives_the_same_report_byte_for_byte),
        test_in_folder(the_report_tells_what_is_missing_what_was_waived_and_why),
        test_in_folder(the_report_needs_nothing_but_itself),
        test_in_folder(the_report_passes_the_html_checker),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
