#include <inttypes.h>
#include <string.h>

#include "kiosk/ledger/desk_rows.h"

/* waiting: ordered. sent: given to a device. printed: the device claims so. proved: scanned back. failed: it did not
 * come out. unknown: nobody can tell (power cut while sending), somebody must look. withdrawn: a person said it is not
 * wanted; nothing of it went out, or the printer says that it dropped it. Whatever state it is in, a label that is
 * scanned is there: all but "proved" itself lead to proved. */
static const bool STEPS[][PRINT_STATES] = {
    [PRINT_WAITING] = {[PRINT_SENT] = true, [PRINT_FAILED] = true, [PRINT_PROVED] = true, [PRINT_WITHDRAWN] = true},
    [PRINT_SENT] = {[PRINT_WAITING] = true, /* refused before a byte of it went out: safe to try again */
                    [PRINT_PRINTED] = true,
                    [PRINT_FAILED] = true,
                    [PRINT_UNKNOWN] = true,
                    [PRINT_PROVED] = true,
                    [PRINT_WITHDRAWN] = true},
    [PRINT_PRINTED] = {[PRINT_PROVED] = true, [PRINT_FAILED] = true, [PRINT_UNKNOWN] = true},
    [PRINT_PROVED] = {[PRINT_FAILED] = false}, /* the end: a worn label is a reprint, the next number */
    [PRINT_FAILED] = {[PRINT_WAITING] = true, [PRINT_PROVED] = true, [PRINT_WITHDRAWN] = true},
    [PRINT_UNKNOWN] = {[PRINT_WAITING] = true, [PRINT_PRINTED] = true, [PRINT_FAILED] = true, [PRINT_PROVED] = true},
    [PRINT_WITHDRAWN] = {[PRINT_WAITING] = true, /* the withdrawal is taken back */
                         [PRINT_FAILED] = true,  /* it was failed before that */
                         [PRINT_PROVED] = true},
};
_Static_assert(sizeof STEPS / sizeof *STEPS == PRINT_STATES, "one line a state");

const char *print_state_word(enum print_state state)
{
    static const char *const words[] = {"waiting", "sent", "printed", "proved", "failed", "unknown", "withdrawn"};
    _Static_assert(sizeof words / sizeof *words == PRINT_STATES, "one word a state");
    return (unsigned)state < PRINT_STATES ? words[state] : "no state";
}

bool print_state_read(const char *word, enum print_state *state)
{
    for (unsigned i = 0; i < PRINT_STATES; i++)
        if (strcmp(word, print_state_word((enum print_state)i)) == 0) {
            *state = (enum print_state)i;
            return true;
        }
    return false;
}

bool print_state_step(enum print_state from, enum print_state to, struct fault *fault)
{
    if ((unsigned)from < PRINT_STATES && (unsigned)to < PRINT_STATES && STEPS[from][to])
        return true;
    return fault_set(fault, FAULT_REFUSED, "a label that is %s cannot become %s: order a new print",
                     print_state_word(from), print_state_word(to));
}

#define TICKET "JOB/"

void print_ticket_name(int64_t plan, char place[PLACE_SIZE])
{
    struct builder out;
    builder_init(&out, place, PLACE_SIZE);
    builder_addf(&out, TICKET "%" PRId64, plan);
}

int64_t print_ticket_plan(const char *place)
{
    int64_t plan;
    const struct span span = span_of(place);
    const size_t before = sizeof TICKET - 1;
    if (!span_starts(span, TICKET) || !span_read_count((struct span){place + before, span.length - before}, &plan) ||
        plan < 1)
        return MOVEMENT_NULL;
    return plan;
}
