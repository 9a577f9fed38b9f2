#include "kiosk/basics/id.h"

#include <stdlib.h>

#include <sodium.h>

enum { ID_BYTES = 16 };

void id_random(uint8_t *bytes, size_t length)
{
    if (sodium_init() < 0) /* may be called by any thread, any number of times */
        abort();
    randombytes_buf(bytes, length);
}

void id_make(char id[ID_SIZE])
{
    uint8_t bytes[ID_BYTES];
    id_random(bytes, sizeof bytes);
    (void)sodium_bin2hex(id, ID_SIZE, bytes, sizeof bytes);
}
