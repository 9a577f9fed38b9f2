#include "kiosk/basics/thread.h"

#include <pthread.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>

#include "labels/basics/text.h"

struct thread {
    pthread_t id;
    void (*run)(void *context);
    void *context;
    char name[THREAD_NAME_SIZE];
};

static void *thread_main(void *argument)
{
    struct thread *thread = argument;
    (void)pthread_setname_np(pthread_self(), thread->name); /* only for eyes: failing costs nothing */
    thread->run(thread->context);
    return NULL;
}

bool thread_start(const char *name, void (*run)(void *context), void *context, struct thread **thread,
                  struct fault *fault)
{
    struct thread *fresh = calloc(1, sizeof *fresh);
    if (!fresh)
        return fault_set(fault, FAULT_STORAGE, "no memory to start thread '%s': end other programs", name);
    fresh->run = run;
    fresh->context = context;
    struct builder text;
    builder_init(&text, fresh->name, sizeof fresh->name);
    builder_add(&text, name);

    sigset_t all, before; /* a new thread inherits the mask: block first, so that no signal slips in between */
    (void)sigfillset(&all);
    (void)pthread_sigmask(SIG_SETMASK, &all, &before);
    const int answer = pthread_create(&fresh->id, NULL, thread_main, fresh);
    (void)pthread_sigmask(SIG_SETMASK, &before, NULL);
    if (answer != 0) {
        free(fresh);
        return fault_set(fault, FAULT_STORAGE, "thread '%s' cannot start (%s): end other programs", name,
                         strerror(answer));
    }
    *thread = fresh;
    return true;
}

void thread_join(struct thread *thread)
{
    if (!thread)
        return;
    (void)pthread_join(thread->id, NULL);
    free(thread);
}
