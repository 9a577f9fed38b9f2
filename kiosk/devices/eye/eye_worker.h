#ifndef KIOSK_DEVICES_EYE_EYE_WORKER_H
#define KIOSK_DEVICES_EYE_EYE_WORKER_H

/* The picture worker: a process of its own that decodes pictures from outside, so that one that breaks a decoder
 * breaks no more than this process. It enters its cage before it looks at a byte, then serves requests from
 * `socket_fd` one after another until the kiosk closes its end.
 *
 * Returns the exit status: 0 the kiosk closed, 1 something failed (one line on standard error), 2 `socket_fd` is not
 * the kiosk's socket: started by hand. Changes the process for good: call it from main and return what it says. */
int eye_worker_main(int socket_fd);

#endif
