#ifndef KIOSK_CASES_CASE_IN_H
#define KIOSK_CASES_CASE_IN_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/rule.h"

/* Reads the keys of a case. The first fault counts and is kept; after it every call gives a harmless value (0, "", no
 * day, an empty list), so that a case is read without a test after each line: ask case_good at the end. A null is as
 * good as no key where the key is optional. Texts are borrowed from the JSON, lists live in the arena. */

struct case_in {
    const json_t *object; /* NULL after a fault: everything reads as absent */
    char path[64];        /* of nested ones, dotted and with a dot at the end: "lots.2." */
    struct arena *arena;
    struct rule_fault *fault;
};

/* Opens an object. `keys`: all that it may have, ended with NULL: another one is RULE_UNKNOWN_KEY, and its sentence
 * lists them. `path` is "" for the case itself, else "model." or "lots.2.". */
void case_open(struct case_in *in, const json_t *object, const char *path, const char *const *keys, struct arena *arena,
               struct rule_fault *fault);
bool case_good(const struct case_in *in);
/* Fills the fault with `key` behind the path. Returns false. */
bool case_fail(struct case_in *in, enum rule_fault_code code, const char *key, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
bool case_has(const struct case_in *in, const char *key); /* is there, and is not null */

/* What a number may be. The ends belong to it unless they are left out. */
struct case_range {
    double least, most;
    bool without_least, without_most;
};
extern const struct case_range CASE_ANY, CASE_NOT_NEGATIVE, CASE_POSITIVE, CASE_SHARE /* 0 to 1 */,
    CASE_INSIDE /* 0 to 1, without the ends */;

double case_number(struct case_in *in, const char *key, struct case_range range);
double case_number_or(struct case_in *in, const char *key, struct case_range range, double otherwise);
/* Whole numbers, up to 2^53 on either side. */
int64_t case_count(struct case_in *in, const char *key, int64_t least, int64_t most);
int64_t case_count_or(struct case_in *in, const char *key, int64_t least, int64_t most, int64_t otherwise);
bool case_flag_or(struct case_in *in, const char *key, bool otherwise);
const char *case_text(struct case_in *in, const char *key);
const char *case_text_or(struct case_in *in, const char *key, const char *otherwise);
struct day case_day(struct case_in *in, const char *key);
struct day case_day_or(struct case_in *in, const char *key, struct day otherwise);
/* One of `words`, ended with NULL: its place. Any other is RULE_RANGE with the list of them. */
int case_word(struct case_in *in, const char *key, const char *const *words);
int case_word_or(struct case_in *in, const char *key, const char *const *words, int otherwise);

/* A list: NULL and `*count` 0 after a fault; of an optional one that is absent too. */
const json_t *case_list(struct case_in *in, const char *key, size_t *count);
const json_t *case_list_or(struct case_in *in, const char *key, size_t *count);
/* Its element `index` as an object. */
void case_open_item(struct case_in *item, struct case_in *in, const char *key, const json_t *list, size_t index,
                    const char *const *keys);
/* The object under a key. */
void case_open_under(struct case_in *under, struct case_in *in, const char *key, const char *const *keys);
/* One element of a list. */
double case_number_at(struct case_in *in, const char *key, const json_t *list, size_t index, struct case_range range);
/* A list of numbers; `required` false: NULL with `*count` 0 when it is absent. */
double *case_numbers(struct case_in *in, const char *key, struct case_range range, bool required, size_t *count);
int64_t *case_counts(struct case_in *in, const char *key, int64_t least, int64_t most, bool required, size_t *count);
const char **case_texts(struct case_in *in, const char *key, bool required, size_t *count);
/* An entry may be null: NULL. */
const char **case_texts_or_null(struct case_in *in, const char *key, bool required, size_t *count);

/* Room in the arena for a list's structs, zeroed. NULL after a fault, of which a full arena is one. */
void *case_room(struct case_in *in, size_t count, size_t size);

/* RULE_DUPLICATE when two of `ids` are the same; KEY.INDEX.NAME is named (`name` "": KEY.INDEX). True: all is good so
 * far. The second is for the texts at `offset` in structs of `size` bytes. */
bool case_unique(struct case_in *in, const char *key, const char *name, const char *const *ids, size_t count);
bool case_unique_in(struct case_in *in, const char *key, const char *name, const void *structs, size_t count,
                    size_t size, size_t offset);

#endif
