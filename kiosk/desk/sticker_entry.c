#include "kiosk/desk/sticker_entry.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/sticker_scan.h"
#include "kiosk/desk/view.h"
#include "kiosk/ledger/movement_detail.h"
#include "labels/content/sticker_match.h"
#include "labels/content/sticker_teach.h"

/* A text that may hold GS, tabs and line ends, as stickers and patterns do. */
static bool read_bytes(const json_t *content, const char *key, struct span *text, struct fault *fault)
{
    const json_t *found = json_object_get(content, key);
    if (!json_is_string(found) || json_string_length(found) == 0)
        return fault_set(fault, FAULT_INPUT, "'%s' is missing or no text: say it in quotes", key);
    *text = (struct span){json_string_value(found), json_string_length(found)};
    return true;
}

static bool read_part(const char *word, enum sticker_part *part, struct fault *fault)
{
    for (int i = STICKER_TEXT + 1; i < STICKER_PARTS; i++)
        if (strcmp(sticker_part_word((enum sticker_part)i), word) == 0) {
            *part = (enum sticker_part)i;
            return true;
        }
    return fault_set(fault, FAULT_INPUT, "'part' is '%s', not one of item, lot, expires, made, quantity, other", word);
}

static enum sticker_order read_order(const char *word)
{
    static const char *const words[] = {"", "ymd", "dmy", "mdy"};
    for (int i = STICKER_ORDER_UNSAID; i <= STICKER_MDY; i++)
        if (strcmp(words[i], word) == 0)
            return (enum sticker_order)i;
    return STICKER_ORDER_UNSAID;
}

static bool read_mark(const json_t *said, struct sticker_mark *mark, struct fault *fault)
{
    static const char *const keys[] = {"part", "start", "length", "order", "same_length", NULL};
    static const char *const orders[] = {"ymd", "dmy", "mdy", NULL};
    char part[WORD_SIZE] = "", order[4] = "";
    int64_t start = 0, length = 0;
    if (!json_is_object(said))
        return fault_set(fault, FAULT_INPUT, "'parts' holds something that is no object: say part, start and length");
    if (!content_only(said, keys, fault) || !content_word(said, "part", CONTENT_REQUIRED, part, sizeof part, fault) ||
        !content_count(said, "start", CONTENT_REQUIRED, 0, STICKER_BYTES, &start, fault) ||
        !content_count(said, "length", CONTENT_REQUIRED, 1, STICKER_BYTES, &length, fault) ||
        !content_one_of(said, "order", CONTENT_OPTIONAL, orders, order, sizeof order, fault) ||
        !content_flag(said, "same_length", &mark->same_length, fault) || !read_part(part, &mark->part, fault))
        return false;
    mark->start = (size_t)start;
    mark->length = (size_t)length;
    mark->order = read_order(order);
    return true;
}

static bool teach(const json_t *parts, struct span example, struct day today, struct sticker_pattern *pattern,
                  struct fault *fault)
{
    struct sticker_mark marks[STICKER_PIECES];
    const size_t count = json_array_size(parts);
    if (!json_is_array(parts) || count == 0)
        return fault_set(fault, FAULT_INPUT, "'parts' is missing: point at the lot, the expiry date or the item");
    if (count > STICKER_PIECES)
        return fault_set(fault, FAULT_INPUT, "'parts' has %zu parts, at most %d are taken: leave some out", count,
                         STICKER_PIECES);
    for (size_t i = 0; i < count; i++)
        if (!read_mark(json_array_get(parts, i), &marks[i], fault))
            return false;
    return sticker_teach(example, marks, count, today, pattern, fault);
}

/* The pattern of the content, which reads the example. */
static bool read_pattern(const json_t *content, struct day today, struct span *example, struct sticker_pattern *pattern,
                         struct supplier_label *reading, struct fault *fault)
{
    struct span text = {NULL, 0};
    if (!read_bytes(content, "example", example, fault))
        return false;
    if (json_object_get(content, "pattern")) {
        if (json_object_get(content, "parts"))
            return fault_set(fault, FAULT_INPUT, "'parts' and 'pattern' are both there: say one of them");
        if (!read_bytes(content, "pattern", &text, fault) || !sticker_pattern_read(text, pattern, fault))
            return false;
    } else if (!teach(json_object_get(content, "parts"), *example, today, pattern, fault)) {
        return false;
    }
    return sticker_match(pattern, *example, today, reading, fault);
}

static json_t *reading_json(const struct supplier_label *label)
{
    return json_pack("{s:s?,s:s?,s:o,s:o,s:o}", "item", label->item[0] ? label->item : NULL, "lot",
                     label->lot[0] ? label->lot : NULL, "expires",
                     view_day(label->has_expires ? label->expires.number : MOVEMENT_NULL), "made",
                     view_day(label->has_made ? label->made.number : MOVEMENT_NULL), "quantity",
                     label->count > 0 ? json_integer(label->count) : json_null());
}

struct twin {
    const char *supplier, *pattern;
    bool found;
};

static bool look_for_twin(const struct sticker *row, void *context)
{
    struct twin *twin = context;
    twin->found = sticker_same_supplier(row->supplier, twin->supplier) && strcmp(row->pattern, twin->pattern) == 0;
    return !twin->found;
}

static bool make_entry(struct turn *turn, const char *supplier, const char *text, struct span example,
                       struct movement *entry, struct fault *fault)
{
    struct twin twin = {.supplier = supplier, .pattern = text};
    struct builder id;
    int64_t seq;
    uint8_t hash[HASH_BYTES];
    if (!sticker_each(turn->ledger, look_for_twin, &twin, fault) || !ledger_head(turn->ledger, &seq, hash, fault))
        return false;
    if (twin.found)
        return fault_set(fault, FAULT_REFUSED, "this pattern is taught for %s already: scan a sticker to try it",
                         supplier);
    if (strlen(text) >= STICKER_KEPT_SIZE)
        return fault_set(fault, FAULT_INPUT,
                         "the pattern has %zu characters, at most %d are kept: point at fewer parts, or at longer ones",
                         strlen(text), STICKER_KEPT_SIZE - 1);
    movement_init(entry, MOVEMENT_STICKER_ENTRY);
    builder_init(&id, entry->word, sizeof entry->word);
    builder_addf(&id, "sticker-%lld", (long long)seq + 1); /* as unique as the number of its movement */
    json_t *detail =
        json_pack("{s:s,s:s,s:s%}", "supplier", supplier, "pattern", text, "example", example.at, example.length);
    const bool written = detail && movement_detail_write(detail, entry->detail, fault);
    if (!detail)
        (void)fault_set(fault, FAULT_INPUT, "the example is no text (UTF-8): scan it with another scanner, or type it");
    json_decref(detail);
    return written;
}

bool sticker_entry_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"supplier", "example", "parts", "pattern", "try", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct sticker_pattern pattern;
    struct supplier_label reading = {.item = ""};
    struct movement entry = {.word = ""};
    struct span example = {NULL, 0};
    char supplier[65], text[STICKER_PATTERN_SIZE];
    bool only_try = false;
    if (!turn_open(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_text(content, "supplier", CONTENT_REQUIRED, supplier, sizeof supplier, fault) ||
        !content_flag(content, "try", &only_try, fault) ||
        !read_pattern(content, context->moment.local_day, &example, &pattern, &reading, fault))
        return false;
    sticker_pattern_write(&pattern, text);
    if (!only_try) {
        if (!turn_may(&turn, context->act->kind, fault) || !make_entry(&turn, supplier, text, example, &entry, fault) ||
            !turn_book(&turn, &entry, fault))
            return false;
        counter_say(&turn.counter, "Taught: how stickers of %s are read. With a delivery of theirs open, scan one.",
                    supplier);
    }
    if (!turn_answer(&turn, answer, fault))
        return false;
    json_object_set_new(*answer, "sticker",
                        json_pack("{s:o,s:s,s:o}", "id", entry.word[0] ? json_string(entry.word) : json_null(),
                                  "pattern", text, "reading", reading_json(&reading)));
    return true;
}

bool sticker_forget_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"sticker", NULL};
    struct turn turn;
    struct sticker row;
    struct movement forget;
    bool found;
    movement_init(&forget, MOVEMENT_STICKER_FORGET);
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_word(context->act->content, "sticker", CONTENT_REQUIRED, forget.word, sizeof forget.word, fault) ||
        !sticker_load(turn.ledger, forget.word, &row, &found, fault) || !turn_book(&turn, &forget, fault))
        return false;
    counter_say(&turn.counter, "Forgotten: a pattern for stickers of %s.", row.supplier);
    return turn_answer(&turn, answer, fault);
}
