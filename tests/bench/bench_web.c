/* bench_web.c -- the parts of make bench-web that want a program: a large claim, and the server's time for a tag. See bench_web.sh.
 *
 *   bench_web card FOLDER N        N invented photos, 640 x 480
 *   bench_web dress CLAIM          give a claim's photos the times, positions and headings of an inspection (straight into claim.db)
 *   bench_web ask URL ROUNDS       tag 50 shots ROUNDS times; time of each answer, and until the news of it are there
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <glib.h>

#include <gio/gio.h>
#include <jpeglib.h>
#include <sqlite3.h>

/* --- a card --- */

/* Walls and sky of a sort: gradients, an edge, and grain, so that a preview weighs what one of a photo does. */
static void paint_row(JSAMPLE *row, guint width, guint y, guint seed, GRand *random)
{
    for (guint x = 0; x < width; x++) {
        guint wall = y > 200 + seed % 80 && x > seed % 300;
        int grain = g_rand_int_range(random, -10, 10);
        for (guint c = 0; c < 3; c++)
            row[3 * x + c] = (JSAMPLE)CLAMP((int)(wall ? 90 + 30 * c + (y / 12 % 2) * 25 + x / 16 : 200 - y / 4 + 10 * c) + grain, 0, 255);
    }
}

static void write_photo(const char *path, guint seed)
{
    enum { WIDTH = 640, HEIGHT = 480 };
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    JSAMPLE row[3 * WIDTH];
    g_autoptr(GRand) random = g_rand_new_with_seed(seed);
    FILE *file = fopen(path, "wb");
    if (file == NULL)
        g_error("%s can't be written", path);
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    jpeg_stdio_dest(&jpeg, file);
    jpeg.image_width = WIDTH;
    jpeg.image_height = HEIGHT;
    jpeg.input_components = 3;
    jpeg.in_color_space = JCS_RGB;
    jpeg_set_defaults(&jpeg);
    jpeg_start_compress(&jpeg, TRUE);
    while (jpeg.next_scanline < HEIGHT) {
        paint_row(row, WIDTH, jpeg.next_scanline, seed, random);
        jpeg_write_scanlines(&jpeg, (JSAMPROW[]){ row }, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    if (fclose(file) != 0)
        g_error("%s can't be written", path);
}

static int card(const char *folder, guint n)
{
    g_mkdir_with_parents(folder, 0777);
    for (guint i = 1; i <= n; i++) {
        g_autofree char *path = g_strdup_printf("%s/IMG_%05u.JPG", folder, i);
        write_photo(path, i);
    }
    return 0;
}

/* --- what the files of an inspection would say --- */

/* Ten seconds apart, a walk of 45 s every tenth; around a house of 14 by 9 m, looking at it; 5 m of error. */
static int dress(const char *claim)
{
    g_autofree char *path = g_build_filename(claim, "claim.db", NULL);
    sqlite3 *db = NULL;
    char *message = NULL;
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK ||
        sqlite3_exec(db,
            "UPDATE original SET taken_local_s = 1778770000.0 + id * 10 + (id / 10) * 45, make = 'Larkfield', model = 'LF-7 phone', offset_min = -300,"
            " lat_deg = 38.73 + 14.0 / 111000 * cos(id * 0.02) + (id * 7919 % 100 - 50) / 2e6,"
            " lon_deg = -97.41 + 14.0 / 86600 * sin(id * 0.02) + (id * 104729 % 100 - 50) / 2e6,"
            " position_error_m = 5.0, heading_deg = (id * 0.02 * 57.29578 + 180) - 360 * floor((id * 0.02 * 57.29578 + 180) / 360), heading_ref = 'T'",
            NULL, NULL, &message) != SQLITE_OK)
        g_error("%s: %s", path, message == NULL ? "can't be opened" : message);
    sqlite3_close(db);
    return 0;
}

/* --- the server's time --- */

typedef struct {
    GSocketConnection *line;
    char *host, *cookie;
} Client;

/* One request on the open connection; the answer's body, OWNED by the caller. head: where its lines go, or NULL. */
static char *ask(Client *client, const char *method, const char *path, const char *body, char **head)
{
    g_autoptr(GString) said = g_string_new(NULL);
    g_autofree char *request = g_strdup_printf("%s %s HTTP/1.1\r\nHost: %s\r\nCookie: %s\r\nContent-Type: application/json\r\n"
                                               "Content-Length: %zu\r\n\r\n%s", method, path, client->host, client->cookie, strlen(body), body);
    GInputStream *in = g_io_stream_get_input_stream(G_IO_STREAM(client->line));
    if (!g_output_stream_write_all(g_io_stream_get_output_stream(G_IO_STREAM(client->line)), request, strlen(request), NULL, NULL, NULL))
        g_error("the server has gone");
    gsize whole = G_MAXSIZE;
    while (said->len < whole) {
        char some[65536];
        gssize n = g_input_stream_read(in, some, sizeof some, NULL, NULL);
        if (n <= 0)
            g_error("the answer to %s is cut: %s", path, said->str);
        g_string_append_len(said, some, n);
        const char *end = strstr(said->str, "\r\n\r\n"), *length = strstr(said->str, "Content-Length: ");
        if (end != NULL && length != NULL && length < end)
            whole = (gsize)(end + 4 - said->str) + (gsize)g_ascii_strtoull(length + 16, NULL, 10);
    }
    const char *end = strstr(said->str, "\r\n\r\n");
    if (!g_str_has_prefix(said->str, "HTTP/1.1 200") && !g_str_has_prefix(said->str, "HTTP/1.1 303"))
        g_error("%s: %s", path, said->str);
    if (head != NULL)
        *head = g_strndup(said->str, (gsize)(end - said->str));
    return g_strdup(end + 4);
}

static GSocketConnection *dial(const char *host)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GSocketClient) client = g_socket_client_new();
    GSocketConnection *line = g_socket_client_connect_to_host(client, host, 80, NULL, &error);
    if (line == NULL)
        g_error("%s", error->message);
    return line;
}

static char *text_after(const char *text, const char *mark, const char *until)
{
    const char *found = strstr(text, mark);
    if (found == NULL)
        g_error("no %s in %.200s", mark, text);
    return g_strndup(found + strlen(mark), strcspn(found + strlen(mark), until));
}

static int compare_doubles(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void print_times(const char *what, double *ms, guint n)
{
    qsort(ms, n, sizeof *ms, compare_doubles);
    printf("  %-44s median %6.2f ms   p99 %6.2f ms   worst %6.2f ms\n", what, ms[n / 2], ms[n - 1 - n / 100], ms[n - 1]);
}

/* Get in, on a connection of its own, which the server closes. */
static Client enter(const char *url)
{
    g_autofree char *host = text_after(url, "http://", "/"), *head = NULL;
    Client client = { dial(host), g_strdup(host), g_strdup("") };
    g_autofree char *body = ask(&client, "GET", strstr(url, "/enter"), "", &head);
    g_free(client.cookie);
    client.cookie = text_after(head, "Set-Cookie: ", ";");
    g_object_unref(client.line);
    client.line = dial(host);
    return client;
}

static int ask_server(const char *url, guint rounds)
{
    static const char *const places[] = { "front", "right", "rear", "left" };
    g_autofree double *answers = g_new(double, rounds), *news = g_new(double, rounds);
    Client client = enter(url);
    g_autoptr(GTimer) timer = g_timer_new();
    g_autofree char *claim = ask(&client, "GET", "/api/claim", "", NULL), *run = text_after(claim, "\"board\":\"", "\"");
    printf("  %-44s %6.2f ms, %zu bytes\n", "first look at the claim", 1000 * g_timer_elapsed(timer, NULL), strlen(claim));
    g_timer_start(timer);
    g_autofree char *shots = ask(&client, "GET", "/api/shots", "", NULL);
    printf("  %-44s %6.2f ms, %zu bytes\n", "all shots", 1000 * g_timer_elapsed(timer, NULL), strlen(shots));
    g_autofree char *fresh = ask(&client, "POST", "/api/tag", "{\"shots\":\"1-999\",\"place\":null}", NULL); /* an earlier run's tags */
    g_autofree char *version = text_after(fresh, "\"version\":", ",}");
    for (guint i = 0; i < rounds; i++) {
        guint first = i * 50 % 900 + 1;
        g_autofree char *body = g_strdup_printf("{\"shots\":\"%u-%u\",\"place\":\"%s\"}", first, first + 49, places[i / 18 % 4]);
        g_timer_start(timer);
        g_autofree char *done = ask(&client, "POST", "/api/tag", body, NULL);
        answers[i] = 1000 * g_timer_elapsed(timer, NULL);
        g_autofree char *path = g_strdup_printf("/api/changes?board=%s&since=%s&wait=5", run, version);
        g_autofree char *changed = ask(&client, "GET", path, "", NULL);
        news[i] = 1000 * g_timer_elapsed(timer, NULL);
        g_free(version);
        version = text_after(changed, "\"version\":", ",}");
    }
    print_times("a tag on 50 shots, answered", answers, rounds);
    print_times("... and its news with another window", news, rounds);
    g_object_unref(client.line);
    g_free(client.host);
    g_free(client.cookie);
    return 0;
}

int main(int argc, char **argv)
{
    if (argc == 4 && strcmp(argv[1], "card") == 0)
        return card(argv[2], (guint)g_ascii_strtoull(argv[3], NULL, 10));
    if (argc == 3 && strcmp(argv[1], "dress") == 0)
        return dress(argv[2]);
    if (argc == 4 && strcmp(argv[1], "ask") == 0)
        return ask_server(argv[2], (guint)g_ascii_strtoull(argv[3], NULL, 10));
    fputs("usage: bench_web card FOLDER N | dress CLAIM | ask URL ROUNDS\n", stderr);
    return 2;
}
