#ifndef KIOSK_LEDGER_IMPORT_LINE_H
#define KIOSK_LEDGER_IMPORT_LINE_H

#include <stddef.h>

#include <jansson.h>

#include "kiosk/ledger/ledger_room.h"
#include "labels/basics/text.h"

/* One line of an exported ledger, both ways. The form (version 1), a JSON object a line:
 *   {"ledger":"ambershelf","form":1,"demo":false,"movements":41,"head":"3FA2…"}   first
 *   {"movement":{…}}                                             as movement_json.h, numbers 1 …
 *   {"text":{"id":…,"salt":…,"value":…}}                         erased ones: "erased":true, no value
 *   {"act":{"id","kind","counter","person","digest","at_ms","first_seq","last_seq","undone","answer"}}
 *   {"end":{"movements":41,"texts":3,"acts":20}}                 last, so that a cut file is seen */

enum { EXPORT_FORM = 1, IMPORT_LINE_SIZE = 2 * 1024 * 1024 };

enum import_line_kind { IMPORT_HEADER, IMPORT_MOVEMENT, IMPORT_TEXT, IMPORT_ACT, IMPORT_END };

struct import_counts {
    int64_t movements, texts, acts;
};

struct import_line {
    enum import_line_kind kind;
    bool demo;                   /* header */
    uint8_t head[HASH_BYTES];    /* header */
    struct import_counts counts; /* end; header: movements alone */
    struct movement movement;
    struct text_row text;
    struct act_row act;
    char *answer; /* act: owned, import_line_clear frees it */
};

/* Strangers' bytes, without the line's end. True: `*line` is filled and the caller clears it. FAULT_INPUT says what is
 * wrong with it; `*line` is untouched. Pure but for memory. */
bool import_line_read(struct span bytes, struct import_line *line, struct fault *fault);
void import_line_clear(struct import_line *line);

/* New objects, the caller's; NULL: no memory, or a text that is not UTF-8. */
json_t *import_line_write(const struct import_line *line);

#endif
