/* camera.h -- the cameras of a claim, and what is known of their clocks.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CAMERA_H
#define GABLEBOOK_CAMERA_H

#include <gablebook/clock.h>
#include <gablebook/log.h>

G_BEGIN_DECLS

/* Text OWNED by the struct. */
typedef struct {
    char *key;    /* make, model and serial; shots that name none share "" */
    char *name;   /* gb_camera_name, with the serial where two cameras would read alike; "unknown camera" */
    char *said;   /* a person's word on its clock, as typed: "67 min slow"; NULL none */
    guint shots;
    GArray *stretches; /* of GbClockStretch, in the order of the card; first and last are SHOT NUMBERS here */
} GbCamera;

/* A pair of shots that a person gave. */
typedef struct {
    gint64 shot, other;
} GbCameraPair;

typedef struct {
    GPtrArray *cameras; /* of GbCamera, by first use */
    GArray *pairs;      /* of GbCameraPair */
} GbCameras;

/* The cameras of the shots that are in the claim. OWNED by the caller (gb_cameras_free). */
GbCameras *gb_cameras_load(GbLog *log, GError **error);
/* The same, where all shots of the claim are loaded already (gb_shots_load), which is what takes the time. shots is BORROWED for the call. */
GbCameras *gb_cameras_of(GbLog *log, const GPtrArray *shots, GError **error);
void gb_cameras_free(GbCameras *cameras); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbCameras, gb_cameras_free)

/* The camera a person means: word.h rules over names. NULL with GB_ERROR_UNKNOWN, _UNCLEAR. BORROWED from cameras. */
const GbCamera *gb_cameras_find(const GbCameras *cameras, const char *text, GError **error);

/* "Larkfield LF-7 phone": make and model, the make not said twice; "" when unknown. OWNED by the caller (g_free). */
char *gb_camera_name(const GbExif *exif);
/* The key: what tells one camera from another. OWNED by the caller. */
char *gb_camera_key(const GbExif *exif);

G_END_DECLS
#endif
