/* pixel_support.h -- pictures as pixels: made, read, compared.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_PIXEL_SUPPORT_H
#define GABLEBOOK_PIXEL_SUPPORT_H

#include "test.h"

typedef struct {
    int width, height, channels; /* 1 grey, 3 RGB */
    guint8 *pixels;              /* OWNED */
} Picture;
void picture_clear(Picture *p);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Picture, picture_clear)

/* Decode with libjpeg's defaults. A fatal error ends the process: only for files that are sound. */
Picture picture_of_jpeg(GBytes *jpeg);
/* What ImageMagick makes of a file, as RGB: "x.png", with operators after it ("-auto-orient", NULL). */
Picture picture_by_magick(const char *path, ...) G_GNUC_NULL_TERMINATED;

/* A smooth picture in which every corner differs. */
Picture scene(int width, int height, int channels);
/* Grey values by the luma weights of JFIF. Chroma is halved by 4:2:0, which says nothing about turning and resizing. */
Picture luma(const Picture *p);

/* Peak signal-to-noise ratio in dB over all channels; of the luma of two RGB pictures. */
double psnr(const Picture *a, const Picture *b);
double luma_psnr(const Picture *a, const Picture *b);

/* A whole file. OWNED by the caller. */
GBytes *load_file(const char *path);
/* A binary PPM of an RGB picture. */
void save_ppm(const Picture *p, const char *path);

#endif
