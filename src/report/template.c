/* template.c -- see template.h.
 *
 * A template becomes a tree of tokens once and is rendered any number of times. Text is kept line by line: a
 * partial that stands alone on its line indents every line of its own text, but not the lines that come out of the
 * data, so the tree must know where a line of the template begins (LINE). A tag alone on its line
 * takes the whole line with it.
 *
 * What is falsey: an absent name, null, false, an empty list. 0 and "" are values.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/quote.h>
#include <gablebook/template.h>

#define NESTING_MAX 64   /* sections in sections, and partials in partials */
#define TEXT_MAX_BYTES ((guint64)256 << 20) /* that one rendering writes, and what it steps through: sections in sections multiply */
#define FUNCTION_MAX_BYTES ((guint64)8 << 30) /* pictures, mostly */
#define STEPS_MAX 50000000
#define TAG_MAX_BYTES 256 /* a name or a pair of delimiters; comments may be longer */

typedef enum { TEXT, LINE, VARIABLE, RAW, SECTION, INVERTED, PARTIAL } Kind;

typedef struct {
    Kind kind;
    char *text;          /* TEXT: the words; else the name as written; LINE: NULL */
    char **path;         /* the parts of a dotted name; empty for "." */
    char *indent;        /* PARTIAL: the blanks before it when it stands alone on its line, else "" */
    GPtrArray *children; /* SECTION, INVERTED */
    guint line;
} Token;

struct GbTemplate {
    char *name;
    GPtrArray *tokens;
    GHashTable *partials; /* name -> GbTemplate */
};

static void token_free(gpointer data)
{
    Token *token = data;
    g_free(token->text);
    g_strfreev(token->path);
    g_free(token->indent);
    if (token->children != NULL)
        g_ptr_array_unref(token->children);
    g_free(token);
}

void gb_template_free(GbTemplate *main)
{
    if (main == NULL)
        return;
    g_free(main->name);
    g_ptr_array_unref(main->tokens);
    g_hash_table_unref(main->partials);
    g_free(main);
}

/* --- parsing --- */

typedef struct {
    const char *name;
    const char *text; /* all of it */
    const char *at;   /* what is not understood yet */
    const char *counted; /* up to here the lines are counted: the place is in this line, from 1 */
    guint line;
    char *open, *close;
    GPtrArray *sections; /* Token, the open ones, outermost first; BORROWED from the tree */
    GPtrArray *into;     /* children of the innermost open section, or the template's tokens */
} Parser;

/* A tag as found in the text. */
typedef struct {
    const char *begin, *end; /* with its delimiters */
    char sigil;              /* one of # ^ / ! > & { = or 0 for a plain name */
    char *content;           /* trimmed */
    guint line;
} Tag;

/* The line of a place that lies behind all those asked for before. */
static guint line_of(Parser *parser, const char *at)
{
    for (; parser->counted < at; parser->counted++)
        parser->line += *parser->counted == '\n';
    return parser->line;
}

static gboolean fail(const Parser *parser, guint line, GError **error, const char *format, ...) G_GNUC_PRINTF(4, 5);
static gboolean fail(const Parser *parser, guint line, GError **error, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    g_autofree char *message = g_strdup_vprintf(format, values);
    va_end(values);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s:%u: %s", parser->name, line, message);
    return FALSE;
}

static Token *add(Parser *parser, Kind kind, char *text, guint line)
{
    Token *token = g_new0(Token, 1);
    token->kind = kind;
    token->text = text;
    token->line = line;
    g_ptr_array_add(parser->into, token);
    return token;
}

static gboolean at_line_start(const Parser *parser, const char *at)
{
    return at == parser->text || at[-1] == '\n';
}

/* Plain text, a token a line. */
static void add_text(Parser *parser, const char *begin, const char *end)
{
    while (begin < end) {
        const char *newline = memchr(begin, '\n', (gsize)(end - begin));
        const char *stop = newline != NULL ? newline + 1 : end;
        if (at_line_start(parser, begin))
            add(parser, LINE, NULL, 0);
        add(parser, TEXT, g_strndup(begin, (gsize)(stop - begin)), 0);
        begin = stop;
    }
}

/* Where the line goes on behind the blanks, or NULL if something else stands there: after is past the line's end. */
static const char *rest_of_line_is_blank(const char *at)
{
    at += strspn(at, " \t");
    if (*at == '\0')
        return at;
    if (*at == '\n')
        return at + 1;
    return at[0] == '\r' && at[1] == '\n' ? at + 2 : NULL;
}

/* Does the tag stand alone on its line? Then begin and end are widened to the whole line, and indent (OWNED by the
 * caller) is what stood before it. */
static gboolean take_whole_line(const Parser *parser, Tag *tag, char **indent)
{
    const char *start = tag->begin;
    while (start > parser->text && (start[-1] == ' ' || start[-1] == '\t'))
        start--;
    const char *after = at_line_start(parser, start) ? rest_of_line_is_blank(tag->end) : NULL;
    if (after == NULL)
        return FALSE;
    *indent = g_strndup(start, (gsize)(tag->begin - start));
    tag->begin = start;
    tag->end = after;
    return TRUE;
}

/* Find the next tag. FALSE with content NULL and no error: there is none. */
static gboolean find_tag(Parser *parser, Tag *tag, GError **error)
{
    *tag = (Tag){ 0 };
    tag->begin = strstr(parser->at, parser->open);
    if (tag->begin == NULL)
        return FALSE;
    tag->line = line_of(parser, tag->begin);
    const char *inside = tag->begin + strlen(parser->open);
    if (*inside != '\0' && strchr("#^/!>&{=", *inside) != NULL)
        tag->sigil = *inside++;
    const char *more = tag->sigil == '{' ? "}" : tag->sigil == '=' ? "=" : "";
    g_autofree char *close = g_strconcat(more, parser->close, NULL);
    const char *stop = strstr(inside, close);
    if (stop == NULL)
        return fail(parser, tag->line, error, "a tag begins with '%s' but '%s' never ends it", parser->open, close);
    tag->end = stop + strlen(close);
    tag->content = g_strstrip(g_strndup(inside, (gsize)(stop - inside)));
    return TRUE;
}

static gboolean check_name(const Parser *parser, const Tag *tag, GError **error)
{
    const char *name = tag->content;
    if (*name == '\0')
        return fail(parser, tag->line, error, "a tag without a name");
    if (strlen(name) > TAG_MAX_BYTES)
        return fail(parser, tag->line, error, "a name of more than %d bytes", TAG_MAX_BYTES);
    if (strpbrk(name, " \t\r\n") != NULL) {
        g_autofree char *shown = gb_quote(name);
        return fail(parser, tag->line, error, "the name %s has a blank in it", shown);
    }
    if (tag->sigil != '>' && strchr("<$*{", *name) != NULL)
        return fail(parser, tag->line, error, "'%c' begins no kind of tag that is known here", *name);
    return TRUE;
}

static gboolean set_delimiters(Parser *parser, const Tag *tag, GError **error)
{
    if (strlen(tag->content) > TAG_MAX_BYTES)
        return fail(parser, tag->line, error, "delimiters of more than %d bytes", TAG_MAX_BYTES);
    g_auto(GStrv) words = g_strsplit_set(tag->content, " \t\r\n", -1);
    guint count = 0;
    for (guint i = 0; words[i] != NULL; i++)
        if (*words[i] != '\0') {
            char *swap = words[count];
            words[count++] = words[i];
            words[i] = swap;
        }
    if (count != 2 || strchr(tag->content, '=') != NULL)
        return fail(parser, tag->line, error, "new delimiters are two words without '=' in them: {{=<%% %%>=}}");
    g_free(parser->open);
    g_free(parser->close);
    parser->open = g_strdup(words[0]);
    parser->close = g_strdup(words[1]);
    return TRUE;
}

static char **split_name(const char *name)
{
    return g_strsplit(strcmp(name, ".") == 0 ? "" : name, ".", -1);
}

static gboolean open_section(Parser *parser, const Tag *tag, GError **error)
{
    if (parser->sections->len >= NESTING_MAX)
        return fail(parser, tag->line, error, "sections nest deeper than %d", NESTING_MAX);
    Token *token = add(parser, tag->sigil == '#' ? SECTION : INVERTED, g_strdup(tag->content), tag->line);
    token->path = split_name(tag->content);
    token->children = g_ptr_array_new_with_free_func(token_free);
    g_ptr_array_add(parser->sections, token);
    parser->into = token->children;
    return TRUE;
}

static gboolean close_section(Parser *parser, GPtrArray *outermost, const Tag *tag, GError **error)
{
    if (parser->sections->len == 0)
        return fail(parser, tag->line, error, "'%s' is closed but was not open", tag->content);
    const Token *open = g_ptr_array_index(parser->sections, parser->sections->len - 1);
    if (strcmp(open->text, tag->content) != 0)
        return fail(parser, tag->line, error, "'%s' is closed while section '%s' of line %u is open", tag->content, open->text,
                    open->line);
    g_ptr_array_set_size(parser->sections, (int)parser->sections->len - 1);
    parser->into = outermost;
    if (parser->sections->len > 0)
        parser->into = ((const Token *)g_ptr_array_index(parser->sections, parser->sections->len - 1))->children;
    return TRUE;
}

static gboolean add_tag(Parser *parser, GPtrArray *outermost, const Tag *tag, char *indent, GError **error)
{
    if (tag->sigil == '!')
        return TRUE;
    if (tag->sigil == '=')
        return set_delimiters(parser, tag, error);
    if (!check_name(parser, tag, error))
        return FALSE;
    if (tag->sigil == '#' || tag->sigil == '^')
        return open_section(parser, tag, error);
    if (tag->sigil == '/')
        return close_section(parser, outermost, tag, error);
    Kind kind = tag->sigil == '>' ? PARTIAL : tag->sigil == 0 ? VARIABLE : RAW;
    Token *token = add(parser, kind, g_strdup(tag->content), tag->line);
    if (kind == PARTIAL)
        token->indent = g_strdup(indent != NULL ? indent : "");
    else
        token->path = split_name(tag->content);
    return TRUE;
}

static gboolean parse(Parser *parser, GPtrArray *outermost, GError **error)
{
    for (;;) {
        Tag tag;
        GError *trouble = NULL;
        if (!find_tag(parser, &tag, &trouble)) {
            if (trouble != NULL) {
                g_propagate_error(error, trouble);
                return FALSE;
            }
            break;
        }
        g_autofree char *content = tag.content;
        g_autofree char *indent = NULL;
        gboolean alone = tag.sigil != 0 && strchr("#^/!>=", tag.sigil) != NULL && take_whole_line(parser, &tag, &indent);
        add_text(parser, parser->at, tag.begin);
        if (!alone && at_line_start(parser, tag.begin))
            add(parser, LINE, NULL, 0);
        if (!add_tag(parser, outermost, &tag, indent, error))
            return FALSE;
        parser->at = tag.end;
    }
    add_text(parser, parser->at, parser->at + strlen(parser->at));
    if (parser->sections->len > 0) {
        const Token *open = g_ptr_array_index(parser->sections, parser->sections->len - 1);
        return fail(parser, open->line, error, "section '%s' is not closed", open->text);
    }
    return TRUE;
}

GbTemplate *gb_template_parse(const char *name, const char *text, GError **error)
{
    g_autoptr(GbTemplate) made = g_new0(GbTemplate, 1);
    made->name = g_strdup(name);
    made->tokens = g_ptr_array_new_with_free_func(token_free);
    made->partials = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, (GDestroyNotify)gb_template_free);

    g_autoptr(GPtrArray) sections = g_ptr_array_new();
    Parser parser = { .name = name, .text = text, .at = text, .counted = text, .line = 1, .open = g_strdup("{{"),
                      .close = g_strdup("}}"), .sections = sections, .into = made->tokens };
    gboolean understood = parse(&parser, made->tokens, error);
    g_free(parser.open);
    g_free(parser.close);
    return understood ? g_steal_pointer(&made) : NULL;
}

void gb_template_add_partial(GbTemplate *main, const char *name, GbTemplate *partial)
{
    g_hash_table_replace(main->partials, g_strdup(name), partial);
}

/* --- rendering --- */

typedef struct {
    const GbTemplate *main;
    GPtrArray *contexts; /* json_t, innermost last; BORROWED from the data */
    const GbTemplateFunction *functions;
    gsize n_functions;
    GbTemplateSink sink;
    gpointer user;
    GString *scratch; /* for escaping */
    guint partials;   /* how deep we are in them */
    guint64 text_bytes, function_bytes, steps;
} Rendering;

static gboolean render_tokens(Rendering *r, const GbTemplate *of, const GPtrArray *tokens, const char *indent, GError **error);

static const json_t *innermost(const Rendering *r)
{
    return g_ptr_array_index(r->contexts, r->contexts->len - 1);
}

/* The value of a name, or NULL. The first part is sought from the inside out, the others only in what it found. */
static const json_t *look_up(const Rendering *r, char **path)
{
    if (path[0] == NULL)
        return innermost(r);
    const json_t *found = NULL;
    for (guint i = r->contexts->len; i-- > 0 && found == NULL;)
        found = json_object_get(g_ptr_array_index(r->contexts, i), path[0]);
    for (guint i = 1; path[i] != NULL && found != NULL; i++)
        found = json_object_get(found, path[i]);
    return found;
}

static gboolean is_falsey(const json_t *value)
{
    return value == NULL || json_is_null(value) || json_is_false(value) ||
           (json_is_array(value) && json_array_size(value) == 0);
}

/* *spent grows by n; FALSE with error above most. */
static gboolean spend(const Rendering *r, guint64 *spent, guint64 n, guint64 most, GError **error)
{
    *spent += n;
    if (*spent <= most)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "%s: writes without end: its sections repeat each other more often than any report needs",
                r->main->name);
    return FALSE;
}

static gboolean write_out(Rendering *r, const char *text, gsize n, GError **error)
{
    return spend(r, &r->text_bytes, n, TEXT_MAX_BYTES, error) && r->sink(text, n, r->user, error);
}

/* What functions write into. */
static gboolean take_from_function(const char *text, gsize n, gpointer rendering, GError **error)
{
    Rendering *r = rendering;
    return spend(r, &r->function_bytes, n, FUNCTION_MAX_BYTES, error) && r->sink(text, n, r->user, error);
}

static gboolean write_text(Rendering *r, const char *text, gsize n, gboolean escaped, GError **error)
{
    if (!escaped)
        return write_out(r, text, n, error);
    g_string_truncate(r->scratch, 0);
    gb_escape_html(r->scratch, text, n);
    return write_out(r, r->scratch->str, r->scratch->len, error);
}

/* The shortest digits that read back as the same number, with a point in every locale. */
static const char *number_text(const json_t *value, char *buffer, gsize size)
{
    if (json_is_integer(value)) {
        g_snprintf(buffer, size, "%" JSON_INTEGER_FORMAT, json_integer_value(value));
        return buffer;
    }
    double number = json_real_value(value);
    for (int digits = 15; digits <= 17; digits++) {
        char format[8];
        g_snprintf(format, sizeof format, "%%.%dg", digits);
        g_ascii_formatd(buffer, (int)size, format, number);
        if (!(g_ascii_strtod(buffer, NULL) < number || g_ascii_strtod(buffer, NULL) > number))
            break;
    }
    return buffer;
}

static gboolean write_value(Rendering *r, const json_t *value, gboolean escaped, GError **error)
{
    char buffer[64];
    if (json_is_string(value))
        return write_text(r, json_string_value(value), json_string_length(value), escaped, error);
    if (json_is_number(value)) {
        const char *text = number_text(value, buffer, sizeof buffer);
        return write_text(r, text, strlen(text), FALSE, error);
    }
    if (json_is_boolean(value))
        return write_text(r, json_is_true(value) ? "true" : "false", json_is_true(value) ? 4 : 5, FALSE, error);
    return TRUE; /* null, objects and lists have no text */
}

static gboolean render_variable(Rendering *r, const Token *token, GError **error)
{
    const json_t *value = look_up(r, token->path);
    if (value != NULL)
        return write_value(r, value, token->kind == VARIABLE, error);
    for (gsize i = 0; i < r->n_functions; i++)
        if (strcmp(r->functions[i].name, token->text) == 0)
            return r->functions[i].write(innermost(r), take_from_function, r, r->functions[i].user, error);
    return TRUE;
}

static gboolean render_inside(Rendering *r, const GbTemplate *of, const Token *token, const json_t *context, const char *indent,
                              GError **error)
{
    g_ptr_array_add(r->contexts, (gpointer)context);
    gboolean done = spend(r, &r->steps, 1, STEPS_MAX, error) && render_tokens(r, of, token->children, indent, error);
    g_ptr_array_set_size(r->contexts, (int)r->contexts->len - 1);
    return done;
}

static gboolean render_section(Rendering *r, const GbTemplate *of, const Token *token, const char *indent, GError **error)
{
    const json_t *value = look_up(r, token->path);
    if (token->kind == INVERTED)
        return !is_falsey(value) || render_tokens(r, of, token->children, indent, error);
    if (is_falsey(value))
        return TRUE;
    if (!json_is_array(value))
        return render_inside(r, of, token, value, indent, error);
    for (gsize i = 0; i < json_array_size(value); i++)
        if (!render_inside(r, of, token, json_array_get(value, i), indent, error))
            return FALSE;
    return TRUE;
}

static gboolean render_partial(Rendering *r, const GbTemplate *of, const Token *token, const char *indent, GError **error)
{
    const GbTemplate *partial = g_hash_table_lookup(r->main->partials, token->text);
    if (partial == NULL)
        return TRUE;
    if (r->partials >= NESTING_MAX) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s:%u: partial '%s' includes itself without end (more than %d deep)",
                    of->name, token->line, token->text, NESTING_MAX);
        return FALSE;
    }
    g_autofree char *deeper = g_strconcat(indent, token->indent, NULL);
    r->partials++;
    gboolean done = render_tokens(r, partial, partial->tokens, deeper, error);
    r->partials--;
    return done;
}

static gboolean render_token(Rendering *r, const GbTemplate *of, const Token *token, const char *indent, GError **error)
{
    switch (token->kind) {
    case TEXT:
        return write_out(r, token->text, strlen(token->text), error);
    case LINE:
        return *indent == '\0' || write_out(r, indent, strlen(indent), error);
    case VARIABLE:
    case RAW:
        return render_variable(r, token, error);
    case SECTION:
    case INVERTED:
        return render_section(r, of, token, indent, error);
    case PARTIAL:
        return render_partial(r, of, token, indent, error);
    }
    return TRUE;
}

static gboolean render_tokens(Rendering *r, const GbTemplate *of, const GPtrArray *tokens, const char *indent, GError **error)
{
    for (guint i = 0; i < tokens->len; i++)
        if (!spend(r, &r->steps, 1, STEPS_MAX, error) || !render_token(r, of, g_ptr_array_index(tokens, i), indent, error))
            return FALSE;
    return TRUE;
}

gboolean gb_template_render(const GbTemplate *main, const json_t *data, const GbTemplateFunction *functions, gsize n,
                            GbTemplateSink sink, gpointer user, GError **error)
{
    g_autoptr(GPtrArray) contexts = g_ptr_array_new();
    g_autoptr(GString) scratch = g_string_new(NULL);
    g_ptr_array_add(contexts, (gpointer)data);
    Rendering r = { .main = main, .contexts = contexts, .functions = functions, .n_functions = n, .sink = sink, .user = user,
                    .scratch = scratch };
    return render_tokens(&r, main, main->tokens, "", error);
}
