/* man.h -- the manual page, made of the same entries as --help.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_MAN_H
#define GABLEBOOK_MAN_H

/* Print gablebook(1) to standard output in the man macros of groff and mandoc. */
void gb_cli_print_man(void);

#endif
