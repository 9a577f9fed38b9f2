#include "tests/ledger/forged_ledger.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/movement_hash.h"

struct forging {
    struct ledger *ledger;
    int kept, changed_from;
    uint8_t hash[HASH_BYTES];
    struct fault fault;
    bool fine;
};

static bool forge(const struct movement *movement, void *context)
{
    struct forging *forging = context;
    struct movement copy = *movement;
    if (copy.seq > forging->kept)
        return false;
    if (forging->changed_from > 0 && copy.seq >= forging->changed_from)
        copy.at.ms += 1000;
    movement_hash(forging->hash, &copy, copy.hash);
    memcpy(forging->hash, copy.hash, HASH_BYTES);
    forging->fine = ledger_book_as_is(forging->ledger, &copy, &forging->fault);
    return forging->fine;
}

static bool copy_text(const struct text_row *row, void *context)
{
    struct forging *forging = context;
    forging->fine = ledger_text_put_as_is(forging->ledger, row, &forging->fault);
    return forging->fine;
}

void forged_ledger_make(const struct ledger_fixture *fixture, const char *from, int kept, int changed_from)
{
    struct forging forging = {.kept = kept, .changed_from = changed_from, .fine = true};
    struct ledger *source = NULL;
    assert_true(ledger_open(from, LEDGER_READER, &source, NULL));
    forging.ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(ledger_begin(forging.ledger, NULL));
    assert_true(ledger_each(source, 0, INT64_MAX, forge, &forging, NULL));
    if (forging.fine)
        assert_true(ledger_text_each(source, copy_text, &forging, NULL));
    if (!forging.fine)
        fail_msg("%s", forging.fault.text);
    assert_true(ledger_commit(forging.ledger, NULL));
    ledger_close(forging.ledger);
    ledger_close(source);
}
