#include "kiosk/ledger/row_memory.h"

#include <stdlib.h>
#include <string.h>

enum { PLACES = 256, KEY_SIZE = 48 }; /* a longer key is not kept */

/* One place a hash: what comes there last stays. */
struct kept_row {
    const struct row_fields *fields; /* NULL: nothing is kept here */
    char key[KEY_SIZE];
    size_t size, room;
    void *row;
};

struct row_memory {
    struct kept_row rows[PLACES];
};

struct row_memory *row_memory_create(void)
{
    return calloc(1, sizeof(struct row_memory));
}

void row_memory_destroy(struct row_memory *memory)
{
    for (int i = 0; memory && i < PLACES; i++)
        free(memory->rows[i].row);
    free(memory);
}

/* FNV-1a, of the key and the table's name. */
static unsigned place_of(const struct row_fields *fields, const char *key)
{
    uint32_t hash = 2166136261U;
    for (const char *at = fields->table; *at; at++)
        hash = (hash ^ (unsigned char)*at) * 16777619U;
    for (; *key; key++)
        hash = (hash ^ (unsigned char)*key) * 16777619U;
    return (hash ^ hash >> 16) % PLACES;
}

static bool is_at(const struct kept_row *kept, const struct row_fields *fields, const char *key)
{
    return kept->fields == fields && strcmp(kept->key, key) == 0;
}

bool row_memory_get(const struct row_memory *memory, const struct row_fields *fields, const char *key, void *row,
                    size_t size)
{
    const struct kept_row *kept = &memory->rows[place_of(fields, key)];
    if (!is_at(kept, fields, key) || kept->size != size)
        return false;
    memcpy(row, kept->row, size);
    return true;
}

void row_memory_put(struct row_memory *memory, const struct row_fields *fields, const char *key, const void *row,
                    size_t size)
{
    const size_t length = strlen(key);
    if (length >= KEY_SIZE)
        return;
    struct kept_row *kept = &memory->rows[place_of(fields, key)];
    kept->fields = NULL;
    if (kept->room < size) {
        void *larger = realloc(kept->row, size);
        if (!larger)
            return;
        kept->row = larger;
        kept->room = size;
    }
    memcpy(kept->row, row, size);
    memcpy(kept->key, key, length + 1);
    kept->size = size;
    kept->fields = fields;
}

void row_memory_drop(struct row_memory *memory, const struct row_fields *fields, const char *key)
{
    struct kept_row *kept = &memory->rows[place_of(fields, key)];
    if (is_at(kept, fields, key))
        kept->fields = NULL;
}

void row_memory_drop_all(struct row_memory *memory)
{
    for (int i = 0; memory && i < PLACES; i++)
        memory->rows[i].fields = NULL;
}
