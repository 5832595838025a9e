/* colour.c -- Little CMS, for pictures that are small already. See colour-private.h.
 *
 * Each call has a context of its own: nothing is shared between threads. Most profiles are sRGB under some maker's name. They are found by
 * what they say, not by what they are called, and before anything is built for them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "colour-private.h"

#include <lcms2.h>
#include <math.h>

#define SAME_COLORANT 0.002 /* of XYZ, white has Y = 1: makers round, and adapt to D50, in several ways */
#define SAME_LIGHT 0.002    /* of 0 ... 1 */

typedef void *Profile; /* lcms has one type for all its handles; this one is a profile */

static void close_profile(Profile *profile)
{
    if (*profile != NULL)
        cmsCloseProfile(*profile);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Profile, close_profile)
G_DEFINE_AUTO_CLEANUP_FREE_FUNC(cmsContext, cmsDeleteContext, NULL)

static void say_nothing(cmsContext context, cmsUInt32Number code, const char *text)
{
    (void)context, (void)code, (void)text;
}

static cmsContext context_new(void)
{
    cmsContext context = cmsCreateContext(NULL, NULL);
    if (context != NULL)
        cmsSetLogErrorHandlerTHR(context, say_nothing);
    return context;
}

/* --- sRGB already? --- */

/* IEC 61966-2-1: what light a number stands for. */
static double srgb_light(double value)
{
    return value <= 0.04045 ? value / 12.92 : pow((value + 0.055) / 1.055, 2.4);
}

static gboolean is_srgb_curve(const cmsToneCurve *curve)
{
    for (int i = 0; curve != NULL && i <= 8; i++)
        if (fabs((double)cmsEvalToneCurveFloat(curve, (float)i / 8) - srgb_light(i / 8.0)) > SAME_LIGHT)
            return FALSE;
    return curve != NULL;
}

static gboolean is_colorant(const cmsCIEXYZ *has, const cmsCIEXYZ *wanted)
{
    return has != NULL && fabs(has->X - wanted->X) <= SAME_COLORANT && fabs(has->Y - wanted->Y) <= SAME_COLORANT &&
           fabs(has->Z - wanted->Z) <= SAME_COLORANT;
}

static gboolean is_srgb(cmsHPROFILE profile)
{
    static const struct {
        cmsTagSignature colorant, curve;
        cmsCIEXYZ xyz; /* of IEC 61966-2-1, adapted to D50 as ISO 15076-1 wants it (the ICC's own sRGB profile) */
    } channels[] = {
        { cmsSigRedColorantTag, cmsSigRedTRCTag, { 0.4361, 0.2225, 0.0139 } },
        { cmsSigGreenColorantTag, cmsSigGreenTRCTag, { 0.3851, 0.7169, 0.0971 } },
        { cmsSigBlueColorantTag, cmsSigBlueTRCTag, { 0.1431, 0.0606, 0.7141 } },
    };
    if (!cmsIsMatrixShaper(profile) || cmsIsTag(profile, cmsSigAToB0Tag))
        return FALSE;
    for (gsize i = 0; i < G_N_ELEMENTS(channels); i++)
        if (!is_colorant(cmsReadTag(profile, channels[i].colorant), &channels[i].xyz) ||
            !is_srgb_curve(cmsReadTag(profile, channels[i].curve)))
            return FALSE;
    return TRUE;
}

/* --- converting --- */

/* JFIF 1.02: all 256 values used, BT.601 weights. In 65536ths, rounded. */
static void ycc_to_rgb(guint8 *at, gsize n)
{
    for (gsize i = 0; i < n; i++, at += 3) {
        int y = at[0], blue = at[1] - 128, red = at[2] - 128;
        int rgb[3] = { y + ((91881 * red + 32768) >> 16), y + ((-22554 * blue - 46802 * red + 32768) >> 16),
                       y + ((116130 * blue + 32768) >> 16) };
        for (int c = 0; c < 3; c++)
            at[c] = (guint8)CLAMP(rgb[c], 0, 255);
    }
}

/* A profile that says how RGB pictures are to be read. */
static gboolean is_of_rgb_pictures(cmsHPROFILE profile)
{
    cmsProfileClassSignature class = cmsGetDeviceClass(profile);
    return cmsGetColorSpace(profile) == cmsSigRgbData &&
           (class == cmsSigDisplayClass || class == cmsSigInputClass || class == cmsSigColorSpaceClass);
}

GbPixels gb_to_srgb(const void *profile, gsize profile_bytes, guint8 *pixels, gsize n, GbPixels kind)
{
    if (profile == NULL || profile_bytes > GB_PROFILE_MAX_BYTES || kind == GB_PIXELS_GREY)
        return kind;
    g_auto(cmsContext) context = context_new();
    if (context == NULL)
        return kind;
    g_auto(Profile) from = cmsOpenProfileFromMemTHR(context, profile, (cmsUInt32Number)profile_bytes);
    if (from == NULL || !is_of_rgb_pictures(from) || is_srgb(from))
        return kind;
    g_auto(Profile) to = cmsCreate_sRGBProfileTHR(context);
    cmsHTRANSFORM transform = to == NULL ? NULL : cmsCreateTransformTHR(context, from, TYPE_RGB_8, to, TYPE_RGB_8, INTENT_PERCEPTUAL, 0);
    if (transform == NULL)
        return kind;
    if (kind == GB_PIXELS_YCC)
        ycc_to_rgb(pixels, n);
    cmsDoTransform(transform, pixels, pixels, (cmsUInt32Number)n);
    cmsDeleteTransform(transform);
    return GB_PIXELS_RGB;
}

/* --- HEIC names primaries by a number --- */

GBytes *gb_profile_of_primaries(int primaries)
{
    /* ITU-T H.273 (07/2021), table 2; both have D65 as white. */
    static const struct {
        int number;
        cmsCIExyYTRIPLE primaries;
    } known[] = {
        { 9, { { 0.708, 0.292, 1 }, { 0.170, 0.797, 1 }, { 0.131, 0.046, 1 } } },  /* Rec. ITU-R BT.2020-2 */
        { 12, { { 0.680, 0.320, 1 }, { 0.265, 0.690, 1 }, { 0.150, 0.060, 1 } } }, /* SMPTE EG 432-1: Display P3 */
    };
    static const cmsCIExyY d65 = { 0.3127, 0.3290, 1 };
    static const double srgb_curve[] = { 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045 };
    gsize i = 0;
    while (i < G_N_ELEMENTS(known) && known[i].number != primaries)
        i++;
    g_auto(cmsContext) context = i == G_N_ELEMENTS(known) ? NULL : context_new();
    cmsToneCurve *curve = context == NULL ? NULL : cmsBuildParametricToneCurve(context, 4, srgb_curve);
    if (curve == NULL)
        return NULL;
    g_auto(Profile) profile = cmsCreateRGBProfileTHR(context, &d65, &known[i].primaries, (cmsToneCurve *[]){ curve, curve, curve });
    cmsFreeToneCurve(curve);
    cmsUInt32Number n = 0;
    if (profile == NULL || !cmsSaveProfileToMem(profile, NULL, &n))
        return NULL;
    g_autofree guint8 *bytes = g_malloc(n); /* some hundred: it is our own */
    return cmsSaveProfileToMem(profile, bytes, &n) ? g_bytes_new_take(g_steal_pointer(&bytes), n) : NULL;
}
