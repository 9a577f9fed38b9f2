#ifndef KIOSK_DEVICES_EYE_EYE_CHANNEL_H
#define KIOSK_DEVICES_EYE_EYE_CHANNEL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* How packets and picture bytes get from process to process: whole packets over a SOCK_SEQPACKET pair, bytes in a
 * memfd that is sealed (F_SEAL_SHRINK, GROW, WRITE, SEAL), so that neither end can change or cut them under the
 * other's hands: no copy is needed, and no read can end in SIGBUS. */

enum eye_passed {
    EYE_PASSED,
    EYE_NOT_NOW, /* without waiting: nothing there, or no room */
    EYE_GONE,    /* the other end closed or died */
    EYE_REFUSED, /* a packet longer than the buffer, or with descriptors nobody asked for (they are closed) */
};

/* Sends one packet, with a descriptor when `descriptor` >= 0 (it stays the caller's). No SIGPIPE. */
enum eye_passed eye_channel_send(int socket_fd, bool wait, const void *packet, size_t length, int descriptor);

/* Receives one packet. `descriptor` NULL: none is accepted; else *descriptor is -1 or the caller's to close
 * (close-on-exec). Only EYE_PASSED sets *length and *descriptor. */
enum eye_passed eye_channel_receive(int socket_fd, bool wait, void *buffer, size_t size, size_t *length,
                                    int *descriptor);

/* A new memfd with `rows` runs of `width` bytes, `stride` apart in `bytes`, packed and sealed. *descriptor is the
 * caller's to close. False: FAULT_STORAGE. */
bool eye_memory_seal(const uint8_t *bytes, size_t width, size_t stride, size_t rows, int *descriptor,
                     struct fault *fault);

/* Maps sealed memory for reading, after its seals and its length have been checked. *at is to be unmapped with
 * munmap(*at, length). False: FAULT_INPUT (not sealed, another length) or FAULT_STORAGE. */
bool eye_memory_map(int descriptor, size_t length, const uint8_t **at, struct fault *fault);

#endif
