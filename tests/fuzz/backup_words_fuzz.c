#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/backup/backup_name.h"
#include "kiosk/ledger/chain.h"

/* What people type and what lies in a folder: heads ("NUMBER:HASH") and names of backups. Whatever is taken must write
 * and read back as the same. */

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static void look_at_mark(struct span said)
{
    struct chain_mark mark, again;
    struct fault fault = {FAULT_NONE, ""};
    char text[CHAIN_MARK_SIZE];
    if (!chain_mark_read(said, &mark, &fault)) {
        if (fault.code == FAULT_NONE || fault.text[0] == '\0')
            abort(); /* refused without a reason */
        return;
    }
    if (mark.seq < 0 || mark.bytes < CHAIN_DIGITS_LEAST / 2 || mark.bytes > HASH_BYTES ||
        !chain_mark_read(span_of(chain_mark_write(mark.seq, mark.hash, text)), &again, &fault) ||
        again.seq != mark.seq || memcmp(again.hash, mark.hash, mark.bytes) != 0)
        abort();
}

static void look_at_name(const char *name)
{
    struct instant at;
    int64_t seq = 0;
    char again[BACKUP_NAME_SIZE];
    if (backup_name_read(name, &at, &seq) && strcmp(backup_name_write(at, seq, again), name) != 0)
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    char *name = malloc(length + 1);
    if (!name)
        return 0;
    memcpy(name, bytes, length);
    name[length] = '\0';
    look_at_mark((struct span){name, length});
    look_at_name(name);
    free(name);
    return 0;
}
