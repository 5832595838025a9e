/* test.h -- what every suite needs: cmocka, an assert for doubles, a folder of its own, real photos, running a program.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_TEST_H
#define GABLEBOOK_TEST_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <glib.h>
#include <math.h>

/* cmocka's float assert is single precision; this one says what was seen. */
#define assert_near(seen, wanted, within) assert_near_at((seen), (wanted), (within), #seen, __FILE__, __LINE__)
void assert_near_at(double seen, double wanted, double within, const char *what, const char *file, int line);
/* A GError that must not be: shows its message. */
#define assert_no_error(error) assert_no_error_at((error), __FILE__, __LINE__)
void assert_no_error_at(GError *error, const char *file, int line);
/* error must be of our domain and this code, and its message must contain part; it is then cleared. */
#define assert_error(error, code, part) assert_error_at(&(error), (code), (part), __FILE__, __LINE__)
void assert_error_at(GError **error, int code, const char *part, const char *file, int line);

/* A fresh folder, removed with all it holds at the end of the test: for cmocka_unit_test_setup_teardown; *state is its path (char *). */
int setup_folder(void **state);
int teardown_folder(void **state);
/* Both at once. */
#define test_in_folder(f) cmocka_unit_test_setup_teardown(f, setup_folder, teardown_folder)
/* Remove a folder and all in it, read-only files included. */
void remove_tree(const char *path);

/* Path in the source tree (OWNED by the caller): source_path("demo-photos"). */
char *source_path(const char *relative);
/* Path of a real camera photo kept beside the checkout in shared/real-photos, or NULL where it is absent: then skip(). */
char *real_photo(const char *name);
/* Whether a program is on the PATH; a test that wants it calls skip() otherwise -- never in CI (CI=true fails instead). */
gboolean have_program(const char *name);

/* Make the locale "comma_XX", which writes 1,5, in a folder of the test's, and name that folder in LOCPATH for programs to come. FALSE where
 * it can't be made: then skip(). */
gboolean make_decimal_comma(const char *folder);
/* The same, and use it for numbers here: setlocale(LC_NUMERIC, "C") ends it. */
gboolean use_decimal_comma(const char *folder);

/* Run argv (searched on the PATH) and collect what it prints; out and err may be NULL (then thrown away). Returns the exit
 * status, or 128 + signal. */
int run(const char *const *argv, char **out, char **err);
/* Run the gablebook under test with these arguments (NULL-terminated). */
int gablebook(char **out, char **err, ...) G_GNUC_NULL_TERMINATED;

/* A whole small file as a string, OWNED by the caller. Fails the test when it can't be read. */
char *slurp(const char *path);

#endif
