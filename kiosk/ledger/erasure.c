#include "kiosk/ledger/erasure.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "kiosk/ledger/json_memory.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/row.h"

enum { NAMES_MOST = 64, PAGE = 100 };

/* replace() is one of the few searches that both engines know. */
static const struct sql_text NOTES = {
    "SELECT id, value FROM erasable_text WHERE value <> $1 AND replace(value, $1, '') <> value ORDER BY id", "t"};
static const struct sql_text ANSWERS = {
    "SELECT number, answer FROM act_answer WHERE number > $1 AND replace(answer, $2, '') <> answer"
    " ORDER BY number LIMIT $3",
    "iti"};
static const struct sql_text SESSIONS = {
    "SELECT counter, state FROM session WHERE counter > $1 AND (replace(state, $2, '') <> state OR"
    " replace(state, $4, '') <> state) ORDER BY counter LIMIT $3",
    "ttit"};
static const struct sql_text ANSWER_SET = {"UPDATE act_answer SET answer = $2 WHERE number = $1", "it"};
static const struct sql_text SESSION_SET = {"UPDATE session SET state = $2 WHERE counter = $1", "tt"};
static const struct sql_text DIGEST_SET = {"UPDATE act SET digest = $2 WHERE id = $1", "tb"};

struct entries { /* of the badge: what it was named, by which act */
    char text[NAMES_MOST][TEXT_ID_SIZE];
    char act[NAMES_MOST][ACT_ID_SIZE];
    size_t count;
    bool too_many;
};

static bool collect_entry(const struct movement *movement, void *context)
{
    struct entries *entries = context;
    if (movement->kind != MOVEMENT_PERSON_ENTRY || !movement->text[0])
        return true;
    entries->too_many = entries->count == NAMES_MOST;
    if (entries->too_many)
        return false;
    memcpy(entries->text[entries->count], movement->text, TEXT_ID_SIZE);
    memcpy(entries->act[entries->count], movement->act, ACT_ID_SIZE);
    entries->count++;
    return true;
}

/* ---- words in texts ---- */

static bool is_letter(char c)
{
    return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (unsigned char)c >= 0x80;
}

static const char *find_word(const char *text, const char *from, const char *name)
{
    const size_t length = strlen(name);
    for (const char *at = strstr(from, name); at; at = strstr(at + 1, name))
        if ((at == text || !is_letter(at[-1])) && !is_letter(at[length]))
            return at;
    return NULL;
}

char *erasure_replace(const char *text, const char *name, const char *serial)
{
    char *made = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&made, &size);
    if (!out)
        return NULL;
    const char *from = text;
    for (const char *at = find_word(text, from, name); at; at = find_word(text, from, name)) {
        (void)fwrite(from, 1, (size_t)(at - from), out);
        (void)fputs(serial, out);
        from = at + strlen(name);
    }
    (void)fputs(from, out);
    const bool failed = ferror(out) != 0;
    if (fclose(out) == 0 && !failed)
        return made;
    free(made);
    return NULL;
}

struct search {
    struct ledger *ledger;
    const char *name, *serial;
    char needle[2 * TEXT_VALUE_SIZE]; /* the name as JSON writes it */
};

static bool replace_string(const struct search *search, json_t *value)
{
    const char *text = json_string_value(value);
    if (!find_word(text, text, search->name))
        return true;
    char *changed = erasure_replace(text, search->name, search->serial);
    const bool fine = changed && json_string_set(value, changed) == 0;
    free(changed);
    return fine;
}

/* Values only: a key is the program's, not a person's. Depth is bounded by what the desk writes. */
static bool replace_all(const struct search *search, json_t *value) // NOLINT(misc-no-recursion)
{
    const char *key;
    size_t index;
    json_t *inner;
    bool fine = true;
    if (json_is_string(value))
        return replace_string(search, value);
    json_object_foreach(value, key, inner) fine = fine && replace_all(search, inner);
    json_array_foreach(value, index, inner) fine = fine && replace_all(search, inner);
    return fine;
}

/* ---- rows ---- */

static bool no_memory(struct fault *fault)
{
    return fault_set(fault, FAULT_STORAGE, "no memory to erase a name: end other programs");
}

/* An answer's number or a session's counter: the statement says which. */
struct row_id {
    int64_t number;
    char counter[COUNTER_SIZE];
};

static bool store_text(struct ledger *ledger, const struct sql_text *text, const struct row_id *id, const json_t *value,
                       struct fault *fault)
{
    char *written = json_memory_dumps(value, JSON_COMPACT | JSON_SORT_KEYS);
    if (!written)
        return no_memory(fault);
    const bool fine =
        row_run(ledger, text, ROW_KEYS({.text = id->counter, .whole = id->number}, {.text = written}), NULL, fault);
    free(written);
    return fine;
}

struct rows { /* a page: nothing is changed while they are read */
    struct row_id id[PAGE];
    json_t *value[PAGE];
    size_t count;
};

static bool read_rows(const struct search *search, const struct sql_text *text, const struct row_id *after,
                      struct rows *rows, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool row = false, fine = true;
    size_t length = 0;
    json_error_t error;
    rows->count = 0;
    if (!sql_start(ledger_sql(search->ledger), text, &statement, fault))
        return false;
    if (text == &ANSWERS)
        sql_bind_whole(statement, 1, after->number);
    else
        sql_bind_text(statement, 1, after->counter);
    sql_bind_text(statement, 2, search->needle);
    sql_bind_whole(statement, 3, PAGE);
    if (text == &SESSIONS)
        sql_bind_text(statement, 4, search->serial);
    while (rows->count < PAGE && (fine = sql_step(statement, &row, fault)) && row) {
        struct row_id *id = &rows->id[rows->count];
        if (text == &ANSWERS)
            id->number = sql_whole(statement, 0);
        else
            row_read_cut(statement, 0, id->counter, sizeof id->counter);
        const char *written = sql_text(statement, 1, &length);
        rows->value[rows->count++] = json_loadb(written, length, JSON_DECODE_ANY, &error);
    }
    sql_done(statement);
    return fine;
}

/* What is no JSON any more goes altogether: it may hold the name, and nobody can read it. */
static bool change_row(const struct search *search, const struct sql_text *set, const struct row_id *id, json_t **value,
                       struct fault *fault)
{
    if (!*value && !(*value = json_object()))
        return no_memory(fault);
    if (!replace_all(search, *value))
        return no_memory(fault);
    const char *person = json_string_value(json_object_get(*value, "person"));
    if (set == &SESSION_SET && person && strcmp(person, search->serial) == 0)
        json_object_set_new(*value, "person", json_string(""));
    return store_text(search->ledger, set, id, *value, fault);
}

static bool change_rows(const struct search *search, const struct sql_text *read, const struct sql_text *set,
                        struct fault *fault)
{
    struct row_id after = {.counter = ""};
    struct rows *rows = calloc(1, sizeof *rows);
    bool fine = rows || no_memory(fault), more = fine;
    while (fine && more) {
        fine = read_rows(search, read, &after, rows, fault);
        more = rows->count == PAGE;
        for (size_t i = 0; i < rows->count; i++) {
            fine = fine && change_row(search, set, &rows->id[i], &rows->value[i], fault);
            json_decref(rows->value[i]);
            after = rows->id[i];
        }
    }
    free(rows);
    return fine;
}

static bool erase_notes(const struct search *search, struct fault *fault)
{
    char id[TEXT_ID_SIZE] = "";
    do { /* one after the other: an erased one is not found again */
        struct sql_statement *statement = NULL;
        bool row = false, found = false, fine = true;
        size_t length = 0;
        if (!sql_start(ledger_sql(search->ledger), &NOTES, &statement, fault))
            return false;
        sql_bind_text(statement, 1, search->name);
        while (!found && (fine = sql_step(statement, &row, fault)) && row) {
            char value[TEXT_VALUE_SIZE];
            struct span note = {.at = sql_text(statement, 1, &length)};
            note.length = length;
            found = span_copy(note, value, sizeof value) && find_word(value, value, search->name) != NULL;
            if (found)
                row_read_cut(statement, 0, id, sizeof id);
        }
        sql_done(statement);
        if (!fine || (found && !ledger_text_erase(search->ledger, id, fault)))
            return false;
        if (!found)
            id[0] = '\0';
    } while (id[0]);
    return true;
}

static bool as_json(const char *name, char *needle, size_t size)
{
    json_t *value = json_string(name);
    char *written = json_memory_dumps(value, JSON_ENCODE_ANY);
    json_decref(value);
    if (!written)
        return false;
    const bool fits = span_copy((struct span){written + 1, strlen(written) - 2}, needle, size);
    free(written);
    return fits;
}

/* ---- one name, all names ---- */

static bool erase_one(struct ledger *ledger, const char *serial, const char *name, struct fault *fault)
{
    struct search search = {.ledger = ledger, .name = name, .serial = serial};
    if (!as_json(name, search.needle, sizeof search.needle))
        return no_memory(fault);
    return erase_notes(&search, fault) && change_rows(&search, &ANSWERS, &ANSWER_SET, fault) &&
           change_rows(&search, &SESSIONS, &SESSION_SET, fault);
}

static bool forget_digest(struct ledger *ledger, const char *act, struct fault *fault)
{
    static const uint8_t zeros[HASH_BYTES];
    struct sql_statement *statement = NULL;
    if (!sql_start(ledger_sql(ledger), &DIGEST_SET, &statement, fault))
        return false;
    sql_bind_text(statement, 1, act);
    sql_bind_blob(statement, 2, zeros, sizeof zeros);
    return sql_finish(statement, NULL, fault);
}

bool erasure_of_name(struct ledger *ledger, const char *serial, struct fault *fault)
{
    struct entries *entries = calloc(1, sizeof *entries);
    char name[TEXT_VALUE_SIZE];
    if (!entries)
        return no_memory(fault);
    bool fine = ledger_each_of_unit(ledger, serial, 0, collect_entry, entries, fault);
    if (fine && entries->too_many)
        fine = fault_set(fault, FAULT_REFUSED, "%s was named more than %d times: report this", serial, NAMES_MOST);
    for (size_t i = 0; fine && i < entries->count; i++) {
        fine = ledger_text_get(ledger, entries->text[i], name, sizeof name, fault) &&
               forget_digest(ledger, entries->act[i], fault) && (!name[0] || erase_one(ledger, serial, name, fault)) &&
               ledger_text_erase(ledger, entries->text[i], fault);
    }
    free(entries);
    return fine;
}
