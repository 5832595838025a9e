/* digest.c -- SHA-256 through OpenSSL's EVP. See digest.h.
 *
 * A file is read in pieces, not mapped: a card that is pulled out then is an error of read(2) and not a SIGBUS.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/digest.h>

#include <errno.h>
#include <fcntl.h>
#include <gablebook/error.h>
#include <openssl/evp.h>
#include <sys/stat.h>
#include <unistd.h>

#define PIECE (64 * 1024)

G_DEFINE_AUTOPTR_CLEANUP_FUNC(EVP_MD_CTX, EVP_MD_CTX_free)

static gboolean refused(GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "SHA-256 is refused by the crypto library of this system; nothing was hashed");
    return FALSE;
}

/* A context ready for EVP_DigestUpdate, or NULL. */
static EVP_MD_CTX *begin(GError **error)
{
    g_autoptr(EVP_MD_CTX) context = EVP_MD_CTX_new();
    if (context == NULL || EVP_DigestInit_ex(context, EVP_sha256(), NULL) != 1) {
        refused(error);
        return NULL;
    }
    return g_steal_pointer(&context);
}

static gboolean end(EVP_MD_CTX *context, char hex[GB_DIGEST_HEX], GError **error)
{
    static const char digits[] = "0123456789abcdef";
    guint8 digest[EVP_MAX_MD_SIZE];
    unsigned int n = 0;
    if (EVP_DigestFinal_ex(context, digest, &n) != 1 || 2 * n != GB_DIGEST_HEX - 1)
        return refused(error);
    for (unsigned int i = 0; i < n; i++) {
        hex[2 * i] = digits[digest[i] >> 4];
        hex[2 * i + 1] = digits[digest[i] & 15];
    }
    hex[GB_DIGEST_HEX - 1] = '\0';
    return TRUE;
}

gboolean gb_digest(const void *data, gsize n, char hex[GB_DIGEST_HEX], GError **error)
{
    g_autoptr(EVP_MD_CTX) context = begin(error);
    if (context == NULL)
        return FALSE;
    if (n > 0 && EVP_DigestUpdate(context, data, n) != 1)
        return refused(error);
    return end(context, hex, error);
}

static gboolean file_failed(const char *path, int number, GError **error)
{
    g_autofree char *name = g_filename_display_name(path);
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s can't be read: %s", name, g_strerror(number));
    return FALSE;
}

/* A regular file open for reading, or -1. Not blocking, so that a FIFO can't hold us at its door. */
static int open_regular(const char *path, GError **error)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd < 0) {
        file_failed(path, errno, error);
        return -1;
    }
    struct stat info = { 0 };
    if (fstat(fd, &info) == 0 && S_ISREG(info.st_mode))
        return fd;
    close(fd);
    g_autofree char *name = g_filename_display_name(path);
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s is no regular file; it was not read", name);
    return -1;
}

static gboolean update_from(EVP_MD_CTX *context, int fd, const char *path, GError **error)
{
    g_autofree guint8 *piece = g_malloc(PIECE);
    for (;;) {
        ssize_t got = read(fd, piece, PIECE);
        if (got == 0)
            return TRUE;
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return file_failed(path, errno, error);
        if (EVP_DigestUpdate(context, piece, got) != 1)
            return refused(error);
    }
}

gboolean gb_digest_file(const char *path, char hex[GB_DIGEST_HEX], GError **error)
{
    g_autoptr(EVP_MD_CTX) context = begin(error);
    if (context == NULL)
        return FALSE;
    int fd = open_regular(path, error);
    if (fd < 0)
        return FALSE;
    gboolean good = update_from(context, fd, path, error);
    close(fd);
    return good && end(context, hex, error);
}

/* --- in parts --- */

struct GbDigester {
    EVP_MD_CTX *context;
};

GbDigester *gb_digester_new(GError **error)
{
    EVP_MD_CTX *context = begin(error);
    if (context == NULL)
        return NULL;
    GbDigester *digester = g_new(GbDigester, 1);
    digester->context = context;
    return digester;
}

gboolean gb_digester_add(GbDigester *digester, const void *data, gsize n, GError **error)
{
    return n == 0 || EVP_DigestUpdate(digester->context, data, n) == 1 || refused(error);
}

gboolean gb_digester_end(GbDigester *digester, char hex[GB_DIGEST_HEX], GError **error)
{
    return end(digester->context, hex, error);
}

void gb_digester_free(GbDigester *digester)
{
    if (digester == NULL)
        return;
    EVP_MD_CTX_free(digester->context);
    g_free(digester);
}
