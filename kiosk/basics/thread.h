#ifndef KIOSK_BASICS_THREAD_H
#define KIOSK_BASICS_THREAD_H

#include <stdbool.h>

#include "labels/basics/fault.h"

/* One thread with a name (shown by ps, top and debuggers). It blocks every signal that can be blocked, so that signals
 * reach main alone. Whoever starts it joins it, once. */

struct thread;

enum { THREAD_NAME_SIZE = 16 }; /* Linux keeps 15 characters; a longer name is cut */

/* Runs `run(context)` on a new thread. FAULT_STORAGE: no memory or no more threads. */
bool thread_start(const char *name, void (*run)(void *context), void *context, struct thread **thread,
                  struct fault *fault);
/* Waits until `run` has returned, and frees. Accepts NULL. Never from the thread itself. */
void thread_join(struct thread *thread);

#endif
