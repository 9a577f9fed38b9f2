#include "kiosk/web/readers.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

struct readers {
    pthread_mutex_t mutex;
    char *address;
    struct ledger *idle[READERS]; /* a stack */
    size_t idle_count, open_count;
};

struct readers *readers_create(const char *address)
{
    struct readers *readers = calloc(1, sizeof *readers);
    if (!readers)
        return NULL;
    readers->address = strdup(address);
    if (!readers->address) {
        free(readers);
        return NULL;
    }
    pthread_mutex_init(&readers->mutex, NULL);
    return readers;
}

void readers_destroy(struct readers *readers)
{
    if (!readers)
        return;
    for (size_t i = 0; i < readers->idle_count; i++)
        ledger_close(readers->idle[i]);
    pthread_mutex_destroy(&readers->mutex);
    free(readers->address);
    free(readers);
}

/* An idle one, or NULL and the right to open one more; false when all are in use. */
static bool reserve(struct readers *readers, struct ledger **ledger)
{
    bool granted = true;
    *ledger = NULL;
    pthread_mutex_lock(&readers->mutex);
    if (readers->idle_count > 0)
        *ledger = readers->idle[--readers->idle_count];
    else if (readers->open_count < READERS)
        readers->open_count++;
    else
        granted = false;
    pthread_mutex_unlock(&readers->mutex);
    return granted;
}

static void forget(struct readers *readers)
{
    pthread_mutex_lock(&readers->mutex);
    readers->open_count--;
    pthread_mutex_unlock(&readers->mutex);
}

/* A kept connection may have died meanwhile (a database server that was restarted): then a fresh one is tried. */
bool readers_take(struct readers *readers, struct ledger **ledger, struct fault *fault)
{
    struct ledger *taken;
    if (!reserve(readers, &taken))
        return fault_set(fault, FAULT_BUSY, "all %d readers of the ledger are busy: try again", READERS);
    if (taken && !ledger_begin(taken, fault)) {
        ledger_close(taken);
        taken = NULL;
    } else if (taken) {
        *ledger = taken;
        return true;
    }
    if (ledger_open(readers->address, LEDGER_READER, &taken, fault)) {
        if (ledger_begin(taken, fault)) {
            *ledger = taken;
            return true;
        }
        ledger_close(taken);
    }
    forget(readers);
    return false;
}

void readers_give(struct readers *readers, struct ledger *ledger, bool broken)
{
    ledger_rollback(ledger); /* it only read */
    if (broken) {
        ledger_close(ledger);
        forget(readers);
        return;
    }
    pthread_mutex_lock(&readers->mutex);
    readers->idle[readers->idle_count++] = ledger;
    pthread_mutex_unlock(&readers->mutex);
}
