/* test_web.c -- the server of the sorting table, asked by curl and by bare bytes: who gets in, what is refused, what two clients see of each
 * other, what a killed or stopped server leaves behind.
 *
 * Status codes are held against RFC 9110 (403, 405, 409, 411, 413, 415, 422), headers against the Fetch and CSP standards' own words.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../photo_support.h"
#include "../web_support.h"

#include <glib/gstdio.h>
#include <signal.h>
#include <unistd.h>

/* FOLDER/c with four photos, and its server. */
typedef struct {
    char *folder;
    Server *server;
} Table;

static int setup_table(void **state)
{
    void *folder = NULL;
    if (setup_folder(&folder) != 0)
        return 1;
    make_card(folder, "card", 4, 48);
    if (sh(folder, NULL, NULL, "gablebook new c --cause hail --insured 'Rosa Test' --front-azimuth 205 && gablebook import c card") != 0)
        return 1;
    Table *table = g_new0(Table, 1);
    table->folder = folder;
    table->server = start_server(folder);
    *state = table;
    return 0;
}

static int teardown_table(void **state)
{
    Table *table = *state;
    if (table->server != NULL)
        stop_server(table->server);
    remove_tree(table->folder);
    g_free(table->folder);
    g_free(table);
    return 0;
}
#define test_at_table(f) cmocka_unit_test_setup_teardown(f, setup_table, teardown_table)

static Server *server_of(void **state)
{
    return ((Table *)*state)->server;
}

/* The log's entries, newest first. OWNED by the caller. */
static json_t *history(void **state)
{
    g_autoptr(json_t) json = get_json(server_of(state), "/api/history");
    return json_incref(json_object_get(json, "entries"));
}

static gsize history_length_now(void **state)
{
    g_autoptr(json_t) entries = history(state);
    return json_array_size(entries);
}

/* A shot as the page sees it. OWNED by the caller. */
static json_t *shot(void **state, gint64 number)
{
    g_autoptr(json_t) all = get_json(server_of(state), "/api/shots");
    gsize i;
    json_t *each;
    json_array_foreach(json_object_get(all, "shots"), i, each)
        if (json_integer_value(json_object_get(each, "number")) == number)
            return json_incref(each);
    return NULL;
}

static const char *text_in(const json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    return text == NULL ? "" : text;
}

static gint64 whole_in(const json_t *object, const char *key)
{
    return json_integer_value(json_object_get(object, key));
}

/* --- who gets in --- */

static void the_key_opens_once_a_browser_is_let_in_and_nothing_else_does(void **state)
{
    Server *server = server_of(state);
    g_autofree char *enter = g_strdup(strstr(server->url, "/enter"));
    g_autoptr(Answer) right = curl(server, enter, "-b ''");
    assert_status(right, 303);
    g_autofree char *cookie = header_of(right, "Set-Cookie"), *to = header_of(right, "Location");
    assert_has(cookie, "; HttpOnly");
    assert_has(cookie, "; SameSite=Strict");
    assert_string_equal(to, "/");
    assert_int_equal(strlen(strchr(enter, '=') + 1), 64); /* 256 bits of it */
    enter[strlen(enter) - 1] = enter[strlen(enter) - 1] == '0' ? '1' : '0';
    g_autoptr(Answer) wrong = curl(server, enter, NULL), none = curl(server, "/enter", NULL), empty = curl(server, "/enter?key=", NULL);
    assert_status(wrong, 403);
    assert_status(none, 403);
    assert_status(empty, 403);
    assert_null(header_of(wrong, "Set-Cookie"));
}

static void without_the_cookie_nothing_is_shown_and_nothing_is_done(void **state)
{
    static const char *const paths[] = { "/", "/ui/page.js", "/api/claim", "/api/shots", "/api/changes", "/api/history", "/api/job", "/api/reports",
                                         "/api/recorded", "/api/scope", "/api/scope.csv", "/api/leaving", "/api/export", "/export", "/api/roof-plan/1",
                                         "/report/photo-report.html", "/nothing" };
    Server *server = server_of(state);
    g_autofree char *right = g_steal_pointer(&server->cookie);
    const char *name_end = strchr(right, '=');
    const char *wrongs[] = { "", "a=b", "gablebook=1" };
    for (gsize w = 0; w < G_N_ELEMENTS(wrongs); w++) {
        server->cookie = g_strdup(wrongs[w]);
        for (gsize i = 0; i < G_N_ELEMENTS(paths); i++) {
            g_autoptr(Answer) answer = curl(server, paths[i], NULL);
            assert_status(answer, 403);
        }
        g_autoptr(Answer) tag = post(server, "/api/tag", "{\"shots\":\"1\",\"place\":\"rear\"}");
        g_autoptr(Answer) stop = post(server, "/api/stop", "{}");
        assert_status(tag, 403);
        assert_status(stop, 403);
        g_clear_pointer(&server->cookie, g_free);
    }
    server->cookie = g_strndup(right, (gsize)(name_end - right) + 10); /* the beginning of the right one */
    g_autoptr(Answer) cut = curl(server, "/api/claim", NULL);
    assert_status(cut, 403);
    g_free(server->cookie);
    server->cookie = g_steal_pointer(&right);
    assert_int_equal(history_length_now(state), 1);
}

/* RFC 9110, 15.5.6: who is told that a method is none must be told which are. */
static void another_method_is_refused_with_the_right_ones(void **state)
{
    Server *server = server_of(state);
    g_autoptr(Answer) posted = post(server, "/api/claim", "{}"), got = curl(server, "/api/tag", NULL);
    assert_status(posted, 405);
    assert_status(got, 405);
    g_autofree char *reads = header_of(posted, "Allow"), *writes = header_of(got, "Allow");
    assert_string_equal(reads, "GET, HEAD");
    assert_string_equal(writes, "POST");
}

static void a_name_that_was_pointed_at_this_machine_is_refused(void **state) /* DNS rebinding */
{
    Server *server = server_of(state);
    g_autofree char *port = g_strdup_printf("%d", server->port);
    const char *hosts[] = { "attacker.example", "127.0.0.1", "localhost:%s", "attacker.example:%s", "127.0.0.1.attacker.example:%s", "127.0.0.1:1",
                            "[::1]:%s", "127.0.0.1:%s.", "0x7f000001:%s", "127.1:%s" };
    for (gsize i = 0; i < G_N_ELEMENTS(hosts); i++) {
        g_auto(GStrv) parts = g_strsplit(hosts[i], "%s", -1);
        g_autofree char *host = g_strjoinv(port, parts);
        g_autofree char *option = g_strdup_printf("-H 'Host: %s'", host);
        g_autoptr(Answer) read = curl(server, "/api/claim", option), enter = curl(server, strstr(server->url, "/enter"), option);
        assert_status(read, 403);
        assert_status(enter, 403);
    }
    g_autofree char *two = g_strdup_printf("GET /api/claim HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nHost: attacker.example\r\nCookie: %s\r\n"
                                           "Connection: close\r\n\r\n", server->port, server->cookie);
    g_autofree char *none = g_strdup_printf("GET /api/claim HTTP/1.1\r\nCookie: %s\r\nConnection: close\r\n\r\n", server->cookie);
    g_autoptr(Answer) doubled = talk(server, two), missing = talk(server, none);
    assert_status(doubled, 403);
    assert_status(missing, 400);
}

static void what_another_site_makes_a_browser_send_is_refused(void **state)
{
    static const char *const tells[] = { "Origin: https://attacker.example", "Origin: null",             "Origin: http://localhost:%d",
                                         "Origin: http://127.0.0.1:%d0",     "Origin: https://127.0.0.1:%d", "Sec-Fetch-Site: cross-site",
                                         "Sec-Fetch-Site: same-site",        "Sec-Fetch-Site: none" };
    Server *server = server_of(state);
    for (gsize i = 0; i < G_N_ELEMENTS(tells); i++) {
        g_autofree char *port = g_strdup_printf("%d", server->port);
        g_auto(GStrv) parts = g_strsplit(tells[i], "%d", -1);
        g_autofree char *tell = g_strjoinv(port, parts);
        g_autofree char *option = g_strdup_printf("-H '%s' -H 'Content-Type: application/json' -d '{\"shots\":\"1\",\"place\":\"rear\"}'", tell);
        g_autoptr(Answer) answer = curl(server, "/api/tag", option);
        assert_status(answer, 403);
    }
    g_autoptr(Answer) picture = curl(server, "/api/shots", "-H 'Sec-Fetch-Site: same-site'"); /* another port of this machine */
    assert_status(picture, 403);
    assert_int_equal(history_length_now(state), 1);
    g_autofree char *ours = g_strdup_printf("-H 'Origin: http://127.0.0.1:%d' -H 'Sec-Fetch-Site: same-origin' -H 'Content-Type: application/json' "
                                            "-d '{\"shots\":\"1\",\"place\":\"rear\"}'", server->port);
    g_autoptr(Answer) own = curl(server, "/api/tag", ours);
    assert_status(own, 200);
}

static void what_a_form_can_send_is_refused(void **state)
{
    static const char *const types[] = { "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "text/plain", "TEXT/PLAIN; charset=x", "" };
    Server *server = server_of(state);
    for (gsize i = 0; i < G_N_ELEMENTS(types); i++) {
        g_autofree char *option = g_strdup_printf("-H 'Content-Type: %s' -d '{\"shots\":\"1\",\"place\":\"rear\"}'", types[i]);
        g_autoptr(Answer) tag = curl(server, "/api/tag", option), upload = curl(server, "/api/upload?set=a&name=a.jpg", option);
        assert_status(tag, 415);
        assert_status(upload, 415);
    }
    assert_int_equal(history_length_now(state), 1);
}

static void only_the_loopback_address_listens(void **state)
{
    Server *server = server_of(state);
    g_autofree char *script = g_strdup_printf("cat /proc/net/tcp /proc/net/tcp6 | grep -i ':%04X 0\\+:0000 0A'", server->port); /* 0A: listening */
    g_autofree char *out = NULL;
    assert_int_equal(sh(((Table *)*state)->folder, &out, NULL, script), 0);
    assert_has(out, " 0100007F:"); /* 127.0.0.1, as the kernel writes it on this byte order */
    assert_ptr_equal(strchr(out, '\n'), out + strlen(out) - 1);
}

/* --- bounds --- */

static void a_body_without_a_length_or_beyond_the_bound_is_refused_before_it_is_taken(void **state)
{
    Server *server = server_of(state);
    const struct { const char *headers; int status; } cases[] = {
        { "Transfer-Encoding: chunked", 411 },
        { "Transfer-Encoding: chunked\r\nContent-Length: 2", 411 },
        { "Content-Length: 4194305", 413 },
        { "Content-Length: 99999999999999999", 413 },
        { "Content-Length: 2\r\nContent-Length: 3", 411 },
        { "X-None: 1", 411 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) { /* not one byte of the body is sent: the answer does not wait for it */
        g_autofree char *head = g_strdup_printf("POST /api/tag HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\nContent-Type: application/json\r\n%s\r\n\r\n",
                                                server->port, server->cookie, cases[i].headers);
        g_autoptr(Answer) answer = talk(server, head);
        assert_status(answer, cases[i].status);
    }
    g_autofree char *photo = g_strdup_printf("POST /api/upload?set=a&name=a.jpg HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\n"
                                             "Content-Type: image/jpeg\r\nContent-Length: 268435457\r\n\r\n", server->port, server->cookie);
    g_autoptr(Answer) too_large = talk(server, photo);
    assert_status(too_large, 413);
    g_autoptr(Answer) get = curl(server, "/api/claim", "-X GET -d '{}'");
    assert_status(get, 413);
}

static void a_head_without_end_is_refused(void **state)
{
    Server *server = server_of(state);
    g_autofree char *filler = g_strnfill(100000, 'a');
    g_autofree char *head = g_strdup_printf("GET / HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nX-Long: %s\r\n\r\n", server->port, filler);
    g_autoptr(Answer) answer = talk(server, head);
    if (answer->status != 0) /* or it was cut */
        assert_status(answer, 431);
    g_autoptr(Answer) after = curl(server, "/api/claim", NULL);
    assert_status(after, 200);
}

static void slow_clients_hold_up_nobody_and_are_shut_in_the_end(void **state)
{
    enum { SLOW = 20 };
    Server *server = server_of(state);
    GSocketConnection *lines[SLOW];
    for (int i = 0; i < SLOW; i++) {
        lines[i] = dial(server);
        GOutputStream *out = g_io_stream_get_output_stream(G_IO_STREAM(lines[i]));
        assert_true(g_output_stream_write_all(out, "GET /api/cl", 11, NULL, NULL, NULL));
    }
    g_autoptr(Answer) other = curl(server, "/api/claim", "--max-time 5");
    assert_status(other, 200);
    /* It keeps sending, a byte whenever half a second brought nothing; it is shut all the same. */
    GSocket *socket = g_socket_connection_get_socket(lines[0]);
    gboolean shut = FALSE;
    for (int i = 0; i < 60 && !shut; i++) {
        char c = 'a';
        shut = g_socket_condition_timed_wait(socket, G_IO_IN | G_IO_HUP, G_USEC_PER_SEC / 2, NULL, NULL) ||
               g_socket_send(socket, &c, 1, NULL, NULL) != 1;
    }
    assert_true(shut);
    for (int i = 0; i < SLOW; i++)
        g_object_unref(lines[i]);
}

static void bodies_that_are_no_request_are_refused_and_change_nothing(void **state)
{
    static const struct { const char *path, *body; int status; const char *part; } cases[] = {
        { "/api/tag", "", 400, "no JSON object" },
        { "/api/tag", "[]", 400, "no JSON object" },
        { "/api/tag", "{\"shots\":\"1\",\"shots\":\"2\"}", 400, "duplicate" },
        { "/api/tag", "{\"shots\":\"1\",\"plaace\":\"rear\"}", 400, "'plaace' is nothing" },
        { "/api/tag", "{\"shots\":\"1\",\"place\":5}", 400, "'place' must be a text" },
        { "/api/tag", "{\"shots\":\"1\",\"left_out\":\"yes\"}", 400, "true or false" },
        { "/api/tag", "{\"place\":\"rear\"}", 400, "'shots' must be" },
        { "/api/tag", "{\"shots\":[1,\"2\"],\"place\":\"rear\"}", 400, "'shots' must be" },
        { "/api/tag", "{\"shots\":[],\"place\":\"rear\"}", 400, "'shots' must be" },
        { "/api/tag", "{\"shots\":\"1\",\"before\":2,\"after\":3}", 400, "only one of" },
        { "/api/tag", "{\"shots\":\"1\",\"place\":\"moon\"}", 422, "'moon' is no place" },
        { "/api/tag", "{\"shots\":\"77\",\"place\":\"rear\"}", 422, "there is no shot 77" },
        { "/api/tag", "{\"shots\":\"1\",\"place\":\"rear\",\"was\":[]}", 422, "'was'" },
        { "/api/tag", "{\"shots\":\"1\",\"place\":\"rear\",\"was\":{\"x\":{}}}", 422, "'was'" },
        { "/api/tag", "{\"shots\":\"1\",\"place\":\"rear\",\"was\":{\"1\":{\"plaze\":1}}}", 422, "'was'" },
        { "/api/edit", "{\"loss_date\":\"yesterday\"}", 422, "is no date" },
        { "/api/structure", "{\"kind\":\"garage\"}", 400, "'name' or 'drop'" },
        { "/api/structure", "{\"name\":\"a\",\"drop\":\"a\"}", 400, "'name' or 'drop'" },
        { "/api/waive", "{\"requirement\":\"address\"}", 400, "'why'" },
        { "/api/waive", "{\"requirement\":\"address\",\"why\":\"\"}", 422, "needs a reason" },
        { "/api/redo", "{}", 422, "nothing to redo" },
        { "/api/import", "{}", 400, "either 'set'" },
        { "/api/import", "{\"set\":\"nosuch\"}", 400, "either 'set'" },
        { "/api/import", "{\"paths\":[\"card\"]}", 400, "whole paths" },
        { "/api/report", "{\"picture_px\":100000}", 400, "200 to 8000" },
        { "/api/report", "{\"per_page\":5}", 400, "1, 2, 3, 4 or 6" },
        { "/api/report", "{\"budget_bytes\":-1}", 400, "'budget_bytes'" },
        { "/api/report", "{\"reader\":\"everybody\"}", 422, "'everybody' is no reader" },
        { "/api/report", "{\"format\":\"paper\"}", 422, "'paper' is no format" },
        { "/api/report", "{\"format\":\"PDF\",\"paper\":\"vellum\"}", 422, "'vellum' is no paper" },
        { "/api/report", "{\"locale\":\"tlh\"}", 422, "there is ISO, en-US" },
        { "/api/report", "{\"what\":\"brief\",\"format\":\"PDF\"}", 400, "a page only" },
        { "/api/nothing", "{}", 404, "nothing at this address" },
        { "/api/claim", "{}", 405, "method" },
    };
    Server *server = server_of(state);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(Answer) answer = post(server, cases[i].path, cases[i].body);
        if (answer->status != cases[i].status)
            print_error("%s %s\n", cases[i].path, cases[i].body);
        assert_status(answer, cases[i].status);
        g_autoptr(json_t) json = json_of(answer);
        assert_has(text_in(json_object_get(json, "error"), "message"), cases[i].part);
    }
    g_autoptr(GString) deep = g_string_new("{\"was\":");
    for (int i = 0; i < 100000; i++)
        g_string_append_c(deep, '[');
    g_autoptr(Answer) nested = post(server, "/api/tag", deep->str);
    assert_status(nested, 400);
    assert_int_equal(history_length_now(state), 1);
}

/* --- what goes out --- */

#define MARKUP "</script><img src=x onerror=alert(1)>&quot;\" \xe2\x80\xae\xe2\x80\xa8"

static void markup_in_captions_and_names_stays_text_in_json(void **state)
{
    Server *server = server_of(state);
    g_autoptr(json_t) body = json_pack("{ssssss}", "shots", "1", "caption", MARKUP, "who", "<b>Dana</b>");
    g_autofree char *text = json_dumps(body, 0);
    g_autoptr(Answer) tagged = post(server, "/api/tag", text);
    assert_status(tagged, 200);
    g_autoptr(Answer) shots = curl(server, "/api/shots", NULL);
    g_autofree char *type = header_of(shots, "Content-Type"), *sniff = header_of(shots, "X-Content-Type-Options");
    assert_string_equal(type, "application/json; charset=utf-8");
    assert_string_equal(sniff, "nosniff");
    g_autoptr(json_t) first = shot(state, 1);
    assert_has(text_in(first, "caption_shown"), "</script><img src=x onerror=alert(1)>&quot;\"");
    g_autoptr(json_t) entries = history(state);
    assert_string_equal(text_in(json_array_get(entries, 0), "who"), "<b>Dana</b>");
    g_autoptr(Answer) lost = curl(server, "/picture/%3Cscript%3E/preview", NULL), odd = post(server, "/api/tag", "{\"<img src=x>\":1}");
    g_autofree char *lost_type = header_of(lost, "Content-Type"), *odd_type = header_of(odd, "Content-Type");
    assert_string_equal(lost_type, "application/json; charset=utf-8");
    assert_string_equal(odd_type, "application/json; charset=utf-8");
}

static void every_answer_carries_the_guards(void **state)
{
    static const char *const paths[] = { "/", "/api/claim", "/api/shots", "/nothing", "/enter", "/api/history/77", "/picture/x/preview" };
    Server *server = server_of(state);
    for (gsize i = 0; i < G_N_ELEMENTS(paths); i++) {
        g_autoptr(Answer) answer = curl(server, paths[i], NULL);
        g_autofree char *policy = header_of(answer, "Content-Security-Policy"), *referrer = header_of(answer, "Referrer-Policy");
        g_autofree char *resource = header_of(answer, "Cross-Origin-Resource-Policy"), *cache = header_of(answer, "Cache-Control");
        g_autofree char *allow = header_of(answer, "Access-Control-Allow-Origin");
        assert_has(policy, "default-src 'none'");
        assert_has(policy, "script-src 'self';");
        assert_has(policy, "frame-ancestors 'none'");
        assert_has_not(policy, "unsafe");
        assert_string_equal(referrer, "no-referrer");
        assert_string_equal(resource, "same-origin");
        assert_string_equal(cache, strcmp(paths[i], "/") == 0 && answer->status == 200 ? "no-cache" : "no-store");
        assert_null(allow);
    }
}

static void no_path_leads_out_of_what_is_shown(void **state)
{
    static const char *const paths[] = {
        "/ui/../../../etc/passwd", "/ui/%2e%2e/%2e%2e/log/schema.sql", "/ui/..%2flog%2fschema.sql", "/ui/", "/ui/index.html/", "//etc/passwd",
        "/report/../claim.db", "/report/..%2fclaim.db", "/report/%2e%2e%2fclaim.db", "/report/..%5cclaim.db", "/report/.", "/report/..",
        "/report/a%00.html", "/report//etc/passwd", "/picture/../claim.db/original", "/picture/..%2f..%2fclaim.db/original",
        "/picture/IMG_0001.JPG/original", "/picture//preview", "/picture/%s/", "/picture/%s/..%2foriginal", "/picture/%s/preview/..", "/picture/%s",
        "/picture/%s/original%00x", "/api/claim/", "/api", "/api/history/0", "/api/history/-1", "/api/history/1x",
        "/api/history/4711",
    };
    Server *server = server_of(state);
    g_autoptr(json_t) first = shot(state, 1);
    for (gsize i = 0; i < G_N_ELEMENTS(paths); i++) {
        g_auto(GStrv) parts = g_strsplit(paths[i], "%s", -1);
        g_autofree char *path = g_strjoinv(text_in(first, "sha256"), parts);
        g_autoptr(Answer) answer = curl(server, path, NULL);
        /* %00 ends the string before the server sees it: then it is the path without its tail, nothing worse. */
        if (strstr(path, "original%00") != NULL)
            continue;
        if (answer->status != 404)
            print_error("%s\n", path);
        assert_status(answer, 404);
    }
}

static void pictures_are_kept_for_ever_and_originals_are_the_bytes_that_came(void **state)
{
    Server *server = server_of(state);
    g_autoptr(json_t) first = shot(state, 1);
    g_autofree char *original = g_strdup_printf("/picture/%s/original", text_in(first, "sha256"));
    g_autofree char *preview = g_strdup_printf("/picture/%s/preview", text_in(first, "sha256"));
    g_autofree char *card = g_build_filename(((Table *)*state)->folder, "card", "IMG_0001.JPG", NULL);
    g_autofree char *bytes = NULL;
    gsize n;
    assert_true(g_file_get_contents(card, &bytes, &n, NULL));
    g_autoptr(Answer) whole = curl(server, original, NULL), small = curl(server, preview, NULL);
    assert_status(whole, 200);
    assert_status(small, 200);
    assert_int_equal(whole->n, n);
    assert_memory_equal(whole->body, bytes, n);
    assert_memory_equal(small->body, "\xff\xd8\xff", 3); /* a JPEG begins so: ITU-T T.81 */
    g_autofree char *cache = header_of(small, "Cache-Control"), *tag = header_of(small, "ETag"), *type = header_of(small, "Content-Type");
    g_autofree char *other = header_of(whole, "ETag");
    assert_string_equal(cache, "private, max-age=31536000, immutable");
    assert_string_equal(type, "image/jpeg");
    assert_string_not_equal(tag, other);
    g_autofree char *known = g_strdup_printf("-H 'If-None-Match: \"x\", %s'", tag), *unknown = g_strdup_printf("-H 'If-None-Match: %s'", other);
    g_autoptr(Answer) same = curl(server, preview, known), anew = curl(server, preview, unknown);
    assert_status(same, 304);
    assert_int_equal(same->n, 0);
    assert_status(anew, 200);
}

/* Media types as IANA registers them. */
static void an_original_is_handed_out_as_what_it_is(void **state)
{
    Table *table = *state;
    if (!have_program("convert")) {
        skip();
        return;
    }
    assert_int_equal(sh(table->folder, NULL, NULL, "convert -size 60x40 gradient:red-blue sketch.png && gablebook import c sketch.png"), 0);
    static const struct { gint64 number; const char *type; } wanted[] = { { 1, "image/jpeg" }, { 5, "image/png" } };
    for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++) {
        g_autoptr(json_t) one = shot(state, wanted[i].number);
        g_autofree char *path = g_strdup_printf("/picture/%s/original", text_in(one, "sha256"));
        g_autoptr(Answer) answer = curl(table->server, path, NULL);
        assert_status(answer, 200);
        g_autofree char *type = header_of(answer, "Content-Type");
        assert_string_equal(type, wanted[i].type);
    }
}

static void a_picture_whose_original_is_gone_is_a_sentence_and_not_another_picture(void **state)
{
    Server *server = server_of(state);
    g_autoptr(json_t) first = shot(state, 1);
    assert_int_equal(sh(((Table *)*state)->folder, NULL, NULL, "rm -rf c/originals/* c/cache/*"), 0);
    static const char *const sizes[] = { "preview", "screen", "original" };
    for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++) {
        g_autofree char *path = g_strdup_printf("/picture/%s/%s", text_in(first, "sha256"), sizes[i]);
        g_autoptr(Answer) answer = curl(server, path, NULL);
        assert_status(answer, 404);
        g_autofree char *cache = header_of(answer, "Cache-Control");
        assert_string_equal(cache, "no-store");
    }
}

/* --- changes --- */

static void a_tag_is_seen_with_its_caption_and_counts_as_a_change_of_the_one_who_made_it(void **state)
{
    Server *server = server_of(state);
    g_autoptr(Answer) answer = post(server, "/api/tag", "{\"shots\":[1,2],\"place\":\"rear slope\",\"subject\":\"test-square\",\"value\":\"9\","
                                                        "\"who\":\"Dana Reyes\"}");
    assert_status(answer, 200);
    g_autoptr(json_t) done = json_of(answer), first = shot(state, 1), claim = get_json(server, "/api/claim"), entries = history(state);
    assert_string_equal(text_in(done, "summary"), "shots 1, 2: place rear slope; subject Test square; value 9");
    assert_int_equal(whole_in(done, "version"), whole_in(claim, "version"));
    assert_string_equal(text_in(first, "subject"), "test-square");
    assert_has(text_in(first, "caption_shown"), "Rear slope");
    assert_string_equal(text_in(json_array_get(entries, 0), "who"), "Dana Reyes");
    gsize i;
    json_t *place;
    json_array_foreach(json_object_get(claim, "places"), i, place)
        assert_int_equal(whole_in(place, "shots"), whole_in(place, "id") == whole_in(first, "place") ? 2 : 0);
    g_autoptr(Answer) next = post(server, "/api/tag", "{\"shots\":\"1\",\"value\":null}");
    g_autoptr(json_t) later = history(state);
    assert_status(next, 200);
    assert_string_not_equal(text_in(json_array_get(later, 0), "who"), "Dana Reyes"); /* a lent handle does not keep the name */
}

static void an_edit_made_on_stale_data_is_refused_with_both_versions_and_writes_nothing(void **state)
{
    Server *server = server_of(state);
    g_autoptr(Answer) one = post(server, "/api/tag", "{\"shots\":\"1\",\"place\":\"rear\",\"caption\":\"by A\",\"was\":{\"1\":{\"place\":null,\"caption\":null}}}");
    assert_status(one, 200);
    g_autoptr(json_t) seen = shot(state, 1);
    g_autoptr(Answer) two = post(server, "/api/tag", "{\"shots\":\"1-2\",\"place\":\"left\",\"was\":{\"1\":{\"place\":null},\"2\":{}}}");
    assert_status(two, 409);
    g_autoptr(json_t) refused = json_of(two);
    const json_t *conflict = json_array_get(json_object_get(refused, "conflicts"), 0);
    assert_string_equal(code_of(refused), "stale");
    assert_int_equal(json_array_size(json_object_get(refused, "conflicts")), 1);
    assert_int_equal(whole_in(conflict, "shot"), 1);
    assert_string_equal(text_in(conflict, "field"), "place");
    assert_null(json_object_get(conflict, "was"));
    assert_int_equal(whole_in(conflict, "now"), whole_in(seen, "place"));
    assert_int_equal(history_length_now(state), 2);
    g_autofree char *anew = g_strdup_printf("{\"shots\":\"1-2\",\"place\":\"left\",\"was\":{\"1\":{\"place\":%d},\"2\":{}}}", (int)whole_in(seen, "place"));
    g_autoptr(Answer) three = post(server, "/api/tag", anew);
    assert_status(three, 200);
    g_autoptr(json_t) now = shot(state, 1);
    assert_string_equal(text_in(now, "caption"), "by A");
}

static void two_people_may_change_different_things_of_one_shot(void **state)
{
    Server *server = server_of(state);
    g_autoptr(Answer) a = post(server, "/api/tag", "{\"shots\":\"1\",\"place\":\"rear\",\"was\":{\"1\":{\"place\":null}}}");
    g_autoptr(Answer) b = post(server, "/api/tag", "{\"shots\":\"1\",\"caption\":\"mine\",\"was\":{\"1\":{\"caption\":null}}}");
    assert_status(a, 200);
    assert_status(b, 200);
    g_autoptr(json_t) first = shot(state, 1);
    assert_string_equal(text_in(first, "caption"), "mine");
    assert_true(whole_in(first, "place") > 0);
}

static void facts_structures_waivers_orders_and_undo_are_held_against_what_was_seen(void **state)
{
    Server *server = server_of(state);
    static const struct { const char *path, *body; int status; } steps[] = {
        { "/api/edit", "{\"insured\":\"A\",\"was\":{\"insured\":\"Rosa Test\"}}", 200 },
        { "/api/edit", "{\"insured\":\"B\",\"was\":{\"insured\":\"Rosa Test\"}}", 409 },
        { "/api/edit", "{\"front_azimuth\":\"SSW\",\"was\":{\"front_azimuth_deg\":205}}", 200 }, /* 205, as a page says 205.0 */
        { "/api/edit", "{\"address\":\"1 Elm St\",\"was\":{\"address\":null}}", 200 },
        { "/api/structure", "{\"name\":\"shed\",\"elevations\":\"all\",\"was\":{}}", 200 },
        { "/api/structure", "{\"name\":\"shed\",\"elevations\":\"front\",\"was\":{}}", 409 },
        { "/api/structure", "{\"name\":\"shed\",\"elevations\":\"front\",\"was\":{\"elevations\":\"front, right, rear, left\"}}", 200 },
        { "/api/structure", "{\"drop\":\"shed\",\"was\":{\"elevations\":\"none\"}}", 409 },
        { "/api/waive", "{\"requirement\":\"address\",\"why\":\"no number on the house\",\"was\":{\"why\":null}}", 200 },
        { "/api/waive", "{\"requirement\":\"address\",\"why\":\"other\",\"was\":{\"why\":null}}", 409 },
        { "/api/waive", "{\"requirement\":\"address\",\"why\":null,\"was\":{\"why\":\"no number on the house\"}}", 200 },
        { "/api/tag", "{\"shots\":\"1-4\",\"place\":\"rear\"}", 200 },
        { "/api/tag", "{\"shots\":\"4\",\"before\":1,\"was_order\":[1,2,3,4]}", 200 },
        { "/api/tag", "{\"shots\":\"3\",\"before\":1,\"was_order\":[1,2,3,4]}", 409 },
        { "/api/tag", "{\"shots\":\"3\",\"before\":1,\"was_order\":[4,1,2,3]}", 200 },
        { "/api/clock", "{\"camera\":\"unknown\",\"said\":\"67 min slow\",\"was\":{\"said\":null}}", 200 },
        { "/api/clock", "{\"camera\":\"unknown\",\"said\":\"2 min slow\",\"was\":{\"said\":null}}", 409 },
        { "/api/clock", "{\"camera\":\"unknown\",\"said\":null,\"was\":{\"said\":\"67 min slow\"}}", 200 },
        { "/api/clock", "{\"shot\":1,\"other\":2,\"was\":{\"other\":3}}", 409 },
        { "/api/undo", "{\"was\":{\"entry\":2}}", 409 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(steps); i++) {
        g_autoptr(Answer) answer = post(server, steps[i].path, steps[i].body);
        if (answer->status != steps[i].status)
            print_error("%s %s\n", steps[i].path, steps[i].body);
        assert_status(answer, steps[i].status);
    }
    g_autoptr(json_t) claim = get_json(server, "/api/claim");
    g_autofree char *undo = g_strdup_printf("{\"was\":{\"entry\":%d}}", (int)whole_in(json_object_get(claim, "undo"), "entry"));
    g_autoptr(Answer) undone = post(server, "/api/undo", undo);
    assert_status(undone, 200);
    g_autoptr(json_t) after = get_json(server, "/api/claim");
    g_autofree char *redo = g_strdup_printf("{\"was\":{\"entry\":%d}}", (int)whole_in(json_object_get(after, "redo"), "entry"));
    g_autoptr(Answer) redone = post(server, "/api/redo", redo), twice = post(server, "/api/redo", redo);
    assert_status(redone, 200);
    assert_status(twice, 409);
}

static void marks_are_drawn_changed_measured_and_held_against_what_was_seen(void **state)
{
    static const struct { const char *body; int status; } steps[] = {
        { "{\"shot\":1,\"kind\":\"scale\",\"points\":[[0.1,0.5],[0.6,0.5]],\"length\":\"10 ft\"}", 200 },
        { "{\"shot\":1,\"kind\":\"line\",\"points\":[[0.1,0.9],[0.35,0.9]],\"text\":\"<i>eave</i>\"}", 200 },
        { "{\"mark\":1,\"length\":\"12 ft\",\"was\":{\"kind\":\"scale\",\"points\":[[0.1,0.5],[0.6,0.5]],\"text\":null,\"length\":\"10 ft\"}}", 200 },
        { "{\"mark\":1,\"length\":\"14 ft\",\"was\":{\"length\":\"10 ft\"}}", 409 },
        { "{\"mark\":1,\"points\":[[0,0],[1,1]],\"was\":{\"points\":[[0.1,0.5],[0.6,0.51]]}}", 409 },
        { "{\"shot\":1,\"kind\":\"arrow\",\"points\":[[0.1,0.5]]}", 422 },
        { "{\"shot\":1,\"kind\":\"arrow\",\"points\":[[0.1],[0.2]]}", 400 },
        { "{\"shot\":1,\"kind\":\"arrow\",\"points\":\"0.1,0.2\"}", 400 },
        { "{\"kind\":\"arrow\",\"points\":[[0.1,0.2],[0.3,0.4]]}", 400 },
        { "{\"shot\":99,\"kind\":\"arrow\",\"points\":[[0.1,0.2],[0.3,0.4]]}", 422 },
        { "{\"shot\":2,\"kind\":\"text\",\"points\":[[0.1,0.2]],\"text\":\"a\"}", 200 },
        { "{\"mark\":3,\"drop\":true}", 200 },
        { "{\"mark\":3,\"drop\":true,\"was\":{\"text\":\"a\"}}", 409 },
    };
    Server *server = server_of(state);
    for (gsize i = 0; i < G_N_ELEMENTS(steps); i++) {
        g_autoptr(Answer) answer = post(server, "/api/mark", steps[i].body);
        if (answer->status != steps[i].status)
            print_error("%s\n", steps[i].body);
        assert_status(answer, steps[i].status);
        g_autoptr(json_t) json = json_of(answer);
        if (i == 1)
            assert_int_equal(whole_in(json, "mark"), 2);
    }
    g_autoptr(json_t) first = shot(state, 1), second = shot(state, 2);
    const json_t *line = json_array_get(json_object_get(first, "marks"), 1);
    assert_near(json_number_value(json_object_get(line, "measured_in")), 72, 0.001); /* half of 12 ft */
    assert_string_equal(text_in(line, "words"), "line, 72.0 in against 12 ft: <i>eave</i>");
    assert_has(text_in(line, "caution"), "only in the plane of the scale");
    assert_null(json_object_get(second, "marks"));
}

static void what_is_recorded_goes_in_and_comes_out_and_is_held_against_what_was_seen(void **state)
{
    static const struct { const char *path, *body; int status; } steps[] = {
        { "/api/tag", "{\"shots\":\"1-2\",\"place\":\"rear slope\",\"subject\":\"hail hit\"}", 200 },
        { "/api/fact", "{\"place\":\"roof\",\"kind\":\"condition\",\"value\":\"fair\",\"note\":\"<b>moss</b>\",\"was\":{}}", 200 },
        { "/api/fact", "{\"place\":\"roof\",\"kind\":\"condition\",\"value\":\"good\",\"was\":{}}", 409 },
        { "/api/fact", "{\"place\":\"roof\",\"kind\":\"condition\",\"value\":\"good\",\"shots\":[1],\"was\":{\"value\":\"fair\",\"note\":\"<b>moss</b>\",\"shots\":[]}}", 200 },
        { "/api/fact", "{\"place\":\"roof\",\"kind\":\"condition\",\"drop\":true,\"was\":{\"value\":\"fair\"}}", 409 },
        { "/api/fact", "{\"kind\":\"condition\",\"value\":\"good\"}", 400 },
        { "/api/fact", "{\"place\":\"roof\",\"kind\":\"condition\",\"value\":\"splendid\"}", 422 },
        { "/api/fact", "{\"place\":\"roof\",\"kind\":\"condition\",\"value\":\"good\",\"shots\":{}}", 400 },
        { "/api/square", "{\"place\":\"rear slope\",\"hits\":\"9\",\"shots\":\"1\",\"was\":{}}", 200 },
        { "/api/square", "{\"place\":\"rear slope\",\"hits\":\"8\",\"was\":{\"hits\":7}}", 409 },
        { "/api/square", "{\"place\":\"rear slope\",\"hits\":\"8\",\"was\":{\"hits\":9}}", 200 },
        { "/api/square", "{\"threshold\":\"8\",\"source\":\"the carrier's guide\"}", 200 },
        { "/api/square", "{\"place\":\"rear slope\",\"threshold\":\"8\"}", 400 },
        { "/api/note", "{\"shot\":2,\"text\":\"wet <i>moss</i>\",\"in_report\":true}", 200 },
        { "/api/note", "{\"note\":1,\"text\":\"dry\",\"was\":{\"text\":\"wet\"}}", 409 },
        { "/api/note", "{\"note\":1,\"text\":\"dry\",\"was\":{\"text\":\"wet <i>moss</i>\",\"in_report\":true}}", 200 },
        { "/api/note", "{\"note\":1,\"shot\":3}", 400 },
        { "/api/note", "{\"place\":\"rear\"}", 400 },
        { "/api/note", "{\"note\":7,\"drop\":true,\"was\":{\"text\":\"x\"}}", 409 },
        { "/api/finding", "{\"shots\":[1,2],\"component\":\"shingles\",\"cause\":\"hail\",\"action\":\"remove and replace\",\"quantity\":\"13 SQ\"}", 200 },
        { "/api/finding", "{\"finding\":1,\"quantity\":\"14 SQ\",\"fewer_shots\":[2],\"was\":{\"quantity\":\"13 SQ\",\"shots\":[1,2]}}", 200 },
        { "/api/finding", "{\"finding\":1,\"quantity\":\"15 SQ\",\"was\":{\"quantity\":\"13 SQ\",\"shots\":[1,2]}}", 409 },
        { "/api/finding", "{\"drop\":true}", 400 },
        { "/api/roof", "{\"where\":\"rear slope\",\"shape\":\"rectangle\",\"given\":{\"eave\":\"40 ft\",\"up\":\"20 ft\"}}", 200 },
        { "/api/roof", "{\"entry\":1,\"given\":{\"eave\":\"41 ft\"},\"was\":{\"given\":{\"eave\":\"40 ft\",\"up\":\"20 ft\"}}}", 200 },
        { "/api/roof", "{\"entry\":1,\"given\":{\"eave\":\"42 ft\"},\"was\":{\"given\":{\"eave\":\"40 ft\",\"up\":\"20 ft\"}}}", 409 },
        { "/api/roof", "{\"entry\":1,\"given\":{\"height\":\"42 ft\"}}", 400 },
        { "/api/roof", "{\"waste\":\"15%\"}", 200 },
        { "/api/roof", "{\"waste\":null}", 200 },
        { "/api/roof", "{\"shape\":\"hip\"}", 400 },
        { "/api/roof", "{\"where\":\"front slope\"}", 400 },
        { "/api/fact", "{\"place\":\"roof\",\"kind\":\"pitch\",\"value\":\"6/12\"}", 200 },
        { "/api/fact", "{\"place\":\"dwelling\",\"kind\":\"pitch\",\"value\":\"7/12\",\"was\":{}}", 409 }, /* it is the roof's */
        { "/api/fact", "{\"place\":\"roof\",\"kind\":\"pitch\",\"value\":\"7/12\",\"was\":[]}", 422 },
    };
    Server *server = server_of(state);
    for (gsize i = 0; i < G_N_ELEMENTS(steps); i++) {
        g_autoptr(Answer) answer = post(server, steps[i].path, steps[i].body);
        if (answer->status != steps[i].status)
            print_error("%s %s\n", steps[i].path, steps[i].body);
        assert_status(answer, steps[i].status);
    }
    g_autoptr(json_t) all = get_json(server, "/api/recorded");
    const json_t *fact = json_array_get(json_object_get(all, "facts"), 0), *square = json_array_get(json_object_get(all, "squares"), 0);
    const json_t *note = json_array_get(json_object_get(all, "notes"), 0), *finding = json_array_get(json_object_get(all, "findings"), 0);
    const json_t *roof = json_object_get(all, "roof");
    assert_string_equal(text_in(fact, "value"), "good");
    assert_string_equal(text_in(fact, "note"), "<b>moss</b>");
    assert_int_equal(json_integer_value(json_array_get(json_object_get(fact, "shots"), 0)), 1);
    assert_int_equal(whole_in(square, "hits"), 8);
    assert_string_equal(text_in(json_object_get(all, "threshold"), "source"), "the carrier's guide");
    assert_string_equal(text_in(note, "text"), "dry");
    assert_int_equal(whole_in(note, "shot"), 2);
    assert_string_equal(text_in(finding, "component_name"), "Shingles");
    assert_has(text_in(finding, "quantity_shown"), "14 SQ");
    assert_int_equal(json_array_size(json_object_get(finding, "shots")), 1);
    assert_int_equal(json_array_size(json_object_get(roof, "entries")), 1);
    assert_true(json_array_size(json_object_get(json_object_get(all, "words"), "components")) > 5);
}

/* The n-th conflict of an answer, which must be 409. BORROWED from json. */
static const json_t *conflict_of(const Answer *answer, json_t **json, gsize n)
{
    assert_status(answer, 409);
    *json = json_of(answer);
    assert_string_equal(code_of(*json), "stale");
    return json_array_get(json_object_get(*json, "conflicts"), n);
}

static void what_is_set_for_all_roofs_and_squares_is_held_against_what_was_seen(void **state)
{
    Server *server = server_of(state);
    static const char *const fine[][2] = {
        { "/api/roof", "{\"waste\":\"15%\",\"was\":{\"waste_percent\":null}}" },
        { "/api/roof", "{\"steep\":\"7/12, 10/12\",\"was\":{\"steep_pitches\":[\"over 4/12\"]}}" }, /* the usual one; the waste is no matter */
        { "/api/square", "{\"threshold\":\"8\",\"source\":\"the carrier's guide\",\"was\":{}}" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(fine); i++) {
        g_autoptr(Answer) answer = post(server, fine[i][0], fine[i][1]);
        assert_status(answer, 200);
    }
    gsize entries = history_length_now(state);
    g_autoptr(json_t) waste = NULL, steep = NULL, came = NULL, other = NULL;
    g_autoptr(Answer)
        late_waste = post(server, "/api/roof", "{\"waste\":\"10\",\"was\":{\"waste_percent\":null}}"),
        late_steep = post(server, "/api/roof", "{\"steep\":null,\"was\":{\"steep_pitches\":[\"over 4/12\"]}}"),
        late_threshold = post(server, "/api/square", "{\"threshold\":\"9\",\"source\":\"me\",\"was\":{}}"),
        other_threshold = post(server, "/api/square", "{\"threshold\":null,\"was\":{\"hits\":10,\"source\":\"the carrier's guide\"}}");
    const json_t *conflict = conflict_of(late_waste, &waste, 0);
    assert_string_equal(text_in(conflict, "field"), "waste_percent");
    assert_null(json_object_get(conflict, "was"));
    assert_near(json_number_value(json_object_get(conflict, "now")), 15, 0);
    assert_string_equal(text_in(json_object_get(waste, "error"), "message"), "the roof's settings: waste percent was changed meanwhile; nothing was changed");
    conflict = conflict_of(late_steep, &steep, 0);
    assert_int_equal(json_array_size(json_object_get(conflict, "now")), 2);
    conflict = conflict_of(late_threshold, &came, 0);
    assert_string_equal(text_in(conflict, "field"), "threshold");
    assert_int_equal(whole_in(json_object_get(conflict, "now"), "hits"), 8);
    conflict = conflict_of(other_threshold, &other, 0);
    assert_string_equal(text_in(conflict, "field"), "hits");
    assert_int_equal(whole_in(conflict, "was"), 10);
    assert_int_equal(whole_in(conflict, "now"), 8);
    assert_int_equal(history_length_now(state), entries);
    g_autoptr(Answer) overruled = post(server, "/api/square", "{\"threshold\":null,\"was\":{\"hits\":8,\"source\":\"the carrier's guide\"}}"),
                      gone = post(server, "/api/square", "{\"threshold\":null,\"was\":{\"hits\":8}}");
    assert_status(overruled, 200);
    assert_status(gone, 409);
}

static void what_a_slopes_edges_are_is_shown_held_against_what_was_seen_and_taken_back(void **state)
{
    Server *server = server_of(state);
    static const struct { const char *body; int status; } steps[] = {
        { "{\"where\":\"rear slope\",\"shape\":\"rectangle\",\"left_side\":\"valley\",\"section\":\"wing\",\"given\":{\"eave\":\"40 ft\",\"up\":\"20 ft\"}}", 200 },
        { "{\"entry\":1,\"top\":\"wall\",\"was\":{\"left_side\":\"valley\",\"right_side\":\"rake\",\"top\":\"ridge\",\"bottom\":\"eave\",\"cut_out\":false}}", 200 },
        { "{\"entry\":1,\"top\":\"break\",\"was\":{\"top\":\"ridge\"}}", 409 },
        { "{\"entry\":1,\"top\":null,\"was\":{\"left_side\":\"rake\"}}", 409 },
        { "{\"entry\":1,\"cut_out\":true,\"was\":{\"cut_out\":true}}", 409 },
        { "{\"entry\":1,\"cut_out\":true,\"was\":{\"cut_out\":null}}", 200 },
        { "{\"entry\":1,\"given\":{\"up\":\"21 ft\"},\"was\":{\"cut_out\":false}}", 409 },
        { "{\"entry\":1,\"cut_out\":false,\"was\":{\"cut_out\":true}}", 200 },
        { "{\"entry\":1,\"left_side\":\"wall\",\"was\":{\"left_side\":\"rake\"}}", 200 },
        { "{\"entry\":1,\"left_side\":null,\"section\":null,\"was\":{\"left_side\":\"wall\",\"section\":\"wing\"}}", 200 },
        { "{\"entry\":1,\"cut_out\":\"no\"}", 400 },
        { "{\"where\":\"dwelling\",\"shape\":\"hip\",\"ridge_runs\":\"front to rear\",\"given\":{\"width\":\"40 ft\",\"depth\":\"30 ft\",\"pitch\":\"6/12\"}}", 200 },
        { "{\"entry\":2,\"ridge_runs\":null,\"was\":{\"ridge_runs\":\"along the street\"}}", 409 },
        { "{\"entry\":2,\"section\":\"old part\",\"was\":{\"ridge_runs\":\"front to rear\"}}", 200 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(steps); i++) {
        g_autoptr(Answer) answer = post(server, "/api/roof", steps[i].body);
        if (answer->status != steps[i].status)
            print_error("%s\n", steps[i].body);
        assert_status(answer, steps[i].status);
    }
    g_autoptr(json_t) all = get_json(server, "/api/recorded");
    const json_t *entries = json_object_get(json_object_get(all, "roof"), "entries");
    const json_t *slope = json_array_get(entries, 0), *whole = json_array_get(entries, 1);
    static const char *const shown[][2] = { { "left_side", "rake" }, { "right_side", "rake" }, { "top", "ridge" }, { "bottom", "eave" }, { "section", "main" } };
    for (gsize i = 0; i < G_N_ELEMENTS(shown); i++)
        assert_string_equal(text_in(slope, shown[i][0]), shown[i][1]);
    assert_null(json_object_get(slope, "unusual"));
    assert_null(json_object_get(slope, "ridge_runs"));
    assert_string_equal(text_in(whole, "ridge_runs"), "front to rear");
    assert_string_equal(text_in(whole, "unusual"), "ridge runs front to rear");
    assert_null(json_object_get(whole, "top"));
}

/* The command line is the other door to the same library: both must say the same, byte for byte where they print text. */
static void scope_sheet_list_before_leaving_and_knowledge_are_those_of_the_command_line(void **state)
{
    static const struct { const char *path, *command; } pairs[] = {
        { "/api/scope", "gablebook scope c --json" },
        { "/api/leaving", "gablebook check c --leaving --json; true" },
    };
    Table *table = *state;
    assert_int_equal(sh(table->folder, NULL, NULL, "gablebook tag c 1,2 --place 'rear slope' --subject 'hail hit' && "
                        "gablebook roof c dwelling hip --width 40ft --depth 30ft --pitch 6/12 && gablebook fact c roof condition good && "
                        "gablebook finding c add --shots 1 --cause hail --action replace --quantity = --note '=1+1, \"<b>\"'"), 0);
    for (gsize i = 0; i < G_N_ELEMENTS(pairs); i++) {
        g_autofree char *out = NULL;
        assert_int_equal(sh(table->folder, &out, NULL, pairs[i].command), 0);
        g_autoptr(json_t) said = json_loads(out, 0, NULL);
        g_autoptr(json_t) answered = get_json(table->server, pairs[i].path);
        assert_true(json_equal(said, answered));
    }
    g_autofree char *csv = NULL, *known = NULL;
    assert_int_equal(sh(table->folder, &csv, NULL, "gablebook scope c --csv"), 0);
    g_autoptr(Answer) answer = curl(table->server, "/api/scope.csv", NULL);
    g_autofree char *type = header_of(answer, "Content-Type"), *how = header_of(answer, "Content-Disposition");
    assert_status(answer, 200);
    assert_string_equal(answer->body, csv);
    assert_string_equal(type, "text/csv; charset=utf-8");
    assert_has(how, "attachment");
    assert_int_equal(sh(table->folder, &known, NULL, "gablebook fact c --json"), 0);
    g_autoptr(json_t) facts = json_loads(known, 0, NULL);
    g_autoptr(json_t) recorded = get_json(table->server, "/api/recorded");
    assert_true(json_equal(facts, json_object_get(recorded, "known")));
}

static void the_drawing_of_a_roof_is_a_picture_that_can_do_nothing(void **state)
{
    static const char *const none[] = { "/api/roof-plan/2", "/api/roof-plan/-1", "/api/roof-plan/1x", "/api/roof-plan/99999999999999999999" };
    Table *table = *state;
    g_autoptr(Answer) before = curl(table->server, "/api/roof-plan/1", NULL);
    assert_status(before, 404);
    g_autofree char *drawn = NULL;
    assert_int_equal(sh(table->folder, &drawn, NULL, "gablebook roof c dwelling hip --width 40ft --depth 30ft --pitch 6/12 >/dev/null && "
                        "gablebook roof c --plan roof.svg >/dev/null && cat roof.svg"), 0);
    g_autoptr(Answer) answer = curl(table->server, "/api/roof-plan/1?version=2", NULL);
    g_autofree char *type = header_of(answer, "Content-Type"), *policy = header_of(answer, "Content-Security-Policy");
    assert_status(answer, 200);
    assert_string_equal(type, "image/svg+xml; charset=utf-8");
    assert_has(policy, "sandbox; default-src 'none'");
    assert_has_not(policy, "script");
    assert_true(g_str_has_prefix(answer->body, "<svg "));
    const char *slope = strstr(drawn, "1: front slope, 419.3 sq ft");
    assert_non_null(slope);
    assert_has(answer->body, slope); /* from the description on, the command line's drawing */
    for (gsize i = 0; i < G_N_ELEMENTS(none); i++) {
        g_autoptr(Answer) refused = curl(table->server, none[i], NULL);
        assert_status(refused, 404);
    }
}

static void undo_goes_on_after_a_restart(void **state)
{
    Table *table = *state;
    g_autoptr(Answer) tag = post(table->server, "/api/tag", "{\"shots\":\"1\",\"place\":\"rear\"}");
    assert_status(tag, 200);
    stop_server(g_steal_pointer(&table->server));
    table->server = start_server(table->folder);
    g_autoptr(Answer) undo = post(table->server, "/api/undo", "{}");
    assert_status(undo, 200);
    g_autoptr(json_t) first = shot(state, 1);
    assert_null(json_object_get(first, "place"));
}

/* --- news --- */

/* "/api/changes?board=...&since=V" with tail. OWNED by the caller. */
static char *changes_path(void **state, const char *tail)
{
    g_autoptr(json_t) claim = get_json(server_of(state), "/api/claim");
    return g_strdup_printf("/api/changes?board=%s&since=%d%s", text_in(claim, "board"), (int)whole_in(claim, "version"), tail);
}

static void what_the_command_line_does_reaches_a_window_that_waits(void **state)
{
    Table *table = *state;
    g_autofree char *path = changes_path(state, "&wait=25");
    g_autofree char *get = g_strdup_printf("GET %s HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\nConnection: close\r\n\r\n", path,
                                           table->server->port, table->server->cookie);
    g_autoptr(GSocketConnection) window = dial(table->server);
    assert_true(g_output_stream_write_all(g_io_stream_get_output_stream(G_IO_STREAM(window)), get, strlen(get), NULL, NULL, NULL));
    assert_int_equal(sh(table->folder, NULL, NULL, "gablebook tag c 2 --place rear"), 0);
    /* The waiting one is answered long before its 25 seconds are over, or this read would fail. */
    g_socket_set_timeout(g_socket_connection_get_socket(window), 20);
    GInputStream *in = g_io_stream_get_input_stream(G_IO_STREAM(window));
    g_autoptr(GString) said = g_string_new(NULL);
    g_autoptr(GError) error = NULL;
    char some[65536];
    gssize n;
    while ((n = g_input_stream_read(in, some, sizeof some, NULL, &error)) > 0)
        g_string_append_len(said, some, n);
    assert_no_error(error);
    g_autoptr(json_t) news = json_loads(strstr(said->str, "\r\n\r\n") + 4, 0, NULL);
    assert_int_equal(json_array_size(json_object_get(news, "shots")), 1);
    assert_int_equal(whole_in(json_array_get(json_object_get(news, "shots"), 0), "number"), 2);
    assert_non_null(json_object_get(news, "claim"));
    assert_null(json_object_get(news, "order"));
}

static void news_are_what_differs_and_nothing_else(void **state)
{
    Server *server = server_of(state);
    g_autofree char *path = changes_path(state, "");
    g_autoptr(json_t) none = get_json(server, path);
    assert_null(json_object_get(none, "shots"));
    assert_null(json_object_get(none, "claim"));
    g_autoptr(Answer) undo = post(server, "/api/undo", "{}"); /* of the import */
    g_autoptr(json_t) gone = get_json(server, path);
    assert_status(undo, 200);
    assert_int_equal(json_array_size(json_object_get(gone, "gone")), 4);
    assert_int_equal(json_array_size(json_object_get(gone, "order")), 0);
    g_autoptr(Answer) redo = post(server, "/api/redo", "{}");
    g_autoptr(json_t) back = get_json(server, path);
    assert_status(redo, 200);
    assert_null(json_object_get(back, "gone"));
    assert_int_equal(json_array_size(json_object_get(back, "order")), 4);
    assert_int_equal(json_array_size(json_object_get(back, "shots")), 4); /* new to a page that had dropped them meanwhile */
    g_autoptr(json_t) other = get_json(server, "/api/changes?board=1234&since=1"), ahead = get_json(server, "/api/changes?since=1");
    assert_true(json_is_true(json_object_get(other, "reload")));
    assert_true(json_is_true(json_object_get(ahead, "reload")));
}

/* A photo that is all but black proves little: its line of the check is weak, and its place says so. */
static void a_place_that_has_only_weak_photos_says_so(void **state)
{
    Table *table = *state;
    if (!have_program("convert")) {
        skip();
        return;
    }
    assert_int_equal(sh(table->folder, NULL, NULL,
                        "convert -size 400x300 gradient:black-gray8 dark.jpg && gablebook import c dark.jpg &&"
                        " gablebook tag c 5 --place front --subject overview"), 0);
    g_autoptr(json_t) claim = get_json(table->server, "/api/claim");
    const json_t *check = json_object_get(claim, "check");
    gsize i;
    json_t *place;
    gint64 weak = 0;
    json_array_foreach(json_object_get(claim, "places"), i, place) {
        assert_true(json_is_integer(json_object_get(place, "weak")));
        weak += whole_in(place, "weak");
        if (strcmp(text_in(place, "label"), "front") == 0)
            assert_int_equal(whole_in(place, "weak"), 1);
    }
    assert_int_equal(whole_in(check, "weak"), 1);
    assert_int_equal(weak, 1);
}

/* null takes nothing away from a new note: it is on no place. */
static void a_new_note_with_null_for_its_place_is_on_the_claim(void **state)
{
    g_autoptr(Answer) answer = post(server_of(state), "/api/note", "{\"text\":\"dog in the yard\",\"place\":null}");
    assert_status(answer, 200);
    g_autoptr(json_t) recorded = get_json(server_of(state), "/api/recorded");
    const json_t *note = json_array_get(json_object_get(recorded, "notes"), 0);
    assert_string_equal(text_in(note, "text"), "dog in the yard");
    assert_null(json_object_get(note, "place"));
}

static void a_claim_s_own_checklists_are_offered_in_order_and_hidden_files_are_not(void **state)
{
    Table *table = *state;
    assert_int_equal(sh(table->folder, NULL, NULL, "mkdir -p c/templates/checklists && cd c/templates/checklists && "
                        "for n in zinc .hidden alder; do gablebook checklist print fire-basic > $n.ini; done; gablebook tag ../../../c 1 --place front"), 0);
    g_autoptr(json_t) claim = get_json(table->server, "/api/claim");
    const json_t *names = json_object_get(json_object_get(claim, "words"), "checklists");
    gsize n = json_array_size(names);
    assert_int_equal(n, 3 + 2);
    assert_string_equal(json_string_value(json_array_get(names, n - 2)), "alder");
    assert_string_equal(json_string_value(json_array_get(names, n - 1)), "zinc");
}

/* The shots without what names the run. OWNED by the caller. */
static json_t *shots_as_shown(const Server *server)
{
    g_autoptr(json_t) all = get_json(server, "/api/shots");
    return json_incref(json_object_get(all, "shots"));
}

/* A board is made of the one before; whatever was changed, and by whomever, it reads as if it were made anew. */
static void a_board_made_of_the_one_before_reads_like_a_new_one(void **state)
{
    static const char *const changes[] = {
        "gablebook import c \"$CARD\"/IMG_2101.JPG \"$CARD\"/IMG_2102.JPG \"$CARD\"/CRV00031.JPG", "gablebook tag c 5,6 --place front --subject overview",
        "gablebook clock c --camera compact --is '2 h slow'", "gablebook import c \"$CARD\"/IMG_2119.JPG \"$CARD\"/IMG_2201.JPG",
        "gablebook mark c 5 arrow '0.1,0.1 0.5,0.5'", "gablebook undo c && gablebook undo c", "gablebook edit c --front-azimuth 20",
    };
    Table *table = *state;
    g_autofree char *card = source_path("demo-photos"), *whole = g_canonicalize_filename(card, NULL);
    g_setenv("CARD", whole, TRUE);
    for (gsize i = 0; i < G_N_ELEMENTS(changes); i++) {
        assert_int_equal(sh(table->folder, NULL, NULL, changes[i]), 0);
        json_decref(shots_as_shown(table->server));
    }
    g_unsetenv("CARD");
    g_autoptr(json_t) kept = shots_as_shown(table->server);
    stop_server(g_steal_pointer(&table->server));
    table->server = start_server(table->folder);
    g_autoptr(json_t) anew = shots_as_shown(table->server);
    assert_int_equal(json_array_size(kept), 7);
    assert_true(json_equal(kept, anew));
}

static gpointer tag_often(gpointer user)
{
    const Server *server = user;
    guint done = 0;
    for (int i = 0; i < 20; i++) {
        g_autoptr(Answer) answer = post(server, "/api/tag", i % 2 ? "{\"shots\":\"1\",\"caption\":\"odd\"}" : "{\"shots\":\"1\",\"caption\":\"even\"}");
        done += answer->status == 200;
    }
    return GUINT_TO_POINTER(done);
}

static gpointer turn_often(gpointer user)
{
    const Server *server = user;
    guint done = 0;
    for (int i = 0; i < 20; i++) {
        g_autoptr(Answer) answer = post(server, "/api/tag", i % 2 ? "{\"shots\":\"2\",\"left_out\":true}" : "{\"shots\":\"2\",\"left_out\":false}");
        done += answer->status == 200;
    }
    return GUINT_TO_POINTER(done);
}

static void two_windows_and_the_command_line_at_once_lose_nothing(void **state)
{
    Table *table = *state;
    GThread *a = g_thread_new("a", tag_often, table->server), *b = g_thread_new("b", turn_often, table->server);
    for (int i = 0; i < 10; i++)
        assert_int_equal(sh(table->folder, NULL, NULL, i % 2 ? "gablebook tag c 3 --place rear" : "gablebook tag c 3 --place left"), 0);
    assert_int_equal(GPOINTER_TO_UINT(g_thread_join(a)), 20);
    assert_int_equal(GPOINTER_TO_UINT(g_thread_join(b)), 20);
    /* One entry for each that changed something: the import, 20 captions, 19 turns (the first took in what was in), 10 places. */
    assert_int_equal(history_length_now(state), 1 + 20 + 19 + 10);
}

/* --- photos in, report out --- */

/* The job when it has ended. Every move of a job wakes who waits for news. OWNED by the caller. */
static json_t *wait_for_job(void **state)
{
    for (gint64 moves = 0;;) {
        g_autofree char *tail = g_strdup_printf("&wait=25&moves=%d", (int)moves);
        g_autofree char *path = changes_path(state, tail);
        g_autoptr(json_t) news = get_json(server_of(state), path);
        json_t *job = json_object_get(news, "job");
        if (job != NULL && strcmp(text_in(job, "state"), "running") != 0)
            return json_incref(job);
        moves = job == NULL ? moves : whole_in(job, "moves");
    }
}

static void dropped_photos_come_in_byte_for_byte_under_their_own_names(void **state)
{
    Table *table = *state;
    make_card(table->folder, "more", 3, 56);
    assert_int_equal(sh(table->folder, NULL, NULL, "mv more/IMG_0001.JPG more/a && mv more/IMG_0002.JPG more/b && mv more/IMG_0003.JPG more/d"), 0);
    /* Two of one name, and one whose name is a trick. */
    static const struct { const char *file, *name; } drops[] = { { "a", "IMG_7.JPG" }, { "b", "IMG_7.JPG" }, { "d", "..%2F..%2F.evil%3Cb%3E.jpg" } };
    for (gsize i = 0; i < G_N_ELEMENTS(drops); i++) {
        g_autofree char *path = g_strdup_printf("/api/upload?set=drop1&name=%s", drops[i].name);
        g_autofree char *option = g_strdup_printf("-H 'Content-Type: application/octet-stream' --data-binary @more/%s", drops[i].file);
        g_autoptr(Answer) answer = curl(table->server, path, option);
        assert_status(answer, 200);
        g_autoptr(json_t) json = json_of(answer);
        assert_int_equal(whole_in(json, "files"), i + 1);
    }
    g_autoptr(Answer) begun = post(table->server, "/api/import", "{\"set\":\"drop1\",\"who\":\"Dana\"}");
    assert_status(begun, 200);
    g_autoptr(json_t) job = wait_for_job(state), all = get_json(table->server, "/api/shots");
    assert_string_equal(text_in(job, "state"), "done");
    assert_int_equal(whole_in(job, "fresh"), 3);
    assert_int_equal(whole_in(job, "done"), 3);
    assert_int_equal(whole_in(all, "total"), 7);
    g_autofree char *names = json_dumps(json_object_get(all, "shots"), 0);
    assert_has(names, "\"file\": \"evil<b>.jpg\"");
    g_autofree char *claim = g_build_filename(table->folder, "c", NULL);
    assert_int_equal(assert_sound(claim, "after the drop").shots, 7);
    g_autoptr(json_t) entries = history(state);
    assert_string_equal(text_in(json_array_get(entries, 0), "verb"), "import");
    assert_string_equal(text_in(json_array_get(entries, 0), "who"), "Dana");
    g_autofree char *left = NULL;
    sh(table->folder, &left, NULL, "ls c/cache c; find . -name '*evil*' | grep -v originals; true");
    assert_has_not(left, "upload");
    assert_has_not(left, "evil");
}

static void an_upload_that_is_cut_off_is_not_in_its_set(void **state)
{
    Table *table = *state;
    g_autofree char *head = g_strdup_printf("POST /api/upload?set=cut&name=a.jpg HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\n"
                                            "Content-Type: image/jpeg\r\nContent-Length: 1000\r\n\r\nonly this", table->server->port, table->server->cookie);
    g_autoptr(GSocketConnection) line = dial(table->server);
    assert_true(g_output_stream_write_all(g_io_stream_get_output_stream(G_IO_STREAM(line)), head, strlen(head), NULL, NULL, NULL));
    assert_true(g_io_stream_close(G_IO_STREAM(line), NULL, NULL));
    g_autoptr(Answer) whole = curl(table->server, "/api/upload?set=cut&name=b.jpg", "-H 'Content-Type: image/jpeg' --data-binary @card/IMG_0001.JPG");
    g_autoptr(json_t) json = json_of(whole);
    assert_int_equal(whole_in(json, "files"), 1);
    static const char *const sets[] = { "", "a/b", "..", "a.b", "abcdefghijabcdefghijabcdefghijabcdefghijx" };
    for (gsize i = 0; i < G_N_ELEMENTS(sets); i++) {
        g_autofree char *path = g_strdup_printf("/api/upload?set=%s&name=a.jpg", sets[i]);
        g_autoptr(Answer) answer = curl(table->server, path, "-H 'Content-Type: image/jpeg' -d x");
        assert_status(answer, 400);
    }
    stop_server(g_steal_pointer(&table->server));
    g_autofree char *left = NULL;
    assert_int_equal(sh(table->folder, &left, NULL, "ls c c/cache"), 0);
    assert_has_not(left, "upload");
    assert_has_not(left, "journal");
    table->server = start_server(table->folder);
}

static void what_a_killed_server_left_of_uploads_goes_at_the_next_start(void **state)
{
    Table *table = *state;
    g_autoptr(Answer) upload = curl(table->server, "/api/upload?set=lost&name=b.jpg", "-H 'Content-Type: image/jpeg' --data-binary @card/IMG_0001.JPG");
    assert_status(upload, 200);
    kill(table->server->pid, SIGKILL);
    assert_int_equal(wait_server(table->server), 128 + SIGKILL);
    free_server(table->server);
    assert_int_equal(sh(table->folder, NULL, NULL, "ls c/cache | grep -q upload"), 0);
    table->server = start_server(table->folder);
    assert_int_equal(sh(table->folder, NULL, NULL, "ls c/cache | grep -q upload"), 1);
}

static void photos_are_imported_from_where_they_lie(void **state)
{
    Table *table = *state;
    make_card(table->folder, "second", 6, 60);
    g_autofree char *body = g_strdup_printf("{\"paths\":[\"%s/second\", \"%s/nowhere\"]}", table->folder, table->folder);
    g_autoptr(Answer) begun = post(table->server, "/api/import", body);
    assert_status(begun, 200);
    g_autoptr(json_t) job = wait_for_job(state);
    assert_int_equal(whole_in(job, "fresh"), 6);
    assert_int_equal(whole_in(job, "left_out"), 1);
    assert_has(json_string_value(json_array_get(json_object_get(job, "messages"), 0)), "nowhere");
}

static void a_report_is_built_shown_in_a_sandbox_and_handed_over(void **state)
{
    Table *table = *state;
    g_autoptr(Answer) begun = post(table->server, "/api/report", "{}");
    assert_status(begun, 200);
    g_autoptr(json_t) job = wait_for_job(state), list = get_json(table->server, "/api/reports");
    assert_string_equal(text_in(job, "report"), "photo-report.html");
    assert_string_equal(text_in(json_array_get(json_object_get(list, "reports"), 0), "name"), "photo-report.html");
    g_autoptr(Answer) shown = curl(table->server, "/report/photo-report.html", NULL);
    g_autofree char *policy = header_of(shown, "Content-Security-Policy"), *built = g_build_filename(table->folder, "c", "reports", "photo-report.html", NULL);
    g_autofree char *bytes = slurp(built);
    assert_status(shown, 200);
    assert_string_equal(shown->body, bytes);
    assert_has(policy, "sandbox;");
    assert_has(policy, "default-src 'none'");
    assert_has_not(policy, "script");
    g_autoptr(Answer) handed = curl(table->server, "/report/photo-report.html?download=1", NULL);
    g_autofree char *how = header_of(handed, "Content-Disposition");
    assert_string_equal(how, "attachment; filename*=UTF-8''photo-report.html");
    static const struct { const char *body, *name; } others[] = {
        { "{\"what\":\"scope sheet\"}", "scope-sheet.html" },
        { "{\"what\":\"brief\"}", "brief.html" },
        { "{\"what\":\"scope sheet\",\"format\":\"PDF\",\"locale\":\"nl-NL\"}", "scope-sheet.pdf" },
        { "{\"reader\":\"reviewer\"}", "reviewer-sheet.html" },
        { "{\"reader\":\"insured\",\"format\":\"PDF\",\"paper\":\"A4\",\"per_page\":4}", "insured-summary.pdf" },
        { "{\"format\":\"PDF\",\"budget_bytes\":5000000}", "photo-report.pdf" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(others); i++) {
        g_autoptr(Answer) other = post(table->server, "/api/report", others[i].body);
        assert_status(other, 200);
        g_autoptr(json_t) done = wait_for_job(state);
        assert_string_equal(text_in(done, "report"), others[i].name);
    }
    g_autoptr(Answer) pdf = curl(table->server, "/report/insured-summary.pdf?download=1", NULL);
    g_autofree char *type = header_of(pdf, "Content-Type"), *taken = header_of(pdf, "Content-Disposition");
    assert_string_equal(type, "application/pdf");
    assert_string_equal(taken, "attachment; filename*=UTF-8''insured-summary.pdf");
    assert_true(g_str_has_prefix(pdf->body, "%PDF-"));
    assert_int_equal(sh(table->folder, NULL, NULL, "pdfinfo c/reports/insured-summary.pdf | grep -q A4"), 0);
    g_autoptr(Answer) tight = post(table->server, "/api/report", "{\"format\":\"PDF\",\"budget_bytes\":100}");
    assert_status(tight, 200);
    g_autoptr(json_t) failed = wait_for_job(state);
    assert_string_equal(text_in(failed, "state"), "failed");
    assert_has(text_in(failed, "error"), "choose fewer shots or allow more");
    g_autoptr(Answer) none = post(table->server, "/api/report", "{\"what\":\"novel\"}");
    assert_status(none, 400);
}

/* A job that was begun, when it is over: its JSON. OWNED by the caller. */
static json_t *do_job(void **state, const char *path, const char *body)
{
    g_autoptr(Answer) begun = post(server_of(state), path, body);
    assert_status(begun, 200);
    return wait_for_job(state);
}

static void the_whole_claim_is_handed_over_as_the_command_does_and_what_differs_is_told(void **state)
{
    Table *table = *state;
    Server *server = table->server;
    g_autoptr(Answer) before = curl(server, "/export", NULL), wrong = post(server, "/api/verify", "{\"what\":\"/etc/passwd\"}");
    assert_status(before, 404);
    assert_status(wrong, 400);
    g_autoptr(json_t) none = get_json(server, "/api/export"), unmade = do_job(state, "/api/verify", "{\"what\":\"zip\"}");
    assert_int_equal(json_object_size(none), 0);
    assert_string_equal(text_in(unmade, "state"), "failed");
    assert_has(text_in(unmade, "error"), "c.claim.zip");

    g_autoptr(json_t) made = do_job(state, "/api/export", "{}");
    const json_t *zip = json_object_get(made, "export");
    assert_int_equal(whole_in(made, "fresh"), 0); /* nothing came in */
    assert_string_equal(text_in(made, "state"), "done");
    assert_string_equal(text_in(zip, "name"), "c.claim.zip");
    assert_int_equal(whole_in(zip, "files"), 5); /* claim.db and four originals */
    g_autoptr(Answer) file = curl(server, "/export", NULL);
    assert_status(file, 200);
    g_autofree char *name = header_of(file, "Content-Disposition"), *path = g_build_filename(table->folder, "c.claim.zip", NULL), *same = NULL;
    assert_string_equal(name, "attachment; filename*=UTF-8''c.claim.zip");
    g_autofree char *bytes = NULL;
    gsize n;
    assert_true(g_file_get_contents(path, &bytes, &n, NULL));
    assert_int_equal(file->n, n);
    assert_memory_equal(file->body, bytes, n);
    /* The command makes the same bytes: same content, same bytes (export.h). */
    assert_int_equal(sh(table->folder, NULL, NULL, "gablebook export c -o other.zip && cmp other.zip c.claim.zip"), 0);

    g_autoptr(json_t) checked = do_job(state, "/api/verify", "{\"what\":\"zip\"}"), fine = do_job(state, "/api/verify", "{}");
    assert_string_equal(text_in(json_object_get(checked, "verification"), "what"), "zip");
    assert_string_equal(text_in(json_object_get(checked, "verification"), "verdict"), "Sound: nothing differs.");
    assert_has(text_in(json_object_get(checked, "verification"), "looked_at"), "4 originals and 0 reports looked at, 5 files in the manifest");
    assert_true(json_is_true(json_object_get(json_object_get(fine, "verification"), "sound")));
    assert_int_equal(sh(table->folder, NULL, NULL, "f=$(ls c/originals | head -1) && chmod u+w c/originals/$f && echo >> c/originals/$f"), 0);
    g_autoptr(json_t) spoilt = do_job(state, "/api/verify", "{\"what\":\"claim\"}");
    json_t *result = json_object_get(spoilt, "verification");
    assert_string_equal(text_in(spoilt, "state"), "done");
    assert_string_equal(text_in(result, "verdict"), "1 thing differs.");
    assert_has(json_string_value(json_array_get(json_object_get(result, "faults"), 0)), "is no longer the file that was taken in");
    /* Both doors say the same. */
    assert_int_equal(sh(table->folder, &same, NULL, "gablebook verify c --json"), 1);
    g_autoptr(json_t) command = json_loads(same, 0, NULL);
    json_object_del(result, "what");
    assert_true(json_equal(command, result));

    /* What lies there under the zip's name but is no file is not handed over. */
    assert_int_equal(sh(table->folder, NULL, NULL, "rm c.claim.zip && ln -s /etc/passwd c.claim.zip"), 0);
    g_autoptr(Answer) link = curl(server, "/export", NULL);
    assert_status(link, 404);
}

static void while_all_files_are_read_other_requests_are_answered_and_it_can_be_stopped(void **state)
{
    Table *table = *state;
    assert_int_equal(sh(table->folder, NULL, NULL, "for i in $(seq 60); do truncate -s 100M c/originals/stray-$i.jpg; done"), 0); /* holes: no disk */
    g_autoptr(Answer) begun = post(table->server, "/api/verify", "{}"), second = post(table->server, "/api/export", "{}"),
                      note = post(table->server, "/api/note", "{\"text\":\"meanwhile\"}"), stop = post(table->server, "/api/job/stop", "{}");
    assert_status(begun, 200);
    assert_status(second, 409);
    assert_status(note, 200);
    assert_status(stop, 200);
    g_autoptr(json_t) job = wait_for_job(state);
    assert_string_equal(text_in(job, "kind"), "verify");
    assert_string_equal(text_in(job, "state"), "stopped");
    assert_true(whole_in(job, "done") < 64);
    assert_null(json_object_get(job, "verification"));
}

/* 20 photos, and 6 GB of holes: no disk, but seconds to read. */
static void make_slow_card(const char *folder, const char *name)
{
    g_autofree char *holes = g_strdup_printf("for i in $(seq 60); do truncate -s 100M %s/zz-$i.jpg; done", name);
    make_card(folder, name, 20, 300);
    assert_int_equal(sh(folder, NULL, NULL, holes), 0);
}

static void one_job_runs_at_a_time_and_can_be_stopped(void **state)
{
    Table *table = *state;
    make_slow_card(table->folder, "large");
    g_autofree char *body = g_strdup_printf("{\"paths\":[\"%s/large\"]}", table->folder);
    g_autoptr(Answer) begun = post(table->server, "/api/import", body), second = post(table->server, "/api/report", "{}");
    assert_status(begun, 200);
    g_autoptr(Answer) stop = post(table->server, "/api/job/stop", "{}");
    assert_status(stop, 200);
    g_autoptr(json_t) refused = json_of(second), job = wait_for_job(state);
    assert_status(second, 409);
    assert_string_equal(code_of(refused), "busy");
    assert_string_equal(text_in(job, "state"), "stopped");
    assert_true(whole_in(job, "done") < 80);
    g_autofree char *claim = g_build_filename(table->folder, "c", NULL);
    assert_int_equal(assert_sound(claim, "after a stopped import").shots, 4 + whole_in(job, "fresh"));
}

/* What was sent once need not be sent again because a report is being built just then. */
static void uploads_outlast_another_job_and_are_imported_after_it(void **state)
{
    Table *table = *state;
    make_slow_card(table->folder, "large");
    g_autofree char *mine = put_photo(table->folder, "mine.jpg", 77);
    g_autoptr(Answer) sent = curl(table->server, "/api/upload?set=late&name=mine.jpg", "-X POST -H 'Content-Type: image/jpeg' --data-binary @mine.jpg");
    assert_status(sent, 200);
    g_autofree char *body = g_strdup_printf("{\"paths\":[\"%s/large\"]}", table->folder);
    g_autoptr(Answer) begun = post(table->server, "/api/import", body), busy = post(table->server, "/api/import", "{\"set\":\"late\"}");
    g_autoptr(Answer) stop = post(table->server, "/api/job/stop", "{}");
    assert_status(begun, 200);
    assert_status(busy, 409);
    assert_status(stop, 200);
    json_decref(wait_for_job(state));
    g_autoptr(Answer) again = post(table->server, "/api/import", "{\"set\":\"late\"}");
    assert_status(again, 200);
    g_autoptr(json_t) job = wait_for_job(state);
    assert_string_equal(text_in(job, "state"), "done");
    assert_int_equal(whole_in(job, "fresh"), 1);
    g_autoptr(Answer) twice = post(table->server, "/api/import", "{\"set\":\"late\"}"); /* it is in: there is no such set any more */
    assert_status(twice, 400);
}

/* --- the end --- */

static void the_page_ends_the_server_and_nothing_is_left_open(void **state)
{
    Table *table = *state;
    g_autoptr(Answer) stop = post(table->server, "/api/stop", "{}");
    assert_status(stop, 200);
    assert_int_equal(wait_server(table->server), 0);
    free_server(g_steal_pointer(&table->server));
    g_autofree char *left = NULL;
    sh(table->folder, &left, NULL, "ls c");
    assert_string_equal(left, "cache\nclaim.db\noriginals\nreports\n");
}

static void a_signal_ends_it_also_while_windows_wait(void **state)
{
    static const int signals[] = { SIGINT, SIGTERM, SIGHUP };
    Table *table = *state;
    for (gsize i = 0; i < G_N_ELEMENTS(signals); i++) {
        g_autofree char *path = changes_path(state, "&wait=25");
        g_autofree char *get = g_strdup_printf("GET %s HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\n\r\n", path, table->server->port,
                                               table->server->cookie);
        g_autoptr(GSocketConnection) window = dial(table->server);
        assert_true(g_output_stream_write_all(g_io_stream_get_output_stream(G_IO_STREAM(window)), get, strlen(get), NULL, NULL, NULL));
        kill(table->server->pid, signals[i]);
        assert_int_equal(wait_server(table->server), 0);
        free_server(table->server);
        table->server = start_server(table->folder);
    }
}

static void killed_amid_edits_the_claim_is_good_and_has_every_change_that_was_answered(void **state)
{
    Table *table = *state;
    g_autofree char *claim = g_build_filename(table->folder, "c", NULL);
    gsize before = 1;
    for (guint round = 0; round < 5; round++) {
        GThread *a = g_thread_new("a", tag_often, table->server), *b = g_thread_new("b", turn_often, table->server);
        for (guint i = 0; i <= round; i++) {
            g_autoptr(Answer) own = post(table->server, "/api/tag", i % 2 ? "{\"shots\":\"4\",\"place\":\"left\"}" : "{\"shots\":\"4\",\"place\":\"rear\"}");
            assert_status(own, 200);
        }
        kill(table->server->pid, SIGKILL);
        assert_int_equal(wait_server(table->server), 128 + SIGKILL);
        guint answered = GPOINTER_TO_UINT(g_thread_join(a)) + GPOINTER_TO_UINT(g_thread_join(b));
        free_server(table->server);
        assert_sound(claim, "after a kill");
        table->server = start_server(table->folder);
        gsize now = history_length_now(state);
        /* Answers that changed nothing leave no entry: at most the first of each kind and round. Two may be done but not answered. */
        assert_in_range(now - before, answered + round + 1 - MIN(3, answered + round + 1), answered + round + 1 + 2);
        before = now;
    }
}

static void what_is_no_claim_or_no_port_is_one_line(void **state)
{
    Table *table = *state;
    static const struct { const char *script, *part; } cases[] = {
        { "gablebook open nowhere --no-browser", "nowhere: there is no such folder" },
        { "gablebook open card --no-browser", "card: is no claim folder" },
        { "gablebook open c --no-browser --port 80", "--port must be from 1024 to 65535" },
        { "gablebook open", "too few words" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *out = NULL, *err = NULL;
        assert_int_equal(sh(table->folder, &out, &err, cases[i].script), 2);
        assert_string_equal(out, "");
        assert_has(err, cases[i].part);
        assert_ptr_equal(strchr(err, '\n'), err + strlen(err) - 1);
    }
    g_autofree char *taken = g_strdup_printf("gablebook open c --no-browser --port %d", table->server->port), *err = NULL;
    assert_int_equal(sh(table->folder, NULL, &err, taken), 2);
    assert_has(err, "can't be used: Address already in use");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_at_table(the_key_opens_once_a_browser_is_let_in_and_nothing_else_does),
        test_at_table(without_the_cookie_nothing_is_shown_and_nothing_is_done),
        test_at_table(another_method_is_refused_with_the_right_ones),
        test_at_table(a_name_that_was_pointed_at_this_machine_is_refused),
        test_at_table(what_another_site_makes_a_browser_send_is_refused),
        test_at_table(what_a_form_can_send_is_refused),
        test_at_table(only_the_loopback_address_listens),
        test_at_table(a_body_without_a_length_or_beyond_the_bound_is_refused_before_it_is_taken),
        test_at_table(a_head_without_end_is_refused),
        test_at_table(slow_clients_hold_up_nobody_and_are_shut_in_the_end),
        test_at_table(bodies_that_are_no_request_are_refused_and_change_nothing),
        test_at_table(markup_in_captions_and_names_stays_text_in_json),
        test_at_table(every_answer_carries_the_guards),
        test_at_table(no_path_leads_out_of_what_is_shown),
        test_at_table(pictures_are_kept_for_ever_and_originals_are_the_bytes_that_came),
        test_at_table(an_original_is_handed_out_as_what_it_is),
        test_at_table(a_picture_whose_original_is_gone_is_a_sentence_and_not_another_picture),
        test_at_table(a_tag_is_seen_with_its_caption_and_counts_as_a_change_of_the_one_who_made_it),
        test_at_table(an_edit_made_on_stale_data_is_refused_with_both_versions_and_writes_nothing),
        test_at_table(two_people_may_change_different_things_of_one_shot),
        test_at_table(facts_structures_waivers_orders_and_undo_are_held_against_what_was_seen),
        test_at_table(marks_are_drawn_changed_measured_and_held_against_what_was_seen),
        test_at_table(what_is_recorded_goes_in_and_comes_out_and_is_held_against_what_was_seen),
        test_at_table(what_a_slopes_edges_are_is_shown_held_against_what_was_seen_and_taken_back),
        test_at_table(what_is_set_for_all_roofs_and_squares_is_held_against_what_was_seen),
        test_at_table(scope_sheet_list_before_leaving_and_knowledge_are_those_of_the_command_line),
        test_at_table(the_drawing_of_a_roof_is_a_picture_that_can_do_nothing),
        test_at_table(undo_goes_on_after_a_restart),
        test_at_table(what_the_command_line_does_reaches_a_window_that_waits),
        test_at_table(news_are_what_differs_and_nothing_else),
        test_at_table(a_place_that_has_only_weak_photos_says_so),
        test_at_table(a_new_note_with_null_for_its_place_is_on_the_claim),
        test_at_table(a_claim_s_own_checklists_are_offered_in_order_and_hidden_files_are_not),
        test_at_table(a_board_made_of_the_one_before_reads_like_a_new_one),
        test_at_table(two_windows_and_the_command_line_at_once_lose_nothing),
        test_at_table(dropped_photos_come_in_byte_for_byte_under_their_own_names),
        test_at_table(an_upload_that_is_cut_off_is_not_in_its_set),
        test_at_table(what_a_killed_server_left_of_uploads_goes_at_the_next_start),
        test_at_table(photos_are_imported_from_where_they_lie),
        test_at_table(a_report_is_built_shown_in_a_sandbox_and_handed_over),
        test_at_table(the_whole_claim_is_handed_over_as_the_command_does_and_what_differs_is_told),
        test_at_table(while_all_files_are_read_other_requests_are_answered_and_it_can_be_stopped),
        test_at_table(one_job_runs_at_a_time_and_can_be_stopped),
        test_at_table(uploads_outlast_another_job_and_are_imported_after_it),
        test_at_table(the_page_ends_the_server_and_nothing_is_left_open),
        test_at_table(a_signal_ends_it_also_while_windows_wait),
        test_at_table(killed_amid_edits_the_claim_is_good_and_has_every_change_that_was_answered),
        test_at_table(what_is_no_claim_or_no_port_is_one_line),
    };
    return cmocka_run_group_tests_name("web", tests, NULL, NULL);
}
