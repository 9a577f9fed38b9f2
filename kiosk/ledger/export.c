#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/import_line.h"

enum { PAGE = 1000 };

struct writing {
    FILE *out;
    struct import_line *line; /* one for all: it is too big to be made anew each time */
    struct import_counts counts;
    int64_t seen; /* of the page */
    bool ok;
    struct fault fault;
};

static bool write_line(struct writing *writing)
{
    json_t *object = import_line_write(writing->line);
    if (!object)
        writing->ok = fault_set(&writing->fault, FAULT_STORAGE,
                                "the ledger holds a text that is not UTF-8, or there is no memory: run verify");
    else if (json_dumpf(object, writing->out, JSON_COMPACT) != 0 || fputc('\n', writing->out) == EOF)
        writing->ok = fault_set(&writing->fault, FAULT_STORAGE,
                                "the export cannot be written: is the disk full, or the reader gone?");
    json_decref(object);
    return writing->ok;
}

static bool write_movement(const struct movement *movement, void *context)
{
    struct writing *writing = context;
    writing->line->kind = IMPORT_MOVEMENT;
    writing->line->movement = *movement;
    writing->seen++;
    writing->counts.movements++;
    return write_line(writing);
}

static bool write_text(const struct text_row *row, void *context)
{
    struct writing *writing = context;
    writing->line->kind = IMPORT_TEXT;
    writing->line->text = *row;
    writing->counts.texts++;
    return write_line(writing);
}

static bool write_act(const struct act_row *row, const char *answer, void *context)
{
    struct writing *writing = context;
    writing->line->kind = IMPORT_ACT;
    writing->line->act = *row;
    writing->line->answer = strdup(answer);
    writing->counts.acts++;
    const bool ok = writing->line->answer ? write_line(writing)
                                          : fault_set(&writing->fault, FAULT_STORAGE,
                                                      "no memory for an act: end other programs and try again");
    import_line_clear(writing->line);
    writing->ok = ok;
    return ok;
}

static bool write_header(struct ledger *ledger, struct writing *writing, struct fault *fault)
{
    struct import_line *line = writing->line;
    line->kind = IMPORT_HEADER;
    line->demo = ledger_is_demo(ledger);
    if (!ledger_head(ledger, &line->counts.movements, line->head, fault))
        return false;
    return write_line(writing);
}

static bool write_movements(struct ledger *ledger, struct writing *writing, struct fault *fault)
{
    do {
        writing->seen = 0;
        if (!ledger_each(ledger, writing->counts.movements, PAGE, write_movement, writing, fault))
            return false;
    } while (writing->ok && writing->seen == PAGE);
    return writing->ok;
}

static bool write_end(struct writing *writing)
{
    writing->line->kind = IMPORT_END;
    writing->line->counts = writing->counts;
    if (!write_line(writing))
        return false;
    if (fflush(writing->out) != 0)
        writing->ok = fault_set(&writing->fault, FAULT_STORAGE,
                                "the export cannot be written: is the disk full, or the reader gone?");
    return writing->ok;
}

static bool write_all(struct ledger *ledger, struct writing *writing, struct fault *fault)
{
    return write_header(ledger, writing, fault) && write_movements(ledger, writing, fault) &&
           ledger_text_each(ledger, write_text, writing, fault) && writing->ok &&
           act_row_each(ledger, write_act, writing, fault) && writing->ok && write_end(writing);
}

bool ledger_export(const char *address, FILE *out, struct fault *fault)
{
    struct ledger *ledger = NULL;
    struct writing writing = {.out = out, .ok = true};
    bool ok = false;
    if (!ledger_open(address, LEDGER_READER, &ledger, fault))
        return false;
    if (!ledger_begin(ledger, fault)) /* one state throughout, while the writer goes on */
        goto done;
    writing.line = calloc(1, sizeof *writing.line);
    if (!writing.line) {
        fault_set(fault, FAULT_STORAGE, "no memory to export the ledger: end other programs and try again");
        goto done;
    }
    ok = write_all(ledger, &writing, fault);
    if (!writing.ok)
        fault_set(fault, writing.fault.code, "%s", writing.fault.text);
done:
    free(writing.line);
    ledger_close(ledger);
    return ok;
}
