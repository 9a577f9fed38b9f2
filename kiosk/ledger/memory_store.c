#include "kiosk/ledger/memory_store.h"

#include <assert.h>
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include <sodium.h>

enum { KEY_SIZE = 80, FIRST_SLOTS = 64 };

struct entry {
    char key[KEY_SIZE];
    char text[TEXT_ID_SIZE];
    max_align_t row[]; /* of the table's type */
};

/* Open addressing: slots hold entry numbers plus one, 0 = free. Nothing is ever removed. */
struct table {
    struct entry **entries; /* in the order of first saving */
    size_t count, room;
    size_t *slots;
    size_t slot_count; /* a power of two, 0 at first */
};

struct memory_store {
    struct table tables[MEMORY_TABLES];
    uint8_t
        hash_key[crypto_shorthash_KEYBYTES]; /* imported keys are strangers' bytes: they must not be able to collide */
};

/* ---- keys ---- */

typedef void key_function(const void *row, struct builder *key);

static void item_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct item *)row)->code);
}

static void lot_key(const void *row, struct builder *key)
{
    const struct lot *lot = row;
    builder_addf(key, "%s\x1f%s", lot->item, lot->lot);
}

static void place_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct place *)row)->code);
}

static void machine_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct machine *)row)->code);
}

static void person_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct person *)row)->serial);
}

static void unit_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct unit *)row)->serial);
}

static void unit_mix_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct unit_mix *)row)->unit);
}

static void delivery_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct delivery *)row)->id);
}

static void job_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct job *)row)->id);
}

static void print_key(const void *row, struct builder *key)
{
    const struct print *print = row;
    builder_addf(key, "%s\x1f%s\x1f%" PRId64, print->unit, print->place, print->number);
}

static void label_printer_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct label_printer *)row)->device);
}

static void print_look_key(const void *row, struct builder *key)
{
    builder_addf(key, "%" PRId64, ((const struct print_look *)row)->seq);
}

static void question_key(const void *row, struct builder *key)
{
    builder_addf(key, "%" PRId64, ((const struct question *)row)->seq);
}

static void sticker_key(const void *row, struct builder *key)
{
    builder_add(key, ((const struct sticker *)row)->id);
}

static void substitution_key(const void *row, struct builder *key)
{
    const struct substitution *substitution = row;
    builder_addf(key, "%s\x1f%s\x1f%s", substitution->resin, substitution->wanted, substitution->given);
}

static const struct {
    const char *word;
    size_t size;
    key_function *key;
} kinds[] = {
    [MEMORY_ITEMS] = {"item", sizeof(struct item), item_key},
    [MEMORY_LOTS] = {"lot", sizeof(struct lot), lot_key},
    [MEMORY_PLACES] = {"place", sizeof(struct place), place_key},
    [MEMORY_MACHINES] = {"printer", sizeof(struct machine), machine_key},
    [MEMORY_PERSONS] = {"person", sizeof(struct person), person_key},
    [MEMORY_UNITS] = {"unit", sizeof(struct unit), unit_key},
    [MEMORY_UNIT_MIXES] = {"mix", sizeof(struct unit_mix), unit_mix_key},
    [MEMORY_DELIVERIES] = {"delivery", sizeof(struct delivery), delivery_key},
    [MEMORY_JOBS] = {"job", sizeof(struct job), job_key},
    [MEMORY_PRINTS] = {"label", sizeof(struct print), print_key},
    [MEMORY_LABEL_PRINTERS] = {"label printer", sizeof(struct label_printer), label_printer_key},
    [MEMORY_PRINT_LOOKS] = {"look at a label", sizeof(struct print_look), print_look_key},
    [MEMORY_QUESTIONS] = {"question", sizeof(struct question), question_key},
    [MEMORY_STICKERS] = {"sticker pattern", sizeof(struct sticker), sticker_key},
    [MEMORY_SUBSTITUTIONS] = {"substitution", sizeof(struct substitution), substitution_key},
};
_Static_assert(sizeof kinds / sizeof *kinds == MEMORY_TABLES, "one kind a table");

static void make_key(enum memory_table table, const void *row, char text[KEY_SIZE])
{
    struct builder key;
    builder_init(&key, text, KEY_SIZE);
    kinds[table].key(row, &key);
    assert(!key.cut); /* every key field is bounded, and they fit together */
}

/* ---- the hash table ---- */

static size_t slot_of(const struct memory_store *store, const struct table *table, const char *key)
{
    uint8_t bytes[crypto_shorthash_BYTES];
    uint64_t hash = 0;
    crypto_shorthash(bytes, (const uint8_t *)key, strlen(key), store->hash_key);
    memcpy(&hash, bytes, sizeof hash);
    size_t slot = (size_t)hash & (table->slot_count - 1);
    while (table->slots[slot] && strcmp(table->entries[table->slots[slot] - 1]->key, key) != 0)
        slot = (slot + 1) & (table->slot_count - 1);
    return slot;
}

static struct entry *find(const struct memory_store *store, enum memory_table which, const void *like)
{
    const struct table *table = &store->tables[which];
    char key[KEY_SIZE];
    if (table->slot_count == 0)
        return NULL;
    make_key(which, like, key);
    const size_t number = table->slots[slot_of(store, table, key)];
    return number ? table->entries[number - 1] : NULL;
}

static bool grow(const struct memory_store *store, struct table *table)
{
    if (table->count == table->room) {
        const size_t room = table->room ? table->room * 2 : FIRST_SLOTS / 2;
        struct entry **entries = realloc(table->entries, room * sizeof(struct entry *));
        if (!entries)
            return false;
        table->entries = entries;
        table->room = room;
    }
    if ((table->count + 1) * 2 <= table->slot_count) /* at most half full */
        return true;
    const size_t slot_count = table->slot_count ? table->slot_count * 2 : FIRST_SLOTS;
    size_t *slots = calloc(slot_count, sizeof *slots);
    if (!slots)
        return false;
    free(table->slots);
    table->slots = slots;
    table->slot_count = slot_count;
    for (size_t i = 0; i < table->count; i++)
        table->slots[slot_of(store, table, table->entries[i]->key)] = i + 1;
    return true;
}

static bool save(struct memory_store *store, enum memory_table which, const void *row, const char *text,
                 struct fault *fault)
{
    struct table *table = &store->tables[which];
    struct entry *entry = find(store, which, row);
    if (!entry) {
        entry = grow(store, table) ? calloc(1, sizeof *entry + kinds[which].size) : NULL;
        if (!entry)
            return fault_set(fault, FAULT_STORAGE, "no memory for a %s: end other programs", kinds[which].word);
        make_key(which, row, entry->key);
        table->entries[table->count++] = entry;
        table->slots[slot_of(store, table, entry->key)] = table->count;
    }
    memcpy(entry->row, row, kinds[which].size);
    if (text[0]) /* none given: the row keeps the text it has */
        span_copy(span_of(text), entry->text, sizeof entry->text);
    return true;
}

static bool load(const struct memory_store *store, enum memory_table which, void *row, bool *found)
{
    const struct entry *entry = find(store, which, row);
    *found = entry != NULL;
    if (entry)
        memcpy(row, entry->row, kinds[which].size);
    return true;
}

/* ---- what apply calls ---- */

#define ROWS(name, type, table)                                                                                        \
    static bool load_##name(void *context, struct type *row, bool *found, struct fault *fault)                         \
    {                                                                                                                  \
        (void)fault;                                                                                                   \
        return load(context, table, row, found);                                                                       \
    }                                                                                                                  \
    static bool save_##name(void *context, const struct type *row, struct fault *fault)                                \
    {                                                                                                                  \
        return save(context, table, row, "", fault);                                                                   \
    }

ROWS(item, item, MEMORY_ITEMS)
ROWS(lot, lot, MEMORY_LOTS)
ROWS(place, place, MEMORY_PLACES)
ROWS(machine, machine, MEMORY_MACHINES)
ROWS(unit, unit, MEMORY_UNITS)
ROWS(unit_mix, unit_mix, MEMORY_UNIT_MIXES)
ROWS(delivery, delivery, MEMORY_DELIVERIES)
ROWS(job, job, MEMORY_JOBS)
ROWS(print, print, MEMORY_PRINTS)
ROWS(sticker, sticker, MEMORY_STICKERS)
ROWS(substitution, substitution, MEMORY_SUBSTITUTIONS)
ROWS(label_printer, label_printer, MEMORY_LABEL_PRINTERS)
ROWS(print_look, print_look, MEMORY_PRINT_LOOKS)

static bool load_person(void *context, struct person *row, bool *found, struct fault *fault)
{
    struct person read = *row;
    (void)fault;
    load(context, MEMORY_PERSONS, &read, found);
    memcpy(read.name, row->name, sizeof read.name); /* names are not ours */
    *row = read;
    return true;
}

static bool save_person(void *context, const struct person *row, const char *text, struct fault *fault)
{
    struct person kept = *row;
    memset(kept.name, 0, sizeof kept.name);
    return save(context, MEMORY_PERSONS, &kept, text, fault);
}

static bool load_question(void *context, struct question *row, bool *found, struct fault *fault)
{
    (void)fault;
    return load(context, MEMORY_QUESTIONS, row, found);
}

static bool save_question(void *context, const struct question *row, const char *text, struct fault *fault)
{
    struct question kept = *row;
    memset(kept.note, 0, sizeof kept.note);
    return save(context, MEMORY_QUESTIONS, &kept, text, fault);
}

struct apply_store memory_store_apply(struct memory_store *store)
{
    return (struct apply_store){
        .context = store,
        .load_item = load_item,
        .save_item = save_item,
        .load_lot = load_lot,
        .save_lot = save_lot,
        .load_place = load_place,
        .save_place = save_place,
        .load_machine = load_machine,
        .save_machine = save_machine,
        .load_person = load_person,
        .save_person = save_person,
        .load_unit = load_unit,
        .save_unit = save_unit,
        .load_unit_mix = load_unit_mix,
        .save_unit_mix = save_unit_mix,
        .load_delivery = load_delivery,
        .save_delivery = save_delivery,
        .load_job = load_job,
        .save_job = save_job,
        .load_print = load_print,
        .save_print = save_print,
        .load_sticker = load_sticker,
        .save_sticker = save_sticker,
        .load_substitution = load_substitution,
        .save_substitution = save_substitution,
        .load_label_printer = load_label_printer,
        .save_label_printer = save_label_printer,
        .load_print_look = load_print_look,
        .save_print_look = save_print_look,
        .load_question = load_question,
        .save_question = save_question,
    };
}

/* ---- life and looking ---- */

struct memory_store *memory_store_create(void)
{
    if (sodium_init() < 0)
        return NULL;
    struct memory_store *store = calloc(1, sizeof *store);
    if (store)
        crypto_shorthash_keygen(store->hash_key);
    return store;
}

void memory_store_destroy(struct memory_store *store)
{
    if (!store)
        return;
    for (int i = 0; i < MEMORY_TABLES; i++) {
        for (size_t j = 0; j < store->tables[i].count; j++)
            free(store->tables[i].entries[j]);
        free(store->tables[i].entries);
        free(store->tables[i].slots);
    }
    free(store);
}

const char *memory_table_word(enum memory_table table)
{
    return kinds[table].word;
}

const char *memory_row_name(enum memory_table table, const void *row, char name[MEMORY_NAME_SIZE])
{
    char key[KEY_SIZE];
    struct builder builder;
    make_key(table, row, key);
    builder_init(&builder, name, MEMORY_NAME_SIZE);
    for (const char *c = key; *c; c++)
        if (*c != '\x1f')
            builder_add_char(&builder, *c);
        else if (builder.length > 0 && name[builder.length - 1] != ' ')
            builder_add_char(&builder, ' ');
    return name;
}

size_t memory_store_count(const struct memory_store *store, enum memory_table table)
{
    return store->tables[table].count;
}

const void *memory_store_find(const struct memory_store *store, enum memory_table table, const void *like,
                              const char **text)
{
    const struct entry *entry = find(store, table, like);
    if (text)
        *text = entry ? entry->text : "";
    return entry ? entry->row : NULL;
}

void memory_store_each(const struct memory_store *store, enum memory_table table, memory_visitor *visit, void *context)
{
    const struct table *rows = &store->tables[table];
    for (size_t i = 0; i < rows->count; i++)
        if (!visit(rows->entries[i]->row, rows->entries[i]->text, context))
            return;
}
