#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/cases/case.h"

/* The first line names the rule, the rest is the case. A small arena: what is too large is a fault too. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    enum { ROOM = 4 * 1024 * 1024, NAME = 40 };
    static unsigned char memory[ROOM];
    char name[NAME] = "";
    const uint8_t *end = size > 0 ? memchr(data, '\n', size) : NULL;
    if (!end || end - data >= NAME)
        return 0;
    memcpy(name, data, (size_t)(end - data));
    const struct rule_case *rule = case_find(name);
    if (!rule)
        return 0;
    struct arena arena;
    struct rule_fault fault;
    json_t *answer = NULL;
    arena_init(&arena, memory, sizeof memory);
    if (case_compute(rule, (const char *)end + 1, size - (size_t)(end + 1 - data), &arena, &answer, &fault))
        json_decref(answer);
    else if (fault.code == RULE_GOOD)
        abort();
    return 0;
}
