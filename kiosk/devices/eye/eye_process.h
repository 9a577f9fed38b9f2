#ifndef KIOSK_DEVICES_EYE_EYE_PROCESS_H
#define KIOSK_DEVICES_EYE_EYE_PROCESS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

#include "labels/basics/fault.h"

/* One worker process and the kiosk's end of its socket. Belongs to one thread. The process is ours alone to wait
 * for: no other part of the program may call wait() for any child, nor ignore SIGCHLD. */
struct eye_process {
    pid_t pid;             /* 0: none runs */
    int socket_fd;         /* -1: none */
    int64_t not_before_ms; /* the next start waits until then; monotonic */
    int early_deaths;      /* in a row, each before a picture was answered */
};

enum { EYE_LONGEST_PAUSE_MS = 2000 };

void eye_process_init(struct eye_process *process); /* no worker yet */

/* Milliseconds on CLOCK_MONOTONIC: a machine that slept has not kept a picture waiting. */
int64_t eye_process_now_ms(void);

/* Starts `program_path eye` with the socket as descriptor 3, an empty environment, standard error kept, input and
 * output on /dev/null, no other descriptor, all signals as by default, in a process group of its own (Ctrl-C at a
 * terminal is the kiosk's to handle). False: FAULT_DEVICE, and the pause before the next start grows. */
bool eye_process_start(struct eye_process *process, const char *program_path, struct fault *fault);

/* A picture was answered: the worker is sound, and the next start needs no pause. */
void eye_process_praise(struct eye_process *process);

/* Kills (SIGKILL) and reaps what runs and closes the socket. `how` gets in words how it ended, "signal 11 (…)",
 * "exit status 1", or "" when nothing ran. A worker that never answered a picture makes the pause before the next
 * start grow: none, 50 ms, 100 ms, … to EYE_LONGEST_PAUSE_MS. */
void eye_process_end(struct eye_process *process, char *how, size_t size);

#endif
