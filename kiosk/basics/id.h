#ifndef KIOSK_BASICS_ID_H
#define KIOSK_BASICS_ID_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Random ids and bytes from the kernel's generator, through libsodium. Any thread. */

enum { ID_SIZE = 33 };

/* A random 128-bit id: 32 lower-case hex digits and a NUL. Fits an act's id. */
void id_make(char id[ID_SIZE]);

/* `length` random bytes (salts). The program ends when the machine can give none: going on would repeat ids. */
void id_random(uint8_t *bytes, size_t length);

#endif
