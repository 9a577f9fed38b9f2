#include "kiosk/ledger/chain.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

/* A page shows the digits in groups. */
static bool without_blanks(struct span text, char plain[CHAIN_MARK_SIZE])
{
    struct builder out;
    builder_init(&out, plain, CHAIN_MARK_SIZE);
    for (size_t i = 0; i < text.length; i++)
        if (text.at[i] != ' ')
            builder_add_char(&out, text.at[i]);
    return !out.cut;
}

bool chain_mark_read(struct span said, struct chain_mark *mark, struct fault *fault)
{
    char plain[CHAIN_MARK_SIZE];
    const struct span text = without_blanks(said, plain) ? span_of(plain) : (struct span){NULL, 0};
    const char *colon = text.at ? memchr(text.at, ':', text.length) : NULL;
    struct chain_mark read = {.seq = 0};
    if (colon) {
        const struct span number = {text.at, (size_t)(colon - text.at)};
        const struct span digits = {colon + 1, text.length - number.length - 1};
        if (span_read_count(number, &read.seq) && digits.length >= CHAIN_DIGITS_LEAST &&
            text_read_hex(digits, read.hash, sizeof read.hash, &read.bytes)) {
            *mark = read;
            return true;
        }
    }
    return fault_set(fault, FAULT_INPUT,
                     "a head is written NUMBER:HASH, the hash with %d to %d hex digits: copy it as it was printed",
                     CHAIN_DIGITS_LEAST, 2 * HASH_BYTES);
}

const char *chain_mark_write(int64_t seq, const uint8_t hash[HASH_BYTES], char text[CHAIN_MARK_SIZE])
{
    char digits[2 * HASH_BYTES + 1];
    text_write_hex(hash, HASH_BYTES, digits, sizeof digits);
    (void)snprintf(text, CHAIN_MARK_SIZE, "%" PRId64 ":%s", seq, digits);
    return text;
}

struct looking {
    struct movement *movement;
    int64_t seq;
    bool found;
};

static bool take(const struct movement *movement, void *context)
{
    struct looking *looking = context;
    if (movement->seq == looking->seq) {
        *looking->movement = *movement;
        looking->found = true;
    }
    return false;
}

bool chain_movement(struct ledger *ledger, int64_t seq, struct movement *movement, bool *found, struct fault *fault)
{
    struct looking looking = {.movement = movement, .seq = seq};
    if (seq >= 1 && !ledger_each(ledger, seq - 1, 1, take, &looking, fault))
        return false;
    *found = looking.found;
    return true;
}

/* Do both hold this movement, with the same hash? */
static bool agree(struct ledger *one, struct ledger *other, int64_t seq, bool *same, struct fault *fault)
{
    struct movement here, there;
    bool is_here = false, is_there = false;
    if (!chain_movement(one, seq, &here, &is_here, fault) || !chain_movement(other, seq, &there, &is_there, fault))
        return false;
    *same = is_here && is_there && memcmp(here.hash, there.hash, HASH_BYTES) == 0;
    return true;
}

bool chain_common(struct ledger *one, struct ledger *other, int64_t *seq, struct fault *fault)
{
    int64_t here = 0, there = 0;
    uint8_t hash[HASH_BYTES];
    if (!ledger_head(one, &here, hash, fault) || !ledger_head(other, &there, hash, fault))
        return false;
    int64_t good = 0, bad = (here < there ? here : there) + 1;
    int64_t look = bad - 1; /* most often the shorter is the beginning of the longer: seen at once */
    while (bad - good > 1) {
        bool same = false;
        if (!agree(one, other, look, &same, fault))
            return false;
        if (same)
            good = look;
        else
            bad = look;
        look = good + (bad - good) / 2;
    }
    *seq = good;
    return true;
}
