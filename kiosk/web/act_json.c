#include "kiosk/web/act_json.h"

#include <string.h>

#include "kiosk/basics/id.h"
#include "labels/basics/calendar.h"
#include "labels/content/scan.h"

enum { SYMBOLOGY_SIZE = 4, SOURCE_SIZE = 12, KEY_SHOWN = 48, VERSION_MAX = 1000 };

static const char LOWER_DASH[] = "abcdefghijklmnopqrstuvwxyz0123456789-";
static const char WORD_BYTES[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-";
static const char COUNTER_BYTES[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-";

/* One key that is a short text. */
struct text_key {
    const char *key;
    bool needed;
    const char *alphabet;
    size_t least; /* characters */
    char *to;
    size_t size;
};

static bool key_is_known(const char *key, const char *const *known)
{
    for (; *known; known++)
        if (strcmp(key, *known) == 0)
            return true;
    return false;
}

static bool only_keys(const json_t *object, const char *const *known, struct fault *fault)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)object, key, value)
    {
        char shown[KEY_SHOWN];
        if (!key_is_known(key, known))
            return fault_set(fault, FAULT_INPUT, "key '%s' is not known here: see /api for the keys of this request",
                             text_show(span_of(key), shown, sizeof shown));
    }
    return true;
}

static bool read_object(struct span body, const char *const *known, json_t **object, struct fault *fault)
{
    json_error_t error;
    if (body.length == 0)
        return fault_set(fault, FAULT_INPUT, "the request has no body: send one JSON object");
    json_t *root = json_loadb(body.at, body.length, JSON_REJECT_DUPLICATES, &error);
    if (!root)
        return fault_set(fault, FAULT_INPUT, "the body is not JSON (%.120s, line %d): send one JSON object", error.text,
                         error.line);
    if (!json_is_object(root)) {
        json_decref(root);
        return fault_set(fault, FAULT_INPUT, "the body is JSON but not an object: send {\"key\": value, …}");
    }
    if (!only_keys(root, known, fault)) {
        json_decref(root);
        return false;
    }
    *object = root;
    return true;
}

static bool read_text(const json_t *object, const struct text_key *rule, struct fault *fault)
{
    const json_t *value = json_object_get(object, rule->key);
    if (!value || json_is_null(value)) {
        if (rule->needed)
            return fault_set(fault, FAULT_INPUT, "key '%s' is missing: add it", rule->key);
        rule->to[0] = '\0';
        return true;
    }
    if (!json_is_string(value))
        return fault_set(fault, FAULT_INPUT, "key '%s' must be a text in quotes", rule->key);
    const struct span text = {json_string_value(value), json_string_length(value)};
    if (text.length == 0 && !rule->needed) {
        rule->to[0] = '\0';
        return true;
    }
    if (text.length < rule->least || text.length >= rule->size)
        return fault_set(fault, FAULT_INPUT, "key '%s' has %zu characters: %zu to %zu are allowed", rule->key,
                         text.length, rule->least, rule->size - 1);
    for (size_t i = 0; i < text.length; i++)
        if (text.at[i] == '\0' || !strchr(rule->alphabet, text.at[i]))
            return fault_set(fault, FAULT_INPUT, "key '%s' has a character that is not allowed at place %zu", rule->key,
                             i + 1);
    span_copy(text, rule->to, rule->size);
    return true;
}

static bool read_texts(const json_t *object, const struct text_key *rules, size_t count, struct fault *fault)
{
    for (size_t i = 0; i < count; i++)
        if (!read_text(object, &rules[i], fault))
            return false;
    return true;
}

static bool read_version(const json_t *object, int *version, struct fault *fault)
{
    const json_t *value = json_object_get(object, "version");
    const json_int_t number = value ? json_integer_value(value) : 1;
    if (number < 1 || number > VERSION_MAX)
        return fault_set(fault, FAULT_INPUT, "key 'version' must be a whole number from 1 to %d", VERSION_MAX);
    *version = (int)number;
    return true;
}

static bool read_happened(const json_t *object, struct instant *happened, struct fault *fault)
{
    const json_t *value = json_object_get(object, "happened_at");
    if (!value || json_is_null(value)) {
        *happened = (struct instant){0};
        return true;
    }
    struct fault why = {0};
    if (!json_is_string(value) ||
        !calendar_read_instant(json_string_value(value), json_string_length(value), happened, &why))
        return fault_set(fault, FAULT_INPUT, "key 'happened_at' must be an instant such as 2026-02-14T09:30:00Z");
    return true;
}

static bool read_approval(const json_t *value, struct act_approval *approval, struct fault *fault)
{
    static const char *const known[] = {"person", "pin", "code", NULL};
    static const char digits[] = "0123456789";
    const bool by_code = json_object_get(value, "code") != NULL;
    memset(approval, 0, sizeof *approval);
    if (!value || json_is_null(value))
        return true;
    if (!json_is_object(value) || by_code == (json_object_get(value, "pin") != NULL))
        return fault_set(fault, FAULT_INPUT,
                         "key 'approval' must be {\"person\": badge, \"pin\": six digits} or {\"code\": …}");
    const struct text_key keys[] = {
        {"person", !by_code, WORD_BYTES, 1, approval->person, sizeof approval->person},
        {"pin", !by_code, digits, PIN_DIGITS, approval->pin, sizeof approval->pin},
        {"code", by_code, WORD_BYTES, 1, approval->code, sizeof approval->code},
    };
    if (!only_keys(value, known, fault) || !read_texts(value, keys, sizeof keys / sizeof *keys, fault))
        return false;
    if (by_code)
        approval->person[0] = '\0';
    return true;
}

bool act_json_read(struct span body, struct act *act, struct act_approval *approval, struct fault *fault)
{
    static const char *const known[] = {"id",          "kind",    "version",  "counter", "person",
                                        "happened_at", "content", "approval", NULL};
    struct act read = {.version = 1};
    struct act_approval approved;
    json_t *object = NULL;
    if (!read_object(body, known, &object, fault))
        return false;
    const struct text_key keys[] = {
        {"id", true, WORD_BYTES, 8, read.id, sizeof read.id},
        {"kind", true, LOWER_DASH, 1, read.kind, sizeof read.kind},
        {"counter", false, COUNTER_BYTES, 1, read.counter, sizeof read.counter},
        {"person", false, WORD_BYTES, 1, read.person, sizeof read.person},
    };
    json_t *content = json_object_get(object, "content");
    bool good = read_texts(object, keys, sizeof keys / sizeof *keys, fault) &&
                read_version(object, &read.version, fault) && read_happened(object, &read.happened_at, fault);
    if (good && !json_is_object(content))
        good = fault_set(fault, FAULT_INPUT, "key 'content' must be an object: {} when the act needs none");
    good = good && read_approval(json_object_get(object, "approval"), &approved, fault);
    if (good) {
        read.content = json_incref(content);
        *act = read;
        *approval = approved;
    }
    json_decref(object);
    return good;
}

/* The content of a scan act: the bytes as hex or the text as it stands, checked for size and form. */
static bool scan_content(const json_t *object, const char *symbology, const char *source, json_t **content,
                         struct fault *fault)
{
    const json_t *text = json_object_get(object, "text"), *bytes = json_object_get(object, "bytes");
    if (!text == !bytes)
        return fault_set(fault, FAULT_INPUT, "a scan is either 'text' or 'bytes' (hex): send exactly one of them");
    const char *key = text ? "text" : "bytes";
    const json_t *value = text ? text : bytes;
    if (!json_is_string(value))
        return fault_set(fault, FAULT_INPUT, "key '%s' must be a text in quotes", key);
    const struct span scanned = {json_string_value(value), json_string_length(value)};
    const size_t most = text ? SCAN_BYTES : 2 * SCAN_BYTES;
    if (scanned.length == 0 || scanned.length > most)
        return fault_set(fault, FAULT_INPUT, "key '%s' has %zu characters: 1 to %zu are allowed", key, scanned.length,
                         most);
    uint8_t raw[SCAN_BYTES];
    size_t length = 0;
    if (bytes && !text_read_hex(scanned, raw, sizeof raw, &length))
        return fault_set(fault, FAULT_INPUT, "key 'bytes' must be hexadecimal, two digits a byte");
    json_t *made = json_pack("{s:O, s:s}", key, value, "source", source);
    if (!made || (symbology[0] && json_object_set_new(made, "symbology", json_string(symbology)) != 0)) {
        json_decref(made);
        return fault_set(fault, FAULT_STORAGE, "no memory for a scan of %zu bytes: scan again", scanned.length);
    }
    *content = made;
    return true;
}

static bool read_scan(const json_t *object, struct act *act, struct fault *fault)
{
    static const char symbologies[] = "]ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789";
    char symbology[SYMBOLOGY_SIZE], source[SOURCE_SIZE];
    const struct text_key keys[] = {
        {"counter", true, COUNTER_BYTES, 1, act->counter, sizeof act->counter},
        {"id", false, WORD_BYTES, 8, act->id, sizeof act->id},
        {"person", false, WORD_BYTES, 1, act->person, sizeof act->person},
        {"symbology", false, symbologies, 3, symbology, sizeof symbology},
        {"source", false, LOWER_DASH, 1, source, sizeof source},
    };
    if (!read_texts(object, keys, sizeof keys / sizeof *keys, fault))
        return false;
    if (source[0] && strcmp(source, "scanner") != 0 && strcmp(source, "typed") != 0)
        return fault_set(fault, FAULT_INPUT,
                         "key 'source' must be \"scanner\" or \"typed\"; send a photograph to "
                         "/api/pictures");
    if (!act->id[0])
        id_make(act->id);
    return scan_content(object, symbology, source[0] ? source : "scanner", &act->content, fault);
}

bool act_json_read_scan(struct span body, struct act *act, struct fault *fault)
{
    static const char *const known[] = {"counter", "text", "bytes", "symbology", "source", "person", "id", NULL};
    struct act read = {.kind = "scan", .version = 1};
    json_t *object = NULL;
    if (!read_object(body, known, &object, fault))
        return false;
    const bool good = read_scan(object, &read, fault);
    if (good)
        *act = read;
    json_decref(object);
    return good;
}

static json_t *picture_code(const struct picture_code *code)
{
    char hex[2 * SCAN_BYTES + 1];
    text_write_hex((const uint8_t *)code->bytes.at, code->bytes.length, hex, sizeof hex);
    return json_pack("{s:s, s:s}", "bytes", hex, "symbology", code->symbology);
}

bool act_json_make_picture_scan(const char *counter, const struct picture_code *codes, size_t count, struct act *act,
                                struct fault *fault)
{
    struct act made = {.kind = "scan", .version = 1};
    if (!act_json_is_counter(counter))
        return fault_set(fault, FAULT_INPUT, "counter '%.20s' is not known here: add ?counter=NAME", counter);
    for (size_t i = 0; i < count; i++)
        if (codes[i].bytes.length > SCAN_BYTES)
            return fault_set(fault, FAULT_INPUT, "the symbol holds %zu bytes, more than a scan may have (%d)",
                             codes[i].bytes.length, SCAN_BYTES);
    span_copy(span_of(counter), made.counter, sizeof made.counter);
    id_make(made.id);
    made.content = picture_code(&codes[0]);
    json_t *const more = count > 1 ? json_array() : NULL;
    for (size_t i = 1; i < count; i++)
        json_array_append_new(more, picture_code(&codes[i]));
    if (more)
        json_object_set_new(made.content, "more", more);
    if (json_object_set_new(made.content, "source", json_string("picture")) != 0)
        return fault_set(fault, FAULT_STORAGE, "no memory for the scan: take the picture again");
    *act = made;
    return true;
}

bool act_json_is_counter(const char *counter)
{
    const size_t length = strlen(counter);
    return length > 0 && length < ACT_COUNTER_SIZE && strspn(counter, COUNTER_BYTES) == length;
}
