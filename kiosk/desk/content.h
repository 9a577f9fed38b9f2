#ifndef KIOSK_DESK_CONTENT_H
#define KIOSK_DESK_CONTENT_H

#include <jansson.h>

#include "kiosk/ledger/movement.h"

/* Reading an act's content: each key is named in its fault. Absent optional texts give "", numbers and days
 * MOVEMENT_NULL, flags false. */

enum content_need { CONTENT_OPTIONAL, CONTENT_REQUIRED };

bool content_text(const json_t *content, const char *key, enum content_need need, char *value, size_t size,
                  struct fault *fault);
/* A code: as content_text, but only [0-9A-Z./-]; lower case is raised. */
bool content_code(const json_t *content, const char *key, enum content_need need, char *value, size_t size,
                  struct fault *fault);
/* A keyword such as a reason: only [a-z0-9-]; it is kept for ever, so it is no place for free text or a name. */
bool content_word(const json_t *content, const char *key, enum content_need need, char *value, size_t size,
                  struct fault *fault);
/* A text that is one of `words` (ends with NULL), or "" where it is optional. */
bool content_one_of(const json_t *content, const char *key, enum content_need need, const char *const *words,
                    char *value, size_t size, struct fault *fault);
bool content_count(const json_t *content, const char *key, enum content_need need, int64_t least, int64_t most,
                   int64_t *value, struct fault *fault);
/* A number of any kind in `key` (ml, hours), scaled to whole `scale`-ths: 12.5 ml * 1000 = 12 500 microlitres. */
bool content_amount(const json_t *content, const char *key, double most, int64_t scale, int64_t *value,
                    struct fault *fault);
bool content_day(const json_t *content, const char *key, int64_t *value, struct fault *fault);
bool content_flag(const json_t *content, const char *key, bool *value, struct fault *fault);
/* Refuses keys that are not in `keys` (ends with NULL), so that a misspelled one is never silently ignored. */
bool content_only(const json_t *content, const char *const *keys, struct fault *fault);

#endif
