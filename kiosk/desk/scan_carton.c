#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/item_scan.h"
#include "kiosk/desk/scan_parts.h"

/* Makers' codes: one that was scanned, or those of a carton that stand in one photograph. */

bool scan_bytes_read(const json_t *content, struct scan_bytes *code, struct fault *fault)
{
    const json_t *hex = json_object_get(content, "bytes"), *text = json_object_get(content, "text");
    size_t length = 0;
    if (!content_text(content, "symbology", CONTENT_OPTIONAL, code->symbology, sizeof code->symbology, fault))
        return false;
    if ((hex && text) || (hex && !json_is_string(hex)) || !(hex || json_is_string(text)))
        return fault_set(fault, FAULT_INPUT, "say the scan once, in quotes: 'bytes' in hex, or 'text'");
    if (text) {
        code->bytes = (struct span){json_string_value(text), json_string_length(text)};
        return true;
    }
    if (!text_read_hex((struct span){json_string_value(hex), json_string_length(hex)}, code->room, sizeof code->room,
                       &length))
        return fault_set(fault, FAULT_INPUT, "'bytes' is not hex of at most %d bytes", SCAN_BYTES);
    code->bytes = (struct span){(const char *)code->room, length};
    return true;
}

void scan_supplier_begin(const struct scan *scan, const char *identifier, struct supplier_code *code)
{
    *code = (struct supplier_code){.code = {.label = scan->supplier, .source = symbology_words(identifier)}};
    turn_copy(code->warning, sizeof code->warning, scan->warning);
    turn_copy(code->lacks, sizeof code->lacks, scan->lacks);
}

/* Each line a reason; a lot without its item is none once another code has named it (`named`). */
static void add_warnings(struct counter *counter, const struct supplier_code *code, bool named, int *number)
{
    for (struct span rest = span_of(code->warning); rest.length > 0;) {
        char subject[REASON_SUBJECT_SIZE] = "";
        struct builder out;
        const struct span line = text_line(&rest);
        builder_init(&out, subject, sizeof subject);
        if ((*number)++ > 0)
            builder_addf(&out, "%d", *number);
        verdict_add(&counter->verdict, REASON_DOUBTFUL_SCAN, subject, "%.*s", (int)line.length, line.at);
    }
    if (code->lacks[0] && !named)
        verdict_add(&counter->verdict, REASON_DOUBTFUL_SCAN, "item", "%s", code->lacks);
}

bool scan_supplier(struct turn *turn, const struct supplier_code *codes, size_t count, struct fault *fault)
{
    struct receive_code said[CARTON_CODES] = {{.source = ""}};
    bool named = false;
    int number = 0;
    if (item_scan_wants(&turn->counter))
        return item_scan_supplier(turn, codes, count, fault);
    for (size_t i = 0; i < count; i++) {
        said[i] = codes[i].code;
        named = named || said[i].label.item[0] != '\0';
    }
    if (!receive_scan(turn, said, count, fault))
        return false;
    named = named || receive_names_item(&turn->counter.receipt);
    for (size_t i = 0; i < count; i++)
        add_warnings(&turn->counter, &codes[i], named, &number);
    return true;
}

static bool read_code(struct turn *turn, const struct scan_bytes *bytes, struct supplier_code *code,
                      struct fault *fault)
{
    struct scan scan;
    char identifier[SCAN_SYMBOLOGY_SIZE];
    (void)scan_text(bytes->bytes, bytes->symbology, identifier);
    if (!scan_read(bytes->bytes, bytes->symbology, turn->act->moment.local_day, &scan, NULL) ||
        scan.kind != SCAN_SUPPLIER)
        return fault_set(fault, FAULT_INPUT, "'more' stands with what is no maker's code: scan the codes singly");
    scan_supplier_begin(&scan, identifier, code);
    return true;
}

/* What stands on a carton twice is in the picture twice, and is no second carton. */
static bool stands_before(const json_t *content, const json_t *more, size_t index)
{
    const json_t *const one = json_array_get(more, index);
    bool again = json_equal(json_object_get(content, "bytes"), json_object_get(one, "bytes"));
    for (size_t i = 0; i < index; i++)
        again = again || json_equal(one, json_array_get(more, i));
    return again;
}

static bool read_codes(struct turn *turn, const json_t *content, const struct scan_bytes *first,
                       struct supplier_code codes[CARTON_CODES], size_t *count, struct fault *fault)
{
    static const char *const keys[] = {"bytes", "text", "symbology", NULL};
    const json_t *more = json_object_get(content, "more"), *one;
    size_t i, found = 1;
    if (!read_code(turn, first, &codes[0], fault))
        return false;
    json_array_foreach(more, i, one)
    {
        struct scan_bytes bytes;
        if (!content_only(one, keys, fault) || !scan_bytes_read(one, &bytes, fault) ||
            !read_code(turn, &bytes, &codes[found], fault))
            return false;
        found += !stands_before(content, more, i);
    }
    *count = found;
    return true;
}

bool scan_carton(struct turn *turn, const json_t *content, const struct scan_bytes *first, struct fault *fault)
{
    const json_t *more = json_object_get(content, "more");
    size_t count = 0;
    if (!json_is_array(more) || json_array_size(more) >= CARTON_CODES)
        return fault_set(fault, FAULT_INPUT,
                         "'more' is a list of at most %d other maker's codes on the same carton: scan them singly",
                         CARTON_CODES - 1);
    struct supplier_code *codes = malloc(CARTON_CODES * sizeof *codes); /* some 12 KiB */
    if (!codes)
        return fault_set(fault, FAULT_STORAGE, "no memory for the codes of a photograph: take it again");
    turn->counter.undo_asked[0] = '\0';
    const bool done =
        read_codes(turn, content, first, codes, &count, fault) && scan_supplier(turn, codes, count, fault);
    free(codes);
    return done;
}
