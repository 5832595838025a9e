/* test_heic_pixels.c -- the pixels of HEIC photos, held against a decoder that has nothing in common with ours.
 *
 * libheif and libde265 read the file for gablebook. Here the file is taken apart by what the standard says (ISO/IEC 23008-12, HEIF; ISO/IEC
 * 14496-12, boxes; ISO/IEC 14496-15, 8.3.3, HEVC in them), each tile's HEVC goes to FFmpeg's decoder (ffmpeg; skipped where it is not
 * installed), and the tiles are put together. A wrong tile, turn or colour matrix would cost some 20 dB.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pixel_support.h"

#include <gablebook/image.h>

/* --- the file, taken apart --- */

typedef struct {
    const guint8 *data;
    gsize n;
} Span;

static guint64 number(const Span *s, gsize at, guint bytes)
{
    guint64 value = 0;
    assert_true(at + bytes <= s->n);
    for (guint i = 0; i < bytes; i++)
        value = value << 8 | s->data[at + i];
    return value;
}

static Span part(const Span *s, gsize at, gsize n)
{
    assert_true(at <= s->n && n <= s->n - at);
    return (Span){ s->data + at, n };
}

/* The content of the nth box of that type behind the first skip bytes; of length 0: there is none. */
static Span box(const Span *in, gsize skip, const char *type, guint nth)
{
    for (gsize at = skip; at + 8 <= in->n;) {
        gsize size = number(in, at, 4), head = 8;
        if (size == 1) {
            size = number(in, at + 8, 8);
            head = 16;
        } else if (size == 0)
            size = in->n - at;
        if (memcmp(in->data + at + 4, type, 4) == 0 && nth-- == 0)
            return part(in, at + head, size - head);
        at += size;
    }
    return (Span){ NULL, 0 };
}

typedef struct {
    Span file, meta;
} Heif;

static Heif open_heif(GBytes *bytes)
{
    Heif heif = { .file = { g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes) } };
    heif.meta = box(&heif.file, 0, "meta", 0);
    assert_true(heif.meta.n > 4);
    return heif;
}

/* The bytes of an item, of one extent (iloc, 8.11.3 of 14496-12). */
static Span item(const Heif *heif, guint id)
{
    Span iloc = box(&heif->meta, 4, "iloc", 0);
    guint version = iloc.data[0], offset_size = iloc.data[4] >> 4, length_size = iloc.data[4] & 15, base_size = iloc.data[5] >> 4,
          index_size = version > 0 ? iloc.data[5] & 15 : 0, id_size = version < 2 ? 2 : 4;
    guint64 items = number(&iloc, 6, id_size);
    gsize at = 6 + id_size;
    for (guint64 i = 0; i < items; i++) {
        guint64 this = number(&iloc, at, id_size), method = 0;
        at += id_size;
        if (version > 0) {
            method = number(&iloc, at, 2) & 15;
            at += 2;
        }
        guint64 base = number(&iloc, at + 2, base_size), extents = number(&iloc, at + 2 + base_size, 2);
        at += 2 + base_size + 2;
        guint64 offset = number(&iloc, at + index_size, offset_size), length = number(&iloc, at + index_size + offset_size, length_size);
        at += extents * (index_size + offset_size + length_size);
        if (this != id)
            continue;
        assert_int_equal(extents, 1);
        Span idat = box(&heif->meta, 4, "idat", 0);
        return part(method == 1 ? &idat : &heif->file, base + offset, length);
    }
    fail_msg("there is no item %u", id);
    return (Span){ NULL, 0 };
}

static guint primary(const Heif *heif)
{
    Span pitm = box(&heif->meta, 4, "pitm", 0);
    return (guint)number(&pitm, 4, pitm.data[0] == 0 ? 2 : 4);
}

static gboolean is_grid(const Heif *heif, guint id)
{
    Span iinf = box(&heif->meta, 4, "iinf", 0);
    for (guint i = 0;; i++) {
        Span infe = box(&iinf, iinf.data[0] == 0 ? 6 : 8, "infe", i);
        guint id_size = infe.n > 0 && infe.data[0] == 3 ? 4 : 2;
        assert_true(infe.n > 0);
        if (number(&infe, 4, id_size) == id)
            return memcmp(infe.data + 4 + id_size + 2, "grid", 4) == 0;
    }
}

/* A property of an item, by its type (ipco and ipma, 8.11.14); of length 0: it has none. */
static Span property(const Heif *heif, guint id, const char *type)
{
    Span iprp = box(&heif->meta, 4, "iprp", 0), ipco = box(&iprp, 0, "ipco", 0), ipma = box(&iprp, 0, "ipma", 0);
    guint id_size = ipma.data[0] == 0 ? 2 : 4, index_size = ipma.data[3] & 1 ? 2 : 1;
    gsize at = 8;
    for (guint64 entries = number(&ipma, 4, 4); entries > 0; entries--) {
        guint64 this = number(&ipma, at, id_size), count = number(&ipma, at + id_size, 1);
        at += id_size + 1;
        for (; count > 0; count--, at += index_size) {
            guint64 index = number(&ipma, at, index_size) & (index_size == 2 ? 0x7fff : 0x7f);
            gsize place = 0;
            for (guint64 i = 1; i < index; i++)
                place += number(&ipco, place, 4);
            if (this == id && index > 0 && memcmp(ipco.data + place + 4, type, 4) == 0)
                return part(&ipco, place + 8, number(&ipco, place, 4) - 8);
        }
    }
    return (Span){ NULL, 0 };
}

/* Which tiles a grid has, row by row (iref of type dimg). OWNED by the caller. */
static GArray *tiles_of(const Heif *heif, guint id)
{
    GArray *tiles = g_array_new(FALSE, FALSE, sizeof(guint));
    if (!is_grid(heif, id)) {
        g_array_append_val(tiles, id);
        return tiles;
    }
    Span iref = box(&heif->meta, 4, "iref", 0);
    guint id_size = iref.data[0] == 0 ? 2 : 4;
    for (guint i = 0;; i++) {
        Span dimg = box(&iref, 4, "dimg", i);
        assert_true(dimg.n > 0);
        if (number(&dimg, 0, id_size) != id)
            continue;
        for (guint64 n = number(&dimg, id_size, 2), k = 0; k < n; k++) {
            guint tile = (guint)number(&dimg, id_size + 2 + k * id_size, id_size);
            g_array_append_val(tiles, tile);
        }
        return tiles;
    }
}

/* --- to FFmpeg and back --- */

static void add_unit(GByteArray *stream, const Span *unit)
{
    g_byte_array_append(stream, (const guint8 *)"\0\0\0\1", 4);
    g_byte_array_append(stream, unit->data, (guint)unit->n);
}

/* Parameter sets (hvcC, 8.3.3.1 of 14496-15), then the slices: a stream of one picture that any HEVC decoder takes. */
static void add_picture(GByteArray *stream, const Heif *heif, guint id)
{
    Span hvcc = property(heif, id, "hvcC"), slices = item(heif, id);
    gsize at = 23, length_size = (hvcc.data[21] & 3) + 1u;
    for (guint arrays = hvcc.data[22]; arrays > 0; arrays--) {
        guint64 units = number(&hvcc, at + 1, 2);
        for (at += 3; units > 0; units--) {
            Span unit = part(&hvcc, at + 2, number(&hvcc, at, 2));
            add_unit(stream, &unit);
            at += 2 + unit.n;
        }
    }
    for (at = 0; at < slices.n;) {
        Span unit = part(&slices, at + length_size, number(&slices, at, (guint)length_size));
        add_unit(stream, &unit);
        at += length_size + unit.n;
    }
}

/* All tiles of the photo, put together and cut to its size, not turned. */
static Picture by_ffmpeg(const Heif *heif, const char *folder)
{
    guint id = primary(heif), columns = 1;
    g_autoptr(GArray) tiles = tiles_of(heif, id);
    g_autoptr(GByteArray) stream = g_byte_array_new();
    for (guint i = 0; i < tiles->len; i++)
        add_picture(stream, heif, g_array_index(tiles, guint, i));
    g_autofree char *hevc = g_build_filename(folder, "x.hevc", NULL), *rgb = g_build_filename(folder, "x.rgb", NULL), *pixels = NULL;
    assert_true(g_file_set_contents(hevc, (const char *)stream->data, stream->len, NULL));
    assert_int_equal(run((const char *[]){ "ffmpeg", "-v", "error", "-y", "-f", "hevc", "-i", hevc, "-vsync", "passthrough", "-f", "rawvideo", "-pix_fmt",
                                           "rgb24", rgb, NULL }, NULL, NULL), 0);
    Span whole = property(heif, id, "ispe"), tile = property(heif, g_array_index(tiles, guint, 0), "ispe");
    int width = (int)number(&whole, 4, 4), height = (int)number(&whole, 8, 4), tile_width = (int)number(&tile, 4, 4),
        tile_height = (int)number(&tile, 8, 4);
    if (is_grid(heif, id))
        columns = item(heif, id).data[3] + 1u;
    gsize n;
    assert_true(g_file_get_contents(rgb, &pixels, &n, NULL));
    assert_int_equal(n, (gsize)tiles->len * 3 * (gsize)tile_width * (gsize)tile_height);
    Picture picture = { width, height, 3, g_malloc((gsize)width * (gsize)height * 3) };
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            gsize which = (gsize)(y / tile_height) * columns + (gsize)(x / tile_width);
            const char *from = pixels + 3 * ((which * (gsize)tile_height + (gsize)(y % tile_height)) * (gsize)tile_width + (gsize)(x % tile_width));
            memcpy(picture.pixels + 3 * ((gsize)y * (gsize)width + (gsize)x), from, 3);
        }
    return picture;
}

/* Of our picture of at most 640 px and FFmpeg's, turned by the file's irot (counter-clockwise quarters) and brought to the same size. */
static double compare(GBytes *heic, const char *folder)
{
    gsize n;
    g_autoptr(GError) error = NULL;
    const void *data = g_bytes_get_data(heic, &n);
    g_autoptr(GBytes) small = gb_image_shrink(data, n, 1, 640, 97, NULL, &error);
    assert_no_error(error);
    Heif heif = open_heif(heic);
    g_auto(Picture) seen = picture_of_jpeg(small), theirs = by_ffmpeg(&heif, folder);
    Span irot = property(&heif, primary(&heif), "irot");
    g_autofree char *ppm = g_build_filename(folder, "x.ppm", NULL), *size = g_strdup_printf("%dx%d!", seen.width, seen.height),
                    *turn = g_strdup_printf("%d", irot.n == 0 ? 0 : -90 * (irot.data[0] & 3));
    save_ppm(&theirs, ppm);
    g_auto(Picture) scaled = picture_by_magick(ppm, "-rotate", turn, "-scale", size, NULL);
    return luma_psnr(&seen, &scaled);
}

static gboolean have_tools(void)
{
    return have_program("ffmpeg") && have_program("convert");
}

/* Its colours are Display P3 and come out as sRGB: that moves the luma a little. */
static void a_phones_photo_has_the_pixels_that_another_decoder_finds(void **state)
{
    g_autofree char *path = real_photo("IMG_5195.HEIC");
    if (path == NULL || !have_tools()) {
        g_clear_pointer(&path, g_free);
        skip();
    }
    g_autoptr(GBytes) heic = load_file(path);
    double db = compare(heic, *state);
    print_message("%.1f dB to FFmpeg's decoder\n", db);
    assert_true(db > 32);
}

static void a_file_by_heif_enc_has_the_pixels_that_another_decoder_finds(void **state)
{
    if (!have_tools() || !have_program("heif-enc"))
        skip();
    g_autofree char *script = g_strdup_printf("cd '%s' && convert -size 640x480 plasma:red-blue -seed 5 e.png && heif-enc -q 70 e.png -o e.heic >/dev/null",
                                              (char *)*state), *path = g_build_filename(*state, "e.heic", NULL);
    assert_int_equal(run((const char *[]){ "sh", "-c", script, NULL }, NULL, NULL), 0);
    g_autoptr(GBytes) heic = load_file(path);
    double db = compare(heic, *state);
    print_message("%.1f dB to FFmpeg's decoder\n", db);
    assert_true(db > 38);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_phones_photo_has_the_pixels_that_another_decoder_finds),
        test_in_folder(a_file_by_heif_enc_has_the_pixels_that_another_decoder_finds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
