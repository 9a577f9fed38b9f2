#include "kiosk/program/picture_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* The whole file, at most a byte more than the limit, so that "too long" is told by the picture room. */
static bool load_file(const char *path, uint8_t **bytes, size_t *length, struct fault *fault)
{
    const int file = open(path, O_RDONLY | O_CLOEXEC);
    if (file < 0)
        return fault_set(fault, FAULT_MISSING, "cannot be opened (%s): check the name", strerror(errno));
    const size_t most = picture_default_limits.file_bytes + 1;
    size_t size = 1 << 16, have = 0;
    uint8_t *buffer = malloc(size);
    ssize_t got = 0;
    while (buffer && have < most && (got = read(file, buffer + have, size - have)) > 0) {
        have += (size_t)got;
        if (have == size) {
            size = size * 2 < most ? size * 2 : most + 1;
            uint8_t *larger = realloc(buffer, size);
            if (!larger)
                free(buffer);
            buffer = larger;
        }
    }
    const int error = errno;
    close(file);
    if (!buffer)
        return fault_set(fault, FAULT_STORAGE, "is too large for the memory there is");
    if (got < 0) {
        free(buffer);
        return fault_set(fault, FAULT_STORAGE, "cannot be read (%s)", strerror(error));
    }
    *bytes = buffer;
    *length = have;
    return true;
}

bool picture_file_read(const char *path, struct picture *picture, struct fault *fault)
{
    uint8_t *bytes = NULL;
    size_t length = 0;
    if (!load_file(path, &bytes, &length, fault))
        return false;
    const bool read = picture_read(bytes, length, &picture_default_limits, picture, fault);
    free(bytes);
    return read;
}
