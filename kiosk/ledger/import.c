#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/import_line.h"

struct reading {
    struct ledger *ledger;
    FILE *in;
    char *bytes;    /* IMPORT_LINE_SIZE */
    int64_t number; /* of the line */
    struct import_line *line;
    struct import_counts counts; /* so far */
    int64_t promised;            /* movements, by the header */
    uint8_t head[HASH_BYTES];    /* by the header */
};

/* Puts the line's number before what is wrong with it. */
static bool in_line(const struct reading *reading, struct fault *fault)
{
    if (!fault)
        return false;
    return fault_set(fault, fault->code, "line %" PRId64 ": %s; nothing was imported", reading->number, fault->text);
}

/* The next line without its end; *more false at the end of the file. */
static bool next_line(struct reading *reading, struct span *bytes, bool *more, struct fault *fault)
{
    size_t length = 0;
    int c = 0;
    reading->number++;
    while ((c = getc(reading->in)) != EOF && c != '\n') {
        if (length == IMPORT_LINE_SIZE) {
            fault_set(fault, FAULT_INPUT, "it has more than %d bytes: this is not an exported ledger",
                      IMPORT_LINE_SIZE);
            return in_line(reading, fault);
        }
        reading->bytes[length++] = (char)c;
    }
    if (ferror(reading->in))
        return fault_set(fault, FAULT_STORAGE,
                         "line %" PRId64 " cannot be read: look at the disk; nothing was imported", reading->number);
    *bytes = (struct span){reading->bytes, length};
    *more = length > 0 || c != EOF;
    return true;
}

static bool read_header(struct reading *reading, struct fault *fault)
{
    struct span bytes = {NULL, 0};
    bool more = false;
    if (!next_line(reading, &bytes, &more, fault))
        return false;
    if (!more)
        return fault_set(fault, FAULT_INPUT, "the file is empty: nothing was imported");
    if (!import_line_read(bytes, reading->line, fault))
        return in_line(reading, fault);
    const bool is_header = reading->line->kind == IMPORT_HEADER;
    import_line_clear(reading->line);
    if (!is_header) {
        fault_set(fault, FAULT_INPUT, "it is not the header of an exported ledger");
        return in_line(reading, fault);
    }
    reading->promised = reading->line->counts.movements;
    memcpy(reading->head, reading->line->head, HASH_BYTES);
    return !reading->line->demo || ledger_set_demo(reading->ledger, fault) || in_line(reading, fault);
}

static bool check_head(const struct reading *reading, struct fault *fault)
{
    int64_t seq = 0;
    uint8_t hash[HASH_BYTES];
    if (!ledger_head(reading->ledger, &seq, hash, fault))
        return false;
    if (seq != reading->promised)
        return fault_set(fault, FAULT_INPUT, "the header promised %" PRId64 " movements, %" PRId64 " are in the file",
                         reading->promised, seq);
    return memcmp(hash, reading->head, HASH_BYTES) == 0 ||
           fault_set(fault, FAULT_INPUT, "the last hash is not the one in the header: the file was changed");
}

static bool check_end(const struct reading *reading, struct fault *fault)
{
    const struct import_counts *said = &reading->line->counts, *read = &reading->counts;
    if (said->movements != read->movements || said->texts != read->texts || said->acts != read->acts)
        return fault_set(fault, FAULT_INPUT,
                         "it counts %" PRId64 " movements, %" PRId64 " texts, %" PRId64 " acts, but %" PRId64
                         ", %" PRId64 ", %" PRId64 " came before: the file was changed",
                         said->movements, said->texts, said->acts, read->movements, read->texts, read->acts);
    return check_head(reading, fault);
}

static bool take(struct reading *reading, bool *end, struct fault *fault)
{
    struct import_line *line = reading->line;
    switch (line->kind) {
    case IMPORT_MOVEMENT:
        reading->counts.movements++;
        return ledger_book_as_is(reading->ledger, &line->movement, fault);
    case IMPORT_TEXT:
        reading->counts.texts++;
        return ledger_text_put_as_is(reading->ledger, &line->text, fault);
    case IMPORT_ACT:
        reading->counts.acts++;
        return act_row_store(reading->ledger, &line->act, line->answer, fault);
    case IMPORT_END:
        *end = true;
        return check_end(reading, fault);
    default:
        return fault_set(fault, FAULT_INPUT, "a second header: two files were run together");
    }
}

static bool read_lines(struct reading *reading, struct fault *fault)
{
    struct span bytes = {NULL, 0};
    bool end = false, more = true;
    while (!end) {
        if (!next_line(reading, &bytes, &more, fault))
            return false;
        if (!more)
            return fault_set(fault, FAULT_INPUT,
                             "the file ends at line %" PRId64 " without its end line: it is cut off; nothing was "
                             "imported",
                             reading->number - 1);
        if (!import_line_read(bytes, reading->line, fault))
            return in_line(reading, fault);
        const bool ok = take(reading, &end, fault);
        import_line_clear(reading->line);
        if (!ok)
            return in_line(reading, fault);
    }
    if (!next_line(reading, &bytes, &more, fault))
        return false;
    if (more)
        fault_set(fault, FAULT_INPUT, "something stands after the end line: the file was changed");
    return !more || in_line(reading, fault);
}

static bool check_empty(struct ledger *ledger, struct fault *fault)
{
    int64_t seq = 0;
    uint8_t hash[HASH_BYTES];
    if (!ledger_head(ledger, &seq, hash, fault))
        return false;
    return seq == 0 || fault_set(fault, FAULT_CONFLICT,
                                 "this ledger holds %" PRId64 " movements: import goes into an empty one only; name "
                                 "another file or database",
                                 seq);
}

bool ledger_import(const char *address, FILE *in, int64_t *movements, struct fault *fault)
{
    struct fault own = {FAULT_NONE, ""}; /* in_line reads what a lower call wrote */
    struct reading reading = {.in = in};
    bool ok = false;
    if (!ledger_open(address, LEDGER_WRITER, &reading.ledger, &own))
        goto done;
    reading.bytes = malloc(IMPORT_LINE_SIZE);
    reading.line = calloc(1, sizeof *reading.line);
    if (!reading.bytes || !reading.line) {
        fault_set(&own, FAULT_STORAGE, "no memory to import a ledger: end other programs and try again");
        goto done;
    }
    if (!ledger_begin(reading.ledger, &own))
        goto done;
    ok = check_empty(reading.ledger, &own) && read_header(&reading, &own) && read_lines(&reading, &own) &&
         ledger_commit(reading.ledger, &own);
    if (!ok)
        ledger_rollback(reading.ledger);
done:
    free(reading.bytes);
    free(reading.line);
    ledger_close(reading.ledger);
    if (ok)
        *movements = reading.counts.movements;
    else
        fault_set(fault, own.code, "%s", own.text);
    return ok;
}
