#ifndef LABELS_PICTURE_JPEG_H
#define LABELS_PICTURE_JPEG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/picture/picture.h"

/* JPEG to grey by libjpeg-turbo. Refused before decoding: more pixels than allowed, a file too short for its own
 * size, and more scans than an honest progressive picture has (each scan walks over the whole picture again).
 * A cut or damaged file is refused; stray bytes between markers, which cameras leave, are not damage. */
bool jpeg_read(const uint8_t *bytes, size_t length, const struct picture_limits *limits, struct picture *picture,
               struct fault *fault);

#endif
