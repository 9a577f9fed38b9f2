#ifndef KIOSK_RULES_LOAD_BITS_H
#define KIOSK_RULES_LOAD_BITS_H

#include <stdbool.h>
#include <stdint.h>

/* Sets of amounts as bits, 64 in a word, so that "take this container too" is one shift of the whole set. A set holds
 * only the words `first` to `first + count - 1` of its line; all others are 0. The memory is the caller's. */

enum { LOAD_WORD = 64 };

struct load_bits {
    uint64_t *words; /* words[0] is word `first` */
    int64_t first, count;
};

/* Adds to `to` what stands in `from`, moved up by `up` (down where it is negative). What falls outside `to` is lost. */
void load_bits_add(const struct load_bits *to, const struct load_bits *from, int64_t up);
/* Has `from`, moved up by `up`, anything in common with `with`? */
bool load_bits_meet(const struct load_bits *with, const struct load_bits *from, int64_t up);
void load_bits_clear(const struct load_bits *bits);
void load_bits_put(const struct load_bits *bits, int64_t at); /* lost outside */
bool load_bits_has(const struct load_bits *bits, int64_t at);
/* The lowest, the highest in [from, to]; -1 when there is none. */
int64_t load_bits_lowest(const struct load_bits *bits, int64_t from, int64_t to);
int64_t load_bits_highest(const struct load_bits *bits, int64_t from, int64_t to);

#endif
