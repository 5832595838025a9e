/* factlist.h -- what can be known of a property: the kinds of fact, and the values they take.
 *
 * A kind of fact is a section of templates/facts.ini; a claim may add kinds of its own, or change some, in its folder
 * (templates/facts.ini there). Keys of a section:
 *
 *     [condition]
 *     name     = Condition
 *     plain    = In which state the covering was            (for the insured)
 *     value    = choice                                     choice | pitch | length | count | layers | years | number | text
 *     choice1  = good: a little worn, nothing loose         (a word and, after ': ', what it means; choice1 ... choice24)
 *     where    = roof, slope                                site | structure | elevation | roof | slope | room
 *     how      = seen                                       seen | measured | counted | estimated | told (absent: seen)
 *     subjects = roof-covering, wear                        (whose photos prove it; absent: it needs no photo)
 *
 * A value is kept as it was written, beside what it means (GbFactValue).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FACTLIST_H
#define GABLEBOOK_FACTLIST_H

#include <gablebook/catalogue.h>
#include <gablebook/place.h>
#include <glib.h>

G_BEGIN_DECLS

/* What kind of value a fact has. */
typedef enum {
    GB_FACT_CHOICE, /* one of the kind's own words */
    GB_FACT_PITCH,  /* inches of rise per 12 in of run (measure.h) */
    GB_FACT_LENGTH, /* inches (measure.h) */
    GB_FACT_COUNT,  /* a whole number from 0 */
    GB_FACT_LAYERS, /* a whole number from 1 to 9 */
    GB_FACT_YEARS,  /* how old: 12 years, 12-15 years, over 20, under 5; at most 300 */
    GB_FACT_NUMBER, /* a number from 0, broken ones too: 1 1/2 */
    GB_FACT_TEXT,   /* free words */
    GB_FACT_TYPES
} GbFactType;

/* How a person knows it. */
typedef enum { GB_HOW_SEEN, GB_HOW_MEASURED, GB_HOW_COUNTED, GB_HOW_ESTIMATED, GB_HOW_TOLD, GB_HOWS } GbHow;

typedef struct {
    char *word;    /* "fair" */
    char *meaning; /* "worn all over ..."; never NULL, may be "" */
} GbChoice;

typedef struct {
    char *id;    /* the section: "pipe-flashings"; stored in the log */
    char *name;  /* "Pipe flashings"; what people type and read */
    char *plain; /* one plain sentence for the insured; never NULL, may be "" */
    GbFactType type;
    GPtrArray *choices; /* of GbChoice, in the order of the file; empty where the type is another */
    gboolean where[GB_PLACE_KINDS]; /* GB_PLACE_WHOLE stands for "structure" */
    GbHow how;       /* how it is usually known */
    char **subjects; /* catalogue ids, NULL-terminated; empty: needs no photo */
} GbFactKind;

/* What a value means. For a range low <= high; for a single number they are equal. */
typedef struct {
    double low;  /* NAN: no number (choice, text) */
    double high; /* NAN with a known low: no upper end ("over 20 years") */
    const char *choice; /* the word chosen, BORROWED from the kind; NULL where the type is another */
} GbFactValue;

typedef struct GbFactlist GbFactlist;

/* The facts this program was built with. Their subjects must be in the catalogue. OWNED by the caller. */
GbFactlist *gb_factlist_builtin(const GbCatalogue *catalogue, GError **error);

/* Add the kinds of a file: new ones after the present ones, a section that exists already replaces only the keys it gives.
 * GB_ERROR_SYNTAX with file and line; the list is then unchanged. */
gboolean gb_factlist_extend(GbFactlist *list, const char *path, const GbCatalogue *catalogue, GError **error);

guint gb_factlist_size(const GbFactlist *list);
/* The i-th kind in the list's order, or NULL. BORROWED until the list changes. */
const GbFactKind *gb_factlist_peek(const GbFactlist *list, guint i);
/* The kind of that exact id, or NULL. BORROWED likewise. */
const GbFactKind *gb_factlist_by_id(const GbFactlist *list, const char *id);
/* The kind a person means (word.h rules over names, then ids). NULL with GB_ERROR_UNKNOWN or _UNCLEAR. BORROWED likewise. */
const GbFactKind *gb_factlist_find(const GbFactlist *list, const char *text, GError **error);

void gb_factlist_free(GbFactlist *list); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbFactlist, gb_factlist_free)

/* "choice", "years" ...; "seen", "told" ... Never NULL. The second is stored in the database. */
const char *gb_fact_type_word(GbFactType type);
const char *gb_how_word(GbHow how);
/* The way a person means, abbreviated perhaps (word.h). GB_ERROR_UNKNOWN, _UNCLEAR. */
gboolean gb_how_parse(const char *text, GbHow *how, GError **error);
/* "a roof or a slope": what the kind can be said of. OWNED by the caller. */
char *gb_fact_where_text(const GbFactKind *kind);

/* Understand a value. Choices may be abbreviated (word.h). FALSE with GB_ERROR_SYNTAX (which shows how it can be written),
 * GB_ERROR_UNKNOWN, GB_ERROR_UNCLEAR. */
gboolean gb_fact_value_parse(const GbFactKind *kind, const char *text, GbFactValue *value, GError **error);

/* The same as every reader writes it: "7.5/12, 32.0°", "10 ft 4 in", "12 to 15 years", "over 20 years", "laminated asphalt
 * shingle"; "" for free words. Numbers have at most two decimals. OWNED by the caller. */
char *gb_fact_value_text(GbFactType type, const GbFactValue *value);

/* A value as a report shows it: as it was written and, where that says it in another way, what it means: "7 1/2:12 (7.5/12,
 * 32.0°)", "6/12, 26.6°", "4 in". OWNED by the caller. */
char *gb_fact_value_shown(GbFactType type, const char *written, const GbFactValue *value);

/* Whether two values of one kind can both be true. Readings differ a little: pitches by less than 1/4 in 12, lengths by at most
 * 1/8 in or 1 in 100 (common practice, no source); ranges must overlap; choices, counts and layers must be the same; of free
 * words nobody can tell, so they never contradict. */
gboolean gb_fact_values_agree(GbFactType type, const GbFactValue *a, const GbFactValue *b);

/* Whether a value that a photo of that kind of value carries can be a value of this type. */
gboolean gb_fact_type_takes(GbFactType type, GbValueKind kind);

G_END_DECLS
#endif
