/* blocks.c -- the mean of every 8 x 8 block of a photo, and nothing else of it. See jpeg-private.h.
 *
 * At an eighth of its size a JPEG needs only the first (DC) coefficient of each block, which is the block's mean. libjpeg decodes the
 * other 63 as well and throws them away, and that was three quarters of an import's time. Here they are stepped over, most often several
 * with one look into a table: for the next LOOK bits it says how many bits the codes that fit into them take, their extra bits
 * included, and how far they lead in the block. Entropy coding: ITU-T T.81, annex F.2; tables and headers are read by libjpeg.
 *
 * Only what cameras write is done here: baseline, 8 bits, one scan of all components, luma 1 or 2 by 1 or 2 to chroma's 1 by 1. Whatever is
 * different, and whatever is not exactly as the standard has it (a code that is none, data that ends early, bytes too many, a marker out of
 * place), gives FALSE and is left to libjpeg, which knows how to go on and to warn. What is done is, for luma, to the bit what libjpeg
 * gives at that scale; chroma comes at its own resolution.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>

#include "blocks-private.h"

#include <string.h>

#define LOOK 13           /* bits of a look into a table of AC codes: 16 KB, so that luma's and chroma's stay in the first cache */
#define DC_LOOK 9         /* bits of a look into a table of DC codes */
#define CODE_MAX 16       /* bits of the longest code (T.81, C.1) */
#define DC_CATEGORIES 11  /* largest category of a difference of 8-bit samples (T.81, F.1.2.1) */
#define AC_CATEGORIES 10
#define LAST 63           /* place of the last coefficient of a block */
#define SANE_MEAN 511     /* further from the middle grey than this no mean of samples is, whatever rounding did */

/* What the next LOOK bits hold of a block's AC codes, as many as fit, in two bytes:
 *     bits 0 to 3    how many bits these codes take with their extra bits; 0: not even one fits
 *     bits 4 to 11   how far they lead in the block, at most LAST; and one more where the last of them ends it, for a group that ends a
 *                    block must not hold codes of the next: at LAST the block is over without such an end
 *     bit 15         the last of them ends the block */
typedef guint16 Group;
#define GROUP_BITS(group) ((group) & 15)
#define GROUP_ADVANCE(group) ((group) >> 4 & 255)
#define GROUP_ENDS(group) ((group) >> 15)

typedef struct {
    guint8 symbols[256];
    int count;
    gint32 first_code[CODE_MAX + 1]; /* of each length, and ... */
    gint32 first_symbol[CODE_MAX + 1];
    guint32 limit[CODE_MAX + 2];     /* ... above all codes up to that length, when 16 bits are compared */
    Group groups[1 << LOOK];         /* of AC codes */
    guint8 firsts[1 << DC_LOOK];     /* of DC codes: length * 16 + symbol of the one at the top of so many bits; 0: it is longer */
} Table;

typedef struct {
    const guint8 *at, *end;
    guint64 bits; /* the next ones, from the top */
    int have;     /* how many of them count ... */
    int padded;   /* ... and how many of those were invented after the end of the data */
} Bits;

typedef struct {
    const Table *dc, *ac;
    int h, v;         /* blocks across and down in an MCU */
    int quant;        /* of the DC coefficient */
    int predicted;
    GbBlocks *blocks;
    guint8 *rows[2];  /* where the means of this row of MCUs go; NULL: below the picture */
} Component;

/* --- bits --- */

static gboolean holds_ff(guint64 eight)
{
    guint64 inverted = ~eight;
    return ((inverted - G_GUINT64_CONSTANT(0x0101010101010101)) & eight & G_GUINT64_CONSTANT(0x8080808080808080)) != 0;
}

/* Byte by byte: FF 00 is the byte FF, FF and anything else is a marker, before which the data ends. */
static Bits fill_slowly(Bits bits)
{
    while (bits.have <= 56) {
        guint64 byte = 0;
        if (bits.at < bits.end && *bits.at != 0xff)
            byte = *bits.at++;
        else if (bits.end - bits.at >= 2 && bits.at[1] == 0) {
            byte = 0xff;
            bits.at += 2;
        } else
            bits.padded += 8;
        bits.bits |= byte << (56 - bits.have);
        bits.have += 8;
    }
    return bits;
}

/* At least 56 bits. Here and below Bits are a local variable of read_row, whose address goes to inlined functions alone: so they stay in
 * registers, which is half of the speed. */
static inline void fill(Bits *bits)
{
    guint64 eight;
    if (bits->end - bits->at >= 8) {
        memcpy(&eight, bits->at, 8);
        if (!holds_ff(eight)) {
            bits->bits |= GUINT64_FROM_BE(eight) >> bits->have;
            bits->at += (63 - bits->have) >> 3;
            bits->have |= 56;
            return;
        }
    }
    *bits = fill_slowly(*bits);
}

static inline void drop(Bits *bits, int n)
{
    bits->bits <<= n;
    bits->have -= n;
}

/* Nothing but the fill bits of the last byte is left before the marker. */
static gboolean is_used_up(const Bits *bits)
{
    int left = bits->have - bits->padded;
    return left >= 0 && left < 8 && bits->end - bits->at >= 2 && bits->at[0] == 0xff && bits->at[1] != 0;
}

/* --- tables --- */

/* The symbol of the code at the top of 16 bits, and how long it is; -1: there is no such code. */
static int find_symbol(const Table *table, guint32 sixteen, int *length)
{
    for (int n = 1; n <= CODE_MAX; n++)
        if (sixteen < table->limit[n]) {
            *length = n;
            return table->symbols[table->first_symbol[n] + (gint32)(sixteen >> (CODE_MAX - n)) - table->first_code[n]];
        }
    return -1;
}

/* Bits and places of one AC code. FALSE: a camera doesn't write it. */
static gboolean step_of(int symbol, int *extra, int *advance, gboolean *ends)
{
    int run = symbol >> 4;
    *extra = symbol & 15;
    *ends = symbol == 0;
    *advance = *ends ? 0 : run + 1;
    return *extra <= AC_CATEGORIES && (*extra > 0 || run == 0 || run == 15);
}

/* The codes that are wholly within these bits. */
static Group group_of(const Table *table, guint32 look)
{
    guint32 sixteen = look << (CODE_MAX - LOOK);
    int bits = 0, place = 0;
    gboolean ends = FALSE;
    while (!ends) {
        gboolean end;
        int length, extra, advance, symbol = find_symbol(table, (sixteen << bits) & 0xffff, &length);
        if (symbol < 0 || !step_of(symbol, &extra, &advance, &end) || bits + length + extra > LOOK || place + advance > LAST)
            break;
        bits += length + extra;
        place += advance;
        ends = end;
    }
    return (Group)(bits | (place + ends) << 4 | ends << 15);
}

static guint8 first_of(const Table *table, guint32 look)
{
    int length, symbol = find_symbol(table, look << (CODE_MAX - DC_LOOK), &length);
    return symbol < 0 || symbol > 15 || length > DC_LOOK ? 0 : (guint8)(length << 4 | symbol);
}

/* Codes are given out in order, each length going on from the one before, twice as large; none is of ones alone (T.81, C.2). */
static gboolean assign_codes(Table *table, const JHUFF_TBL *given)
{
    gint32 code = 0, symbol = 0;
    table->limit[0] = 0;
    for (int n = 1; n <= CODE_MAX; n++, code <<= 1) {
        table->first_code[n] = code;
        table->first_symbol[n] = symbol;
        code += given->bits[n];
        symbol += given->bits[n];
        if (symbol > 256 || code >= 1 << n)
            return FALSE;
        table->limit[n] = given->bits[n] == 0 ? table->limit[n - 1] : (guint32)code << (CODE_MAX - n);
    }
    memcpy(table->symbols, given->huffval, sizeof table->symbols);
    table->count = symbol;
    return TRUE;
}

static Table *make_table(const JHUFF_TBL *given, gboolean ac)
{
    g_autofree Table *table = given == NULL ? NULL : g_try_new0(Table, 1);
    if (table == NULL || !assign_codes(table, given))
        return NULL;
    for (int i = 0; !ac && i < table->count; i++)
        if (table->symbols[i] > 15)
            return NULL;
    for (guint32 look = 0; ac && look < 1 << LOOK; look++)
        table->groups[look] = group_of(table, look);
    for (guint32 look = 0; !ac && look < 1 << DC_LOOK; look++)
        table->firsts[look] = first_of(table, look);
    return g_steal_pointer(&table);
}

/* --- blocks --- */

/* A difference from the mean before (T.81, F.2.2.1). */
static inline gboolean read_dc(Bits *bits, Component *component)
{
    int first = component->dc->firsts[bits->bits >> (64 - DC_LOOK)], length = first >> 4, category = first & 15;
    if (first == 0)
        category = find_symbol(component->dc, (guint32)(bits->bits >> 48), &length);
    if (category < 0 || category > DC_CATEGORIES)
        return FALSE;
    drop(bits, length);
    if (category > 0) {
        int value = (int)(bits->bits >> (64 - category));
        component->predicted += value < 1 << (category - 1) ? value - (1 << category) + 1 : value;
        drop(bits, category);
    }
    return component->predicted >= G_MININT16 && component->predicted <= G_MAXINT16;
}

/* One AC code that is too long for a group, or so near the end of its block that a group would lead beyond: its bits in all, and how far
 * it leads * 256; 0: there is none, or it leads beyond. *ends: it ends the block. */
static int find_step(const Table *table, guint32 sixteen, int place, gboolean *ends)
{
    int length = 0, extra, advance, symbol = find_symbol(table, sixteen, &length);
    if (symbol < 0 || !step_of(symbol, &extra, &advance, ends) || place + advance > LAST)
        return 0;
    return (length + extra) | advance << 8;
}

static inline gboolean skip_ac(Bits *bits, const Table *table)
{
    gboolean ends = FALSE;
    for (int place = 0; place < LAST && !ends;) {
        if (bits->have < 2 * CODE_MAX)
            fill(bits);
        Group group = table->groups[bits->bits >> (64 - LOOK)];
        if (G_LIKELY(GROUP_BITS(group) != 0 && place + GROUP_ADVANCE(group) <= LAST)) {
            drop(bits, GROUP_BITS(group));
            place += GROUP_ADVANCE(group);
            ends = GROUP_ENDS(group);
            continue;
        }
        int step = find_step(table, (guint32)(bits->bits >> 48), place, &ends);
        if (step == 0)
            return FALSE;
        drop(bits, step & 255);
        place += step >> 8;
    }
    return TRUE;
}

/* As libjpeg's jpeg_idct_1x1. -1: no mean of samples. */
static inline int mean_of(int predicted, int quant)
{
    int mean = (predicted * quant + 4) >> 3;
    return ABS(mean) > SANE_MEAN ? -1 : CLAMP(mean + 128, 0, 255);
}

static inline gboolean read_block(Bits *bits, Component *c, guint8 *row, int x)
{
    fill(bits);
    if (!read_dc(bits, c))
        return FALSE;
    int mean = mean_of(c->predicted, c->quant);
    if (mean < 0)
        return FALSE;
    if (row != NULL && x < c->blocks->width)
        row[x] = (guint8)mean;
    return skip_ac(bits, c->ac);
}

static inline gboolean read_mcu(Bits *bits, Component *components, int n, int column)
{
    for (int i = 0; i < n; i++) {
        Component *c = &components[i];
        for (int v = 0; v < c->v; v++)
            for (int h = 0; h < c->h; h++)
                if (!read_block(bits, c, c->rows[v], column * c->h + h))
                    return FALSE;
    }
    return bits->have >= bits->padded;
}

/* RSTn between two intervals (T.81, F.2.2.4): bits and predictions begin anew. */
static gboolean restart(Bits *bits, Component *components, int n, guint count)
{
    if (!is_used_up(bits) || bits->at[1] != 0xd0 + count % 8)
        return FALSE;
    bits->at += 2;
    bits->bits = 0;
    bits->have = bits->padded = 0;
    for (int i = 0; i < n; i++)
        components[i].predicted = 0;
    return TRUE;
}

/* Restart intervals: how many MCUs one has (0: there are none), how many of this one are done, how many were. */
typedef struct {
    guint of, done, before;
} Interval;

static gboolean read_row(Bits *in, Component *components, int n, int columns, Interval *interval)
{
    Bits bits = *in;
    for (int column = 0; column < columns; column++, interval->done++) {
        if (interval->of > 0 && interval->done == interval->of) {
            Bits here = bits;
            if (!restart(&here, components, n, interval->before++))
                return FALSE;
            bits = here;
            interval->done = 0;
        }
        if (!read_mcu(&bits, components, n, column))
            return FALSE;
    }
    *in = bits;
    return TRUE;
}

static void point_at_row(Component *c, int row)
{
    for (int v = 0; v < c->v; v++) {
        int y = row * c->v + v;
        c->rows[v] = y < c->blocks->height ? c->blocks->means + (gsize)y * (gsize)c->blocks->width : NULL;
    }
}

static gboolean read_scan(Bits *bits, Component *components, int n, int columns, int rows, guint restart_interval)
{
    Interval interval = { .of = restart_interval };
    for (int row = 0; row < rows; row++) {
        for (int i = 0; i < n; i++)
            point_at_row(&components[i], row);
        if (!read_row(bits, components, n, columns, &interval))
            return FALSE;
    }
    return is_used_up(bits) && bits->at[1] == 0xd9; /* EOI */
}

/* --- the whole way --- */

static gboolean is_usual(const struct jpeg_decompress_struct *codec)
{
    int n = codec->num_components;
    const jpeg_component_info *c = codec->comp_info;
    if (codec->progressive_mode || codec->arith_code || codec->data_precision != 8 || codec->comps_in_scan != n || (n != 1 && n != 3) ||
        codec->Ss != 0 || codec->Se != LAST || codec->Ah != 0 || codec->Al != 0)
        return FALSE;
    if (n == 1)
        return codec->jpeg_color_space == JCS_GRAYSCALE;
    return codec->jpeg_color_space == JCS_YCbCr && c[0].h_samp_factor <= 2 && c[0].v_samp_factor <= 2 && c[1].h_samp_factor == 1 &&
           c[1].v_samp_factor == 1 && c[2].h_samp_factor == 1 && c[2].v_samp_factor == 1 && codec->cur_comp_info[0] == &c[0] &&
           codec->cur_comp_info[1] == &c[1] && codec->cur_comp_info[2] == &c[2];
}

static int share(int side, int part, int of)
{
    return (side * part + 8 * of - 1) / (8 * of);
}

typedef struct {
    Table *dc[NUM_HUFF_TBLS], *ac[NUM_HUFF_TBLS];
} Tables;

static void clear_tables(Tables *tables)
{
    for (int i = 0; i < NUM_HUFF_TBLS; i++) {
        g_free(tables->dc[i]);
        g_free(tables->ac[i]);
    }
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Tables, clear_tables)

static gboolean prepare(const struct jpeg_decompress_struct *codec, Tables *tables, Component *c, GbBlocks *blocks, int i)
{
    const jpeg_component_info *info = &codec->comp_info[i];
    int dc = info->dc_tbl_no, ac = info->ac_tbl_no, quant = info->quant_tbl_no;
    if (dc < 0 || dc >= NUM_HUFF_TBLS || ac < 0 || ac >= NUM_HUFF_TBLS || quant < 0 || quant >= NUM_QUANT_TBLS ||
        codec->quant_tbl_ptrs[quant] == NULL)
        return FALSE;
    if (tables->dc[dc] == NULL)
        tables->dc[dc] = make_table(codec->dc_huff_tbl_ptrs[dc], FALSE);
    if (tables->ac[ac] == NULL)
        tables->ac[ac] = make_table(codec->ac_huff_tbl_ptrs[ac], TRUE);
    gboolean alone = codec->num_components == 1; /* then an MCU is one block, whatever its sampling says (T.81, A.2.2) */
    int h = alone ? 1 : info->h_samp_factor, v = alone ? 1 : info->v_samp_factor;
    blocks->width = share((int)codec->image_width, h, alone ? 1 : codec->max_h_samp_factor);
    blocks->height = share((int)codec->image_height, v, alone ? 1 : codec->max_v_samp_factor);
    blocks->means = g_try_malloc((gsize)blocks->width * (gsize)blocks->height);
    *c = (Component){ tables->dc[dc], tables->ac[ac], h, v, codec->quant_tbl_ptrs[quant]->quantval[0], 0, blocks, { NULL } };
    return c->dc != NULL && c->ac != NULL && blocks->means != NULL;
}

gboolean gb_blocks_read(const struct jpeg_decompress_struct *codec, GbBlocks blocks[3])
{
    g_auto(Tables) tables = { 0 };
    Component components[3];
    memset(blocks, 0, 3 * sizeof *blocks);
    gboolean ok = is_usual(codec);
    for (int i = 0; ok && i < codec->num_components; i++)
        ok = prepare(codec, &tables, &components[i], &blocks[i], i);
    if (ok) {
        Bits bits = { .at = codec->src->next_input_byte, .end = codec->src->next_input_byte + codec->src->bytes_in_buffer };
        int columns = share((int)codec->image_width, 1, components[0].h), rows = share((int)codec->image_height, 1, components[0].v);
        ok = read_scan(&bits, components, codec->num_components, columns, rows, codec->restart_interval);
    }
    if (!ok)
        gb_blocks_clear(blocks);
    return ok;
}

void gb_blocks_clear(GbBlocks blocks[3])
{
    for (int i = 0; i < 3; i++)
        g_clear_pointer(&blocks[i].means, g_free);
}
