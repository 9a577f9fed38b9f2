#include "kiosk/ledger/movement_hash.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/movement_field.h"
#include "labels/basics/text.h"

/* The two expected hashes were computed apart from this code, with Python 3.11 (hashlib, struct), 25 fields in order:
 *   def enc(fields):                       # None = not said
 *       out = bytes([1])                   # form version
 *       for tag, v in enumerate(fields, 1):
 *           if v is None: out += bytes([tag, 0])
 *           elif isinstance(v, int): out += bytes([tag, 1]) + struct.pack('>q', v)
 *           else: out += bytes([tag, 2]) + struct.pack('>I', len(v.encode())) + v.encode()
 *       return out
 *   f = [1, "act-00000001", "receipt", 1771061400123, 20498, 1, "kiosk-1", "H000001X", "C004217T", None, "FLINT",
 *        "RS24117B", "A3-07", None, None, None, None, 1000000, None, None, None, 20679, None, None, '{"a":1}']
 *   h1 = hashlib.sha256(bytes(32) + enc(f)).digest()
 *   g = [2, "act-00000002", "clock-confirmed", -1, -1, 0, "kiosk-1"] + [None] * 18
 *   h2 = hashlib.sha256(h1 + enc(g)).digest() */
static const char first_hash[] = "58C41293E2C270B8B312E87481782CC32C8631E8FC459A9E0362EF51166B2F4B";
static const char second_hash[] = "57EDDBB862D801ADEA556F8A0BD9AA5C5C3E843710E143AD6B0E1C371E627E69";

static struct movement first(void)
{
    struct movement m;
    movement_init(&m, MOVEMENT_RECEIPT);
    m.seq = 1;
    strcpy(m.act, "act-00000001");
    m.at.ms = INT64_C(1771061400123);
    m.local_day.number = 20498;
    m.trusted = true;
    strcpy(m.kiosk, "kiosk-1");
    strcpy(m.person, "H000001X");
    strcpy(m.unit, "C004217T");
    strcpy(m.item, "FLINT");
    strcpy(m.lot, "RS24117B");
    strcpy(m.place, "A3-07");
    m.amount_ul = 1000000;
    m.expires = 20679;
    strcpy(m.detail, "{\"a\":1}");
    return m;
}

static void assert_hash(const uint8_t hash[HASH_BYTES], const char *expected)
{
    char text[2 * HASH_BYTES + 1];
    text_write_hex(hash, HASH_BYTES, text, sizeof text);
    assert_string_equal(text, expected);
}

static void the_chain_is_what_another_program_computes(void **state)
{
    const uint8_t zero[HASH_BYTES] = {0};
    uint8_t one[HASH_BYTES], two[HASH_BYTES];
    struct movement m = first();
    (void)state;
    movement_hash(zero, &m, one);
    assert_hash(one, first_hash);
    movement_init(&m, MOVEMENT_CLOCK_CONFIRMED);
    m.seq = 2;
    strcpy(m.act, "act-00000002");
    m.at.ms = -1;
    m.local_day.number = -1;
    strcpy(m.kiosk, "kiosk-1");
    movement_hash(one, &m, two);
    assert_hash(two, second_hash);
}

static void the_previous_hash_counts(void **state)
{
    const uint8_t zero[HASH_BYTES] = {0}, other[HASH_BYTES] = {[31] = 1};
    uint8_t one[HASH_BYTES], two[HASH_BYTES];
    const struct movement m = first();
    (void)state;
    movement_hash(zero, &m, one);
    movement_hash(other, &m, two);
    assert_memory_not_equal(one, two, HASH_BYTES);
}

/* Another value than the one that is there. */
static void change(struct movement *m, const struct movement_field *field)
{
    char *at = (char *)m + field->offset;
    switch (field->type) {
    case MOVEMENT_FIELD_TEXT:
    case MOVEMENT_FIELD_DETAIL:
        if (at[0])
            at[0]++;
        else
            memcpy(at, "x", 2);
        break;
    case MOVEMENT_FIELD_KIND:
        m->kind = MOVEMENT_TAKE_ON;
        break;
    case MOVEMENT_FIELD_TODAY:
        m->local_day.number++;
        break;
    case MOVEMENT_FIELD_FLAG:
        m->trusted = !m->trusted;
        break;
    default: {
        const int64_t number =
            movement_field_number(m, field) == MOVEMENT_NULL ? 0 : movement_field_number(m, field) + 1;
        memcpy(at, &number, sizeof number);
    }
    }
}

static void every_field_changes_the_hash(void **state)
{
    const uint8_t zero[HASH_BYTES] = {0};
    uint8_t before[HASH_BYTES], after[HASH_BYTES];
    const struct movement whole = first();
    (void)state;
    movement_hash(zero, &whole, before);
    for (int i = 0; i < MOVEMENT_FIELD_COUNT; i++) {
        struct movement m = whole;
        change(&m, &movement_fields[i]);
        movement_hash(zero, &m, after);
        if (memcmp(before, after, HASH_BYTES) == 0)
            fail_msg("field '%s' is not hashed", movement_fields[i].name);
    }
}

static void not_said_is_neither_nought_nor_another_fields_text(void **state)
{
    const uint8_t zero[HASH_BYTES] = {0};
    uint8_t unsaid[HASH_BYTES], nought[HASH_BYTES], printer[HASH_BYTES], job[HASH_BYTES];
    struct movement m = first();
    (void)state;
    movement_hash(zero, &m, unsaid);
    m.minutes = 0;
    movement_hash(zero, &m, nought);
    assert_memory_not_equal(unsaid, nought, HASH_BYTES);
    m = first();
    strcpy(m.printer, "CAPSTAN");
    movement_hash(zero, &m, printer);
    m = first();
    strcpy(m.job, "CAPSTAN");
    movement_hash(zero, &m, job);
    assert_memory_not_equal(printer, job, HASH_BYTES);
}

static void bytes_behind_a_texts_end_do_not_count(void **state)
{
    const uint8_t zero[HASH_BYTES] = {0};
    uint8_t hash[HASH_BYTES];
    struct movement m = first();
    (void)state;
    memcpy(m.lot + strlen(m.lot) + 1, "zz", 2);
    memset(m.hash, 0xFF, sizeof m.hash); /* the old hash is no part of the new */
    movement_hash(zero, &m, hash);
    assert_hash(hash, first_hash);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_chain_is_what_another_program_computes),
        cmocka_unit_test(the_previous_hash_counts),
        cmocka_unit_test(every_field_changes_the_hash),
        cmocka_unit_test(not_said_is_neither_nought_nor_another_fields_text),
        cmocka_unit_test(bytes_behind_a_texts_end_do_not_count),
    };
    return cmocka_run_group_tests_name("ledger/movement_hash", tests, NULL, NULL);
}
