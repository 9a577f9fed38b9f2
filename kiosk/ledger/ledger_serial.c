#include <string.h>

#include "kiosk/ledger/ledger_inside.h"
#include "kiosk/ledger/row.h"
#include "labels/basics/text.h"

static const struct sql_text NEXT_READ = {"SELECT next_number FROM serial_next WHERE letter = $1", "t"};
static const struct sql_text NEXT_WRITE = {"INSERT INTO serial_next (letter, next_number) VALUES ($1, $2)"
                                           " ON CONFLICT (letter) DO UPDATE SET next_number = excluded.next_number",
                                           "ti"};

struct next_row {
    int64_t number;
};
static const struct row_field NEXT_LIST[] = {ROW_FIELD(WHOLE, next_row, number)};
static const struct row_fields NEXT_FIELDS = ROW_FIELDS("serial_next", NEXT_LIST);

static bool read_next(struct ledger *ledger, char letter, int64_t *number, struct fault *fault)
{
    const char key[2] = {letter};
    struct next_row row = {.number = ledger->demo ? DEMO_NUMBER_FIRST : 1};
    bool found = false;
    if (!row_load(ledger, &NEXT_READ, ROW_KEYS({.text = key}), &NEXT_FIELDS, &row, sizeof row, &found, fault))
        return false;
    *number = row.number;
    return true;
}

static bool write_next(struct ledger *ledger, char letter, int64_t number, struct fault *fault)
{
    const char key[2] = {letter};
    return row_run(ledger, &NEXT_WRITE, ROW_KEYS({.text = key}, {.whole = number}), NULL, fault);
}

bool ledger_next_serial(struct ledger *ledger, char letter, char serial[SERIAL_SIZE], struct fault *fault)
{
    const int64_t last = ledger->demo ? DEMO_NUMBER_LAST : SERIAL_NUMBER_MAX;
    int64_t number = 0;
    char fresh[SERIAL_SIZE];
    if (letter == '\0' || !strchr(serial_letters, letter))
        return fault_set(fault, FAULT_INPUT, "serials begin with one of %s, not with '%c': correct the item's letter",
                         serial_letters, letter >= ' ' && letter < 0x7F ? letter : '?');
    if (!ledger->in_group)
        return fault_set(fault, FAULT_STORAGE,
                         "a serial was asked for outside a transaction: this is a fault of the "
                         "program, report it");
    if (!read_next(ledger, letter, &number, fault))
        return false;
    for (;; number++) {
        if (!ledger->demo && number >= DEMO_NUMBER_FIRST && number <= DEMO_NUMBER_LAST)
            number = DEMO_NUMBER_LAST + 1;
        if (number > last)
            return fault_set(fault, FAULT_REFUSED, "all serials with letter %c are used up: %s", letter,
                             ledger->demo ? "start a new demo" : "a new letter is needed, ask the makers");
        if (serial_write(letter, (long)number, fresh))
            break;
    }
    if (!write_next(ledger, letter, number + 1, fault))
        return false;
    memcpy(serial, fresh, SERIAL_SIZE);
    return true;
}

bool ledger_serial_used(struct ledger *ledger, const char *serial, struct fault *fault)
{
    char letter = '\0';
    long number = 0;
    int64_t next = 0;
    if (!*serial || !serial_read(span_of(serial), &letter, &number, NULL) || serial_is_demo(serial) != ledger->demo)
        return true; /* not from this counter */
    if (!read_next(ledger, letter, &next, fault))
        return false;
    return number < next || write_next(ledger, letter, number + 1, fault);
}

bool ledger_serial_skip(struct ledger *ledger, struct ledger *other, int64_t margin, struct fault *fault)
{
    const int64_t last = ledger->demo ? DEMO_NUMBER_LAST : SERIAL_NUMBER_MAX;
    for (const char *letter = serial_letters; *letter; letter++) {
        int64_t own = 0, given = 0;
        if (!read_next(ledger, *letter, &own, fault) || (other && !read_next(other, *letter, &given, fault)))
            return false;
        int64_t next = own < given ? given : own;
        next = next < last - margin ? next + margin : next; /* near the end numbers are too dear */
        if (next > own && !write_next(ledger, *letter, next, fault))
            return false;
    }
    return true;
}
