#include "tests/faults/act_run_known.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sqlite3.h>

#include "labels/basics/text.h"
#include "labels/content/scan.h"
#include "labels/content/unit_label.h"

/* The first value that a question has, "" when there is none. */
static void ask(const char *path, const char *question, struct builder *out)
{
    sqlite3 *handle = NULL;
    sqlite3_stmt *row = NULL;
    if (sqlite3_open_v2(path, &handle, SQLITE_OPEN_READONLY, NULL) == SQLITE_OK &&
        sqlite3_prepare_v2(handle, question, -1, &row, NULL) == SQLITE_OK && sqlite3_step(row) == SQLITE_ROW)
        builder_add(out, (const char *)sqlite3_column_text(row, 0));
    (void)sqlite3_finalize(row);
    (void)sqlite3_close(handle);
}

/* Serials are handed out in order; numbers whose check character would be I or O are left out. */
static void add_serial(char letter, long nth, struct builder *out)
{
    char serial[SERIAL_SIZE] = "";
    for (long number = 1; nth > 0; number++)
        nth -= serial_write(letter, number, serial);
    builder_add(out, serial);
}

static void add_card(const char *word, struct builder *out)
{
    char bytes[UNIT_LABEL_TEXT_SIZE], hex[2 * UNIT_LABEL_TEXT_SIZE + 1];
    size_t length = 0;
    if (!card_label_write(word, bytes, &length, NULL))
        return;
    text_write_hex((const uint8_t *)bytes, length, hex, sizeof hex);
    builder_add(out, hex);
}

static void add_known(const char *path, int number, char *name, struct builder *out)
{
    const size_t length = strlen(name);
    if (length > 1 && name[length - 1] == '!') {
        name[length - 1] = '\0';
        add_card(name, out);
    } else if (strcmp(name, "Q") == 0) {
        ask(path, "SELECT seq FROM question WHERE is_open = 1 ORDER BY seq LIMIT 1", out);
    } else if (strcmp(name, "D") == 0) {
        ask(path, "SELECT id FROM delivery ORDER BY opened_ms DESC LIMIT 1", out);
    } else if (strcmp(name, "K") == 0) {
        ask(path, "SELECT id FROM sticker ORDER BY version DESC LIMIT 1", out);
    } else if (strncmp(name, "BACK", 4) == 0) {
        builder_addf(out, "day-act-%04d", number - (int)strtol(name + 4, NULL, 10));
    } else {
        add_serial(name[0], strtol(name + 1, NULL, 10), out);
    }
}

bool known_expand(const char *path, int number, const char *text, char *out, size_t size)
{
    struct builder builder;
    builder_init(&builder, out, size);
    for (; *text; text++) {
        char name[24];
        const char *end = *text == '<' ? strchr(text, '>') : NULL;
        if (!end) {
            builder_add_char(&builder, *text);
            continue;
        }
        const size_t before = builder.length;
        if (!span_copy((struct span){text + 1, (size_t)(end - text) - 1}, name, sizeof name))
            return false;
        add_known(path, number, name, &builder);
        if (builder.length == before)
            return false;
        text = end;
    }
    return !builder.cut;
}
