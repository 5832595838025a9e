/* dry_run.c -- gablebook import --dry-run. See command.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <math.h>

/* The photos of one camera that would come in. */
typedef struct {
    char *name; /* "" unknown */
    guint photos, with_position, without_time;
    double first_s, last_s; /* its own clock; NAN while no photo has a time */
} Camera;

static void free_camera(gpointer data)
{
    Camera *camera = data;
    g_free(camera->name);
    g_free(camera);
}

static Camera *camera_of(GPtrArray *cameras, GHashTable *by_name, const GbExif *exif)
{
    g_autofree char *name = gb_camera_name(exif);
    Camera *camera = g_hash_table_lookup(by_name, name);
    if (camera == NULL) {
        camera = g_new0(Camera, 1);
        camera->name = g_steal_pointer(&name);
        camera->first_s = camera->last_s = NAN;
        g_ptr_array_add(cameras, camera);
        g_hash_table_insert(by_name, camera->name, camera);
    }
    return camera;
}

static void add_photo(Camera *camera, const GbExif *exif)
{
    camera->photos++;
    camera->with_position += !isnan(exif->lat_deg);
    camera->without_time += isnan(exif->taken_local_s);
    camera->first_s = fmin(camera->first_s, exif->taken_local_s); /* fmin and fmax pass over NAN */
    camera->last_s = fmax(camera->last_s, exif->taken_local_s);
}

static void print_camera(const Camera *camera)
{
    g_autofree char *first = gb_time_text(camera->first_s), *last = gb_time_text(camera->last_s);
    gb_cli_printf("  %s: %u photo%s", *camera->name != '\0' ? camera->name : "unknown camera", camera->photos, camera->photos == 1 ? "" : "s");
    if (*first != '\0')
        gb_cli_printf(", its clock %s to %s", first, g_str_has_prefix(last, "20") && strncmp(first, last, 10) == 0 ? last + 11 : last);
    if (camera->without_time > 0)
        gb_cli_printf(", %u without a time", camera->without_time);
    if (camera->with_position > 0)
        gb_cli_printf(", %u with a position", camera->with_position);
    putchar('\n');
}

static void print_cameras(const GPtrArray *files)
{
    g_autoptr(GPtrArray) cameras = g_ptr_array_new_with_free_func(free_camera);
    g_autoptr(GHashTable) by_name = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < files->len; i++) {
        const GbDryFile *file = files->pdata[i];
        if (file->outcome == GB_IMPORT_NEW || file->outcome == GB_IMPORT_BACK)
            if (!gb_format_is_attachment(file->format))
                add_photo(camera_of(cameras, by_name, &file->exif), &file->exif);
    }
    for (guint i = 0; i < cameras->len; i++)
        print_camera(cameras->pdata[i]);
}

static GbImportTally tally_of(const GPtrArray *files, const GbSidecars *sidecars)
{
    GbImportTally tally = { .total = files->len, .sidecars = *sidecars };
    guint *counters[] = { &tally.fresh, &tally.back, &tally.known, &tally.left_out, &tally.attached };
    for (guint i = 0; i < files->len; i++) {
        const GbDryFile *file = files->pdata[i];
        ++*counters[file->outcome];
        tally.bytes += file->outcome == GB_IMPORT_NEW || file->outcome == GB_IMPORT_ATTACHED ? file->bytes : 0;
    }
    return tally;
}

void gb_cli_print_sidecars(const GbSidecars *sidecars)
{
    g_autofree char *text = gb_sidecars_text(sidecars);
    if (text != NULL)
        printf("%s.\n", text);
}

static void print_tally(const GbImportTally *tally)
{
    const struct { guint n; const char *one, *many; } counts[] = {
        { tally->fresh, "photo would be taken in", "photos would be taken in" },
        { tally->back, "would come back", "would come back" },
        { tally->attached, "attachment would be kept", "attachments would be kept" },
        { tally->known, "is in the claim already", "are in the claim already" },
        { tally->left_out, "would be left out", "would be left out" },
    };
    g_autoptr(GString) text = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(counts); i++)
        if (counts[i].n > 0)
            g_string_append_printf(text, "%s%u %s", text->len > 0 ? ", " : "", counts[i].n, counts[i].n == 1 ? counts[i].one : counts[i].many);
    printf("%s", text->len > 0 ? text->str : "No files found");
    if (tally->bytes > 0)
        printf(" (%.1f MB to copy)", (double)tally->bytes / 1e6);
    puts(". Nothing was changed.");
}

static json_t *real_or_null(double value)
{
    return isnan(value) ? json_null() : json_real(value);
}

static json_t *text_or_null(const char *text)
{
    return text == NULL || *text == '\0' ? json_null() : json_string(text);
}

static json_t *file_json(const GbDryFile *file)
{
    static const char *const outcomes[] = { [GB_IMPORT_NEW] = "taken in", [GB_IMPORT_BACK] = "back", [GB_IMPORT_KNOWN] = "there already",
                                            [GB_IMPORT_LEFT_OUT] = "left out", [GB_IMPORT_ATTACHED] = "attached" };
    const GbExif *exif = &file->exif;
    g_autofree char *shown = g_filename_display_name(file->path), *taken = gb_time_text(exif->taken_local_s), *camera = gb_camera_name(exif);
    json_t *said = json_pack("{ss ss so sI so so}", "file", shown, "outcome", outcomes[file->outcome], "format",
                             text_or_null(gb_format_word(file->format)), "bytes", (json_int_t)file->bytes, "number",
                             file->number == 0 ? json_null() : json_integer(file->number), "message", text_or_null(file->message));
    if (file->width > 0) {
        json_object_set_new(said, "width", json_integer(file->width));
        json_object_set_new(said, "height", json_integer(file->height));
        json_object_set_new(said, "reading", text_or_null(taken));
        json_object_set_new(said, "offset_min", exif->has_offset ? json_integer(exif->offset_min) : json_null());
        json_object_set_new(said, "camera", text_or_null(camera));
        json_object_set_new(said, "lat", real_or_null(exif->lat_deg));
        json_object_set_new(said, "lon", real_or_null(exif->lon_deg));
        json_object_set_new(said, "heading_deg", real_or_null(exif->heading_deg));
    }
    return said;
}

static void print_json(const GPtrArray *files, const GbImportTally *tally)
{
    json_t *list = json_array();
    for (guint i = 0; i < files->len; i++)
        json_array_append_new(list, file_json(files->pdata[i]));
    gb_cli_print_json(json_pack("{si si si si si si sI sb so}", "taken_in", (int)tally->fresh, "back", (int)tally->back, "there_already",
                                (int)tally->known, "left_out", (int)tally->left_out, "attached", (int)tally->attached,
                                "passed_over", (int)tally->sidecars.n, "bytes", (json_int_t)tally->bytes, "dry_run", TRUE, "files", list));
}

static void print_text(const GPtrArray *files, const GbImportTally *tally)
{
    for (guint i = 0; i < files->len; i++) {
        const GbDryFile *file = files->pdata[i];
        if (file->message != NULL)
            gb_cli_printf("%s\n", file->message);
    }
    print_tally(tally);
    print_cameras(files);
    gb_cli_print_sidecars(&tally->sidecars);
}

int gb_cli_dry_run(GbLog *log, const char *const *paths, gboolean as_json)
{
    GError *error = NULL;
    GbSidecars sidecars;
    g_autoptr(GPtrArray) files = gb_dry_run(log, paths, 0, &sidecars, &error);
    if (files == NULL)
        return gb_cli_fail(error);
    GbImportTally tally = tally_of(files, &sidecars);
    if (as_json)
        print_json(files, &tally);
    else
        print_text(files, &tally);
    return tally.left_out > 0 || files->len == 0 ? GB_EXIT_MISSING : GB_EXIT_DONE;
}
