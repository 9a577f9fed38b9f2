#include "kiosk/ledger/import_line.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/movement_json.h"

static const char ledger_word[] = "ambershelf";

/* ---- reading ---- */

static bool check_size(const json_t *object, size_t size, const char *what, struct fault *fault)
{
    if (!json_is_object(object))
        return fault_set(fault, FAULT_INPUT, "%s is not a JSON object", what);
    return json_object_size(object) == size ||
           fault_set(fault, FAULT_INPUT, "%s has %zu fields, %zu belong to it", what, json_object_size(object), size);
}

static bool read_text(const json_t *object, const char *key, char *buffer, size_t size, struct fault *fault)
{
    const json_t *value = json_object_get(object, key);
    if (!json_is_string(value))
        return fault_set(fault, FAULT_INPUT, "field '%s' is missing or not text", key);
    const struct span text = {json_string_value(value), json_string_length(value)};
    return span_copy(text, buffer, size) ||
           fault_set(fault, FAULT_INPUT, "field '%s' has %zu bytes, %zu are allowed", key, text.length, size - 1);
}

static bool read_hex(const json_t *object, const char *key, uint8_t *bytes, size_t size, struct fault *fault)
{
    const json_t *value = json_object_get(object, key);
    size_t length = 0;
    if (!json_is_string(value) ||
        !text_read_hex((struct span){json_string_value(value), json_string_length(value)}, bytes, size, &length) ||
        length != size)
        return fault_set(fault, FAULT_INPUT, "field '%s' is not %zu hex digits", key, 2 * size);
    return true;
}

static bool read_number(const json_t *object, const char *key, int64_t *number, struct fault *fault)
{
    const json_t *value = json_object_get(object, key);
    if (!json_is_integer(value))
        return fault_set(fault, FAULT_INPUT, "field '%s' is missing or not a whole number", key);
    *number = json_integer_value(value);
    return true;
}

static bool read_count(const json_t *object, const char *key, int64_t *number, struct fault *fault)
{
    int64_t read = 0;
    if (!read_number(object, key, &read, fault))
        return false;
    if (read < 0)
        return fault_set(fault, FAULT_INPUT, "field '%s' is below 0", key);
    *number = read;
    return true;
}

static bool read_flag(const json_t *object, const char *key, bool *flag, struct fault *fault)
{
    const json_t *value = json_object_get(object, key);
    if (!json_is_boolean(value))
        return fault_set(fault, FAULT_INPUT, "field '%s' is missing or not true or false", key);
    *flag = json_is_true(value);
    return true;
}

static bool read_header(const json_t *object, struct import_line *line, struct fault *fault)
{
    char word[sizeof ledger_word];
    int64_t form = 0;
    if (!read_text(object, "ledger", word, sizeof word, fault) || !read_number(object, "form", &form, fault))
        return false;
    if (strcmp(word, ledger_word) != 0)
        return fault_set(fault, FAULT_INPUT, "this is not an exported ledger");
    if (form != EXPORT_FORM)
        return fault_set(
            fault, FAULT_INPUT,
            "this ledger was exported in form %lld, this version reads form %d: import it with the version "
            "that wrote it",
            (long long)form, EXPORT_FORM);
    line->kind = IMPORT_HEADER;
    return check_size(object, 5, "the header", fault) && read_flag(object, "demo", &line->demo, fault) &&
           read_count(object, "movements", &line->counts.movements, fault) &&
           read_hex(object, "head", line->head, HASH_BYTES, fault);
}

static bool read_text_row(const json_t *object, struct text_row *row, struct fault *fault)
{
    uint8_t id[HASH_BYTES];
    if (!check_size(object, 3, "a text", fault) || !read_text(object, "id", row->id, sizeof row->id, fault) ||
        !read_hex(object, "id", id, sizeof id, fault) || !read_hex(object, "salt", row->salt, TEXT_SALT_BYTES, fault))
        return false;
    if (!json_object_get(object, "erased"))
        return read_text(object, "value", row->value, sizeof row->value, fault);
    return read_flag(object, "erased", &row->erased, fault) &&
           (row->erased || fault_set(fault, FAULT_INPUT, "a text that is not erased has no value"));
}

static bool read_act(const json_t *object, struct import_line *line, struct fault *fault)
{
    struct act_row *row = &line->act;
    const json_t *answer = json_object_get(object, "answer");
    if (!check_size(object, 10, "an act", fault) || !read_text(object, "id", row->id, sizeof row->id, fault) ||
        !read_text(object, "kind", row->kind, sizeof row->kind, fault) ||
        !read_text(object, "counter", row->counter, sizeof row->counter, fault) ||
        !read_text(object, "person", row->person, sizeof row->person, fault) ||
        !read_hex(object, "digest", row->digest, HASH_BYTES, fault) ||
        !read_number(object, "at_ms", &row->at_ms, fault) ||
        !read_number(object, "first_seq", &row->first_seq, fault) ||
        !read_number(object, "last_seq", &row->last_seq, fault) || !read_flag(object, "undone", &row->undone, fault))
        return false;
    if (row->first_seq == 0) /* numbers begin with 1: 0 stands for "booked none" */
        row->first_seq = row->last_seq = MOVEMENT_NULL;
    if (!json_is_string(answer) || json_string_length(answer) >= ACT_ANSWER_SIZE)
        return fault_set(fault, FAULT_INPUT, "field 'answer' is missing, not text or too long");
    line->answer = strdup(json_string_value(answer));
    return line->answer ||
           fault_set(fault, FAULT_STORAGE, "no memory for an act's answer: end other programs and try again");
}

static bool read_end(const json_t *object, struct import_counts *counts, struct fault *fault)
{
    return check_size(object, 3, "the end line", fault) && read_count(object, "movements", &counts->movements, fault) &&
           read_count(object, "texts", &counts->texts, fault) && read_count(object, "acts", &counts->acts, fault);
}

static bool read_line(const json_t *object, struct import_line *line, struct fault *fault)
{
    const json_t *part = NULL;
    if (json_object_get(object, "ledger"))
        return read_header(object, line, fault);
    if (!check_size(object, 1, "the line", fault))
        return false;
    if ((part = json_object_get(object, "movement"))) {
        line->kind = IMPORT_MOVEMENT;
        return movement_json_read(part, &line->movement, fault);
    }
    if ((part = json_object_get(object, "text"))) {
        line->kind = IMPORT_TEXT;
        return read_text_row(part, &line->text, fault);
    }
    if ((part = json_object_get(object, "act"))) {
        line->kind = IMPORT_ACT;
        return read_act(part, line, fault);
    }
    if ((part = json_object_get(object, "end"))) {
        line->kind = IMPORT_END;
        return read_end(part, &line->counts, fault);
    }
    return fault_set(fault, FAULT_INPUT, "it is no movement, text, act or end");
}

bool import_line_read(struct span bytes, struct import_line *line, struct fault *fault)
{
    json_error_t error;
    json_t *object = json_loadb(bytes.at, bytes.length, JSON_REJECT_DUPLICATES, &error);
    struct import_line *read = calloc(1, sizeof *read);
    bool ok = false;
    if (!read)
        fault_set(fault, FAULT_STORAGE, "no memory for a line: end other programs and try again");
    else if (!object)
        fault_set(fault, FAULT_INPUT, "it is not JSON (%s): the file was changed or is cut off", error.text);
    else
        ok = read_line(object, read, fault);
    json_decref(object);
    if (ok)
        *line = *read;
    else if (read)
        import_line_clear(read);
    free(read);
    return ok;
}

void import_line_clear(struct import_line *line)
{
    free(line->answer);
    line->answer = NULL;
}

/* ---- writing ---- */

static bool put(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value) == 0; /* takes value over, NULL fails */
}

static bool put_hex(json_t *object, const char *key, const uint8_t *bytes, size_t length)
{
    char text[2 * HASH_BYTES + 1];
    text_write_hex(bytes, length, text, sizeof text);
    return put(object, key, json_string(text));
}

static bool write_header(json_t *object, const struct import_line *line)
{
    return put(object, "ledger", json_string(ledger_word)) && put(object, "form", json_integer(EXPORT_FORM)) &&
           put(object, "demo", json_boolean(line->demo)) &&
           put(object, "movements", json_integer(line->counts.movements)) &&
           put_hex(object, "head", line->head, HASH_BYTES);
}

static bool write_text_row(json_t *object, const struct text_row *row)
{
    return put(object, "id", json_string(row->id)) && put_hex(object, "salt", row->salt, TEXT_SALT_BYTES) &&
           (row->erased ? put(object, "erased", json_true()) : put(object, "value", json_string(row->value)));
}

static int64_t or_none(int64_t seq)
{
    return seq == MOVEMENT_NULL ? 0 : seq;
}

static bool write_act(json_t *object, const struct act_row *row, const char *answer)
{
    return put(object, "id", json_string(row->id)) && put(object, "kind", json_string(row->kind)) &&
           put(object, "counter", json_string(row->counter)) && put(object, "person", json_string(row->person)) &&
           put_hex(object, "digest", row->digest, HASH_BYTES) && put(object, "at_ms", json_integer(row->at_ms)) &&
           put(object, "first_seq", json_integer(or_none(row->first_seq))) &&
           put(object, "last_seq", json_integer(or_none(row->last_seq))) &&
           put(object, "undone", json_boolean(row->undone)) && put(object, "answer", json_string(answer));
}

static bool write_end(json_t *object, const struct import_counts *counts)
{
    return put(object, "movements", json_integer(counts->movements)) &&
           put(object, "texts", json_integer(counts->texts)) && put(object, "acts", json_integer(counts->acts));
}

static json_t *wrap(const char *key, json_t *part, bool ok)
{
    json_t *object = json_object();
    if (!object || !ok) {
        json_decref(part);
        json_decref(object);
        return NULL;
    }
    if (put(object, key, part))
        return object;
    json_decref(object);
    return NULL;
}

json_t *import_line_write(const struct import_line *line)
{
    if (line->kind == IMPORT_MOVEMENT) {
        json_t *movement = movement_json_write(&line->movement);
        return wrap("movement", movement, movement != NULL);
    }
    json_t *object = json_object();
    switch (line->kind) {
    case IMPORT_TEXT:
        return wrap("text", object, object && write_text_row(object, &line->text));
    case IMPORT_ACT:
        return wrap("act", object, object && write_act(object, &line->act, line->answer));
    case IMPORT_END:
        return wrap("end", object, object && write_end(object, &line->counts));
    default:
        if (object && write_header(object, line))
            return object;
        json_decref(object);
        return NULL;
    }
}
