/* magnetic-private.h -- the coefficients of the magnetic model.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GB_MAGNETIC_PRIVATE_H
#define GB_MAGNETIC_PRIVATE_H

#define GB_WMM_DEGREE 12
#define GB_WMM_EPOCH 2025.0
#define GB_WMM_YEARS 5.0
#define GB_WMM_ROWS (GB_WMM_DEGREE * (GB_WMM_DEGREE + 3) / 2)

typedef struct {
    int n, m;                  /* degree and order */
    double g, h;               /* nT at the epoch, Schmidt semi-normalised */
    double g_a_year, h_a_year; /* nT more each year */
} GbWmmRow;

/* By degree, then order. */
extern const GbWmmRow gb_wmm2025[GB_WMM_ROWS];

#endif
