/* test_template.c -- Mustache by its specification: the specification's own tests, what later editions added, and errors.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/template.h>
#include <locale.h>

static gboolean collect(const char *text, gsize n, gpointer user, GError **error)
{
    (void)error;
    g_string_append_len(user, text, (gssize)n);
    return TRUE;
}

/* What a template makes of data; partials is an object of texts or NULL. OWNED by the caller. */
static char *render(const char *text, const json_t *data, const json_t *partials)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbTemplate) template = gb_template_parse("test", text, &error);
    assert_no_error(error);
    const char *name;
    json_t *partial;
    json_object_foreach((json_t *)partials, name, partial) {
        GbTemplate *parsed = gb_template_parse(name, json_string_value(partial), &error);
        assert_no_error(error);
        gb_template_add_partial(template, name, parsed);
    }
    GString *out = g_string_new(NULL);
    gb_template_render(template, data, NULL, 0, collect, out, &error);
    assert_no_error(error);
    return g_string_free(out, FALSE);
}

static void renders_json(const char *what, const char *text, const json_t *data, const json_t *partials, const char *wanted)
{
    g_autofree char *seen = render(text, data, partials);
    if (strcmp(seen, wanted) == 0)
        return;
    fail_msg("%s: '%s' became '%s', wanted '%s'", what, text, seen, wanted);
}

static void renders(const char *text, const char *data_json, const char *wanted)
{
    json_t *data = json_loads(data_json, JSON_DECODE_ANY, NULL);
    assert_non_null(data);
    renders_json("case", text, data, NULL, wanted);
    json_decref(data);
}

/* Source: mustache/spec, edition in tests/mustache-spec (published). Returns how many tests the module has. */
static gsize pass_module(const char *module)
{
    g_autofree char *relative = g_strconcat("tests/mustache-spec/", module, ".json", NULL);
    g_autofree char *path = source_path(relative);
    json_t *file = json_load_file(path, 0, NULL);
    assert_non_null(file);
    const json_t *tests = json_object_get(file, "tests");
    gsize n = json_array_size(tests);
    for (gsize i = 0; i < n; i++) {
        const json_t *test = json_array_get(tests, i);
        renders_json(json_string_value(json_object_get(test, "name")), json_string_value(json_object_get(test, "template")),
                     json_object_get(test, "data"), json_object_get(test, "partials"),
                     json_string_value(json_object_get(test, "expected")));
    }
    json_decref(file);
    return n;
}

static void all_112_tests_of_the_specification_pass(void **state)
{
    (void)state;
    gsize n = pass_module("comments") + pass_module("delimiters") + pass_module("interpolation") + pass_module("inverted") +
              pass_module("partials") + pass_module("sections");
    assert_int_equal(n, 112);
}

/* Source: later editions of the same modules, from memory. */
static void names_are_found_as_later_editions_want(void **state)
{
    (void)state;
    renders("I ({{cannot}}) be seen!", "{\"cannot\": null}", "I () be seen!");
    renders("{{#null}}x{{/null}}{{^null}}y{{/null}}", "{\"null\": null}", "y");
    renders("Hello, {{.}}!", "\"<world>\"", "Hello, &lt;world&gt;!");
    renders("{{{.}}}{{&.}}", "\"<\"", "<<");
    renders("{{.}}", "1.21", "1.21");
    renders("{{#list}}({{#.}}{{.}}{{/.}}){{/list}}", "{\"list\": [[1, 2], [\"a\"]]}", "(12)(a)");
    renders("{{#.}}({{value}}){{/.}}", "[{\"value\": \"a\"}, {\"value\": \"b\"}]", "(a)(b)");
    renders("{{#name}}{{.}}{{/name}}", "{\"name\": \"bob\"}", "bob");
    renders("{{#a}}{{b.c}}{{/a}}", "{\"a\": {\"b\": {}}, \"b\": {\"c\": \"wrong\"}}", "");
    renders("{{a.b}}", "{\"a.b\": \"wrong\"}", "");
    renders("{{a.b}}", "{\"a.b\": \"wrong\", \"a\": {\"b\": \"c\"}}", "c");
    renders("{{! comment }}{{ comment }}", "{\"! comment \": 1, \"comment\": 2}", "2");
    renders("{{#tops}}{{#middles}}{{tname.lower}}{{mname}}.{{#bottoms}}{{tname.upper}}{{mname}}{{bname}}.{{/bottoms}}{{/middles}}{{/tops}}",
            "{\"tops\": {\"tname\": {\"upper\": \"A\", \"lower\": \"a\"}, \"middles\": {\"mname\": \"1\", \"bottoms\": "
            "[{\"bname\": \"x\"}, {\"bname\": \"y\"}]}}}",
            "a1.A1x.A1y.");
}

static void zero_and_an_empty_text_are_values_but_an_empty_list_is_not(void **state)
{
    (void)state;
    renders("{{#a}}yes{{/a}}{{^a}}no{{/a}}", "{\"a\": 0}", "yes");
    renders("{{#a}}yes{{/a}}{{^a}}no{{/a}}", "{\"a\": \"\"}", "yes");
    renders("{{#a}}yes{{/a}}{{^a}}no{{/a}}", "{\"a\": []}", "no");
    renders("{{#a}}yes{{/a}}{{^a}}no{{/a}}", "{\"a\": {}}", "yes");
    renders("{{a}}{{b}}", "{\"a\": {}, \"b\": [1]}", "");
}

static void nested_partials_add_up_their_indentation(void **state)
{
    (void)state;
    json_t *partials = json_pack("{s:s, s:s}", "outer", "a\n  {{> inner}}\nz\n", "inner", "{{#list}}\n- {{.}}\n{{/list}}\n{{x}}!\n");
    json_t *data = json_pack("{s:[s, s], s:s}", "list", "one", "two\nlines", "x", "end");
    renders_json("nested", ">\n {{> outer}}\n<", data, partials, ">\n a\n   - one\n   - two\nlines\n   end!\n z\n<");
    json_decref(partials);
    json_decref(data);
}

static void escaping_keeps_markup_out_of_text_and_attributes(void **state)
{
    (void)state;
    json_t *data = json_pack("{s:s}", "a", "<script>\"it's\" & ]]>");
    g_autofree char *seen = render("{{a}}", data, NULL);
    assert_null(strpbrk(seen, "<>\"'"));
    json_decref(data);
}

static void numbers_keep_their_point_in_every_locale(void **state)
{
    if (!use_decimal_comma(*state))
        skip();
    renders("{{a}} {{b}} {{c}} {{d}}", "{\"a\": 0.1, \"b\": -97.4125, \"c\": 1e-9, \"d\": 9007199254740993}",
            "0.1 -97.4125 1e-09 9007199254740993");
    renders("{{a}} {{b}}", "{\"a\": 0.30000000000000004, \"b\": 85.0}", "0.30000000000000004 85");
    setlocale(LC_NUMERIC, "C");
}

static gboolean write_twice(const json_t *context, GbTemplateSink sink, gpointer sink_user, gpointer user, GError **error)
{
    const char *word = json_string_value(json_object_get(context, "word"));
    ++*(int *)user;
    return sink(word, strlen(word), sink_user, error) && sink(word, strlen(word), sink_user, error);
}

static void a_function_writes_unescaped_and_data_of_its_name_comes_first(void **state)
{
    (void)state;
    int calls = 0;
    const GbTemplateFunction functions[] = { { "twice", write_twice, &calls } };
    g_autoptr(GError) error = NULL;
    g_autoptr(GbTemplate) template = gb_template_parse("test", "{{#list}}{{twice}},{{/list}}", &error);
    assert_no_error(error);
    json_t *data = json_pack("{s:[{s:s}, {s:s, s:s}]}", "list", "word", "<a", "word", "b", "twice", "data");
    g_autoptr(GString) out = g_string_new(NULL);
    assert_true(gb_template_render(template, data, functions, 1, collect, out, &error));
    assert_string_equal(out->str, "<a<a,data,");
    assert_int_equal(calls, 1);
    json_decref(data);
}

static gboolean refuse(const char *text, gsize n, gpointer user, GError **error)
{
    (void)text, (void)n, (void)user;
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "the disk is full");
    return FALSE;
}

static void a_sink_that_fails_stops_the_rendering_with_its_error(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_autoptr(GbTemplate) template = gb_template_parse("test", "{{#a}}{{> p}}{{/a}}", NULL);
    gb_template_add_partial(template, "p", gb_template_parse("p", "{{.}}", NULL));
    json_t *data = json_pack("{s:[i, i]}", "a", 1, 2);
    assert_false(gb_template_render(template, data, NULL, 0, refuse, NULL, &error));
    assert_error(error, GB_ERROR_IO, "disk is full");
    json_decref(data);
}

static void refuses(const char *text, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbTemplate) template = gb_template_parse("report.html", text, &error);
    if (template != NULL)
        fail_msg("'%.60s' was taken", text);
    assert_error(error, GB_ERROR_SYNTAX, part);
}

static void mistakes_are_told_with_file_and_line(void **state)
{
    (void)state;
    refuses("a\n\n{{#figures}}\n{{/other}}", "report.html:4: 'other' is closed while section 'figures' of line 3 is open");
    refuses("\n{{#figures}}\n\n", "report.html:2: section 'figures' is not closed");
    refuses("{{a}}\n{{/figures}}", "report.html:2: 'figures' is closed but was not open");
    refuses("{{a}}\nx {{{b}} ", "report.html:2: a tag begins with '{{' but '}}}' never ends it");
    refuses("{{ }}", "report.html:1: a tag without a name");
    refuses("{{site plan}}", "report.html:1: the name 'site plan' has a blank in it");
    refuses("{{site\nplan}}", "report.html:1: the name 'site\uFFFDplan' has a blank in it"); /* a message is one line */
    refuses("{{=<% =}}", "report.html:1: new delimiters are two words");
    refuses("{{$block}}", "report.html:1: '$' begins no kind of tag");
}

static void what_has_no_end_is_bounded(void **state)
{
    (void)state;
    g_autoptr(GString) deep = g_string_new(NULL);
    for (int i = 0; i < 65; i++)
        g_string_append(deep, "{{#a}}");
    refuses(deep->str, "report.html:1: sections nest deeper than 64");

    g_autofree char *name = g_strnfill(257, 'n');
    g_autofree char *tag = g_strconcat("{{", name, "}}", NULL);
    refuses(tag, "a name of more than 256 bytes");

    g_autoptr(GError) error = NULL;
    g_autoptr(GbTemplate) template = gb_template_parse("report.html", "\n{{> self}}", &error);
    gb_template_add_partial(template, "self", gb_template_parse("self.html", " {{> self}}", &error));
    json_t *data = json_object();
    g_autoptr(GString) out = g_string_new(NULL);
    assert_false(gb_template_render(template, data, NULL, 0, collect, out, &error));
    assert_error(error, GB_ERROR_SYNTAX, "self.html:1: partial 'self' includes itself without end");
    json_decref(data);
}

static gboolean count_bytes(const char *text, gsize n, gpointer user, GError **error)
{
    (void)text, (void)error;
    *(guint64 *)user += n;
    return TRUE;
}

/* {{{much}}}: a megabyte, as of a picture. */
static gboolean write_much(const json_t *context, GbTemplateSink sink, gpointer sink_user, gpointer user, GError **error)
{
    (void)context;
    return sink(user, (gsize)1 << 20, sink_user, error);
}

/* 10 entries, 12 deep: 10^12 times what stands inside. */
static void sections_that_multiply_are_bounded_in_text_and_in_pictures(void **state)
{
    (void)state;
    json_t *data = json_pack("{s:[iiiiiiiiii]}", "a", 0, 1, 2, 3, 4, 5, 6, 7, 8, 9);
    g_autofree char *kilobyte = g_strnfill(1024, 'x'), *megabyte = g_strnfill(1 << 20, 'x');
    const GbTemplateFunction functions[] = { { "much", write_much, megabyte } };
    for (int i = 0; i < 2; i++) {
        guint64 bytes = 0;
        g_autoptr(GError) error = NULL;
        g_autoptr(GString) text = g_string_new(NULL);
        for (int n = 0; n < 12; n++)
            g_string_append(text, "{{#a}}");
        g_string_append(text, i == 0 ? kilobyte : "{{{much}}}");
        for (int n = 0; n < 12; n++)
            g_string_append(text, "{{/a}}");
        g_autoptr(GbTemplate) template = gb_template_parse("report.html", text->str, &error);
        assert_no_error(error);
        assert_false(gb_template_render(template, data, functions, 1, count_bytes, &bytes, &error));
        assert_error(error, GB_ERROR_TOO_LARGE, "report.html: writes without end");
        assert_true(bytes <= (i == 0 ? (guint64)256 << 20 : (guint64)8 << 30));
    }
    json_decref(data);
}

/* Every prefix of a template with all kinds of tags is either understood or refused with a message (never read past its end). */
static void a_template_cut_anywhere_is_understood_or_refused(void **state)
{
    (void)state;
    const char *text = "{{! c }}{{#a}}{{{b}}}{{&b}}{{> p}}\r\n {{/a}}\r\n{{=<% %>=}}<%^x%>n<%/x%><%={{ }}=%>{{.}}";
    for (gsize n = 0; n <= strlen(text); n++) {
        g_autofree char *cut = g_strndup(text, n);
        g_autoptr(GError) error = NULL;
        g_autoptr(GbTemplate) template = gb_template_parse("cut", cut, &error);
        assert_true((template == NULL) == (error != NULL));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_112_tests_of_the_specification_pass),
        cmocka_unit_test(names_are_found_as_later_editions_want),
        cmocka_unit_test(zero_and_an_empty_text_are_values_but_an_empty_list_is_not),
        cmocka_unit_test(nested_partials_add_up_their_indentation),
        cmocka_unit_test(escaping_keeps_markup_out_of_text_and_attributes),
        test_in_folder(numbers_keep_their_point_in_every_locale),
        cmocka_unit_test(a_function_writes_unescaped_and_data_of_its_name_comes_first),
        cmocka_unit_test(a_sink_that_fails_stops_the_rendering_with_its_error),
        cmocka_unit_test(mistakes_are_told_with_file_and_line),
        cmocka_unit_test(what_has_no_end_is_bounded),
        cmocka_unit_test(sections_that_multiply_are_bounded_in_text_and_in_pictures),
        cmocka_unit_test(a_template_cut_anywhere_is_understood_or_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
