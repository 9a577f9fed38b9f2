#include "kiosk/web/stock_words.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/catalogue.h"
#include "labels/basics/text.h"

enum { ITEM_TEXT_SIZE = 192, LINE_TEXT_SIZE = 320, FIRST_ITEMS = 64 };

struct item_text {
    char code[ITEM_CODE_SIZE];
    char text[ITEM_TEXT_SIZE]; /* code, name and resin type in lower case */
};

struct stock_words {
    char typed[STOCK_WORDS_LENGTH + 1]; /* cut into `word` */
    const char *word[STOCK_WORDS_MOST];
    size_t count;
    struct item_text *items; /* in order of code, as the lines */
    size_t item_count, item_size, here;
    bool no_memory;
};

static void lower(char *text)
{
    for (; *text; text++)
        if (*text >= 'A' && *text <= 'Z')
            *text = (char)(*text - 'A' + 'a');
}

static bool split(const char *typed, struct stock_words *words, struct fault *fault)
{
    if (!span_copy(span_of(typed), words->typed, sizeof words->typed))
        return fault_set(fault, FAULT_INPUT, "words to look for are %d characters at most: type fewer",
                         STOCK_WORDS_LENGTH);
    lower(words->typed);
    char *rest = NULL;
    for (char *word = strtok_r(words->typed, " ", &rest); word; word = strtok_r(NULL, " ", &rest)) {
        if (words->count == STOCK_WORDS_MOST)
            return fault_set(fault, FAULT_INPUT, "at most %d words are looked for at once: type fewer",
                             STOCK_WORDS_MOST);
        words->word[words->count++] = word;
    }
    return true;
}

static bool note_item(const struct item *item, void *context)
{
    struct stock_words *words = context;
    if (words->item_count == words->item_size) {
        const size_t size = words->item_size ? 2 * words->item_size : FIRST_ITEMS;
        struct item_text *items = reallocarray(words->items, size, sizeof *items);
        words->no_memory = !items;
        if (!items)
            return false;
        words->items = items;
        words->item_size = size;
    }
    struct item_text *row = &words->items[words->item_count++];
    struct builder text;
    memcpy(row->code, item->code, sizeof row->code);
    builder_init(&text, row->text, sizeof row->text);
    builder_add(&text, item->code);
    builder_add_char(&text, ' ');
    builder_add(&text, item->name);
    builder_add_char(&text, ' ');
    builder_add(&text, item->resin);
    lower(row->text);
    return true;
}

bool stock_words_read(struct ledger *ledger, const char *typed, struct stock_words **words, struct fault *fault)
{
    struct stock_words *made = calloc(1, sizeof *made);
    if (!made)
        return fault_set(fault, FAULT_STORAGE, "no memory to look through the stock: try again");
    const bool read = split(typed, made, fault) && item_each(ledger, note_item, made, fault);
    if (!read || made->no_memory) {
        const bool no_memory = made->no_memory;
        stock_words_free(made);
        return no_memory ? fault_set(fault, FAULT_STORAGE, "no memory to look through the stock: try again") : false;
    }
    *words = made;
    return true;
}

void stock_words_free(struct stock_words *words)
{
    if (words)
        free(words->items);
    free(words);
}

static const char *item_text(struct stock_words *words, const char *code)
{
    while (words->here < words->item_count && strcmp(words->items[words->here].code, code) < 0)
        words->here++;
    const bool found = words->here < words->item_count && strcmp(words->items[words->here].code, code) == 0;
    return found ? words->items[words->here].text : "";
}

bool stock_words_match(struct stock_words *words, const struct stock_line *line)
{
    char buffer[LINE_TEXT_SIZE], lot[LOT_SIZE];
    struct builder text;
    memcpy(lot, line->lot, sizeof lot);
    lower(lot);
    builder_init(&text, buffer, sizeof buffer);
    builder_add(&text, item_text(words, line->item));
    builder_add_char(&text, ' ');
    builder_add(&text, lot);
    builder_add(&text, line->status == UNIT_OUT ? " out" : "");
    builder_add(&text, line->held ? " on hold" : "");
    builder_add(&text, line->labelled ? "" : " label not proved");
    for (size_t i = 0; i < words->count; i++)
        if (!strstr(buffer, words->word[i]))
            return false;
    return true;
}
