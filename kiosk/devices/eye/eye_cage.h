#ifndef KIOSK_DEVICES_EYE_EYE_CAGE_H
#define KIOSK_DEVICES_EYE_EYE_CAGE_H

#include <stdbool.h>

#include "labels/basics/fault.h"

/* What keeps a picture worker from doing harm once a hostile picture has taken it over. Both calls are for a process
 * of its own, which keeps them until it ends; there is no way back. */

/* True in builds with the address, memory or thread sanitizer: their run time reserves terabytes of addresses, starts
 * helper processes and opens files, so that such a build gets neither the memory limit nor the filter. */
bool eye_cage_is_lenient(void);

/* Closes every descriptor but 0, 1, 2 and `keep`, and sets limits: 1 GiB of addresses, 16 descriptors, no core file,
 * no new processes, no new privileges. False: FAULT_DEVICE. */
bool eye_cage_limit(int keep, struct fault *fault);

/* Puts the system call filter (seccomp) on. Left are: packets on descriptors already open, memory that is not
 * executable, time, random bytes, ending. Everything else is answered with EPERM rather than death, because a library
 * may well ask for something it can do without (the size of the machine, a file of settings); what only an
 * intruder would call (running a program, tracing, loading code into the kernel) kills the process at once.
 * False: FAULT_MISSING, this kernel or build has no such filter; the caller says so and goes on without. */
bool eye_cage_enter(struct fault *fault);

#endif
