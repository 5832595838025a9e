/* banned.h -- calls that have a safer sibling don't compile. Included before every file by the Makefile.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_BANNED_H
#define GABLEBOOK_BANNED_H

#include <glib.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#pragma GCC poison strcpy strcat strncat sprintf vsprintf gets strtok localtime gmtime asctime ctime mktemp tmpnam

#endif
