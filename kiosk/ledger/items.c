#include <stddef.h>
#include <string.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"
#include "labels/basics/text.h"

#define ITEM_COLUMNS                                                                                                   \
    "code, letter, name, resin, revision, gtin, maker_code, fits, content_ul, minimum_days, life_minutes, "            \
    "density_mg_ml, stir_days, inspect_minutes, surface_minutes,"                                                      \
    " sds_product, sds_signal_word, sds_pictograms, sds_statements, sds_precautions, sds_revised, sds_place,"          \
    " sds_label, sds_supplier, sds_address, sds_phone, sds_quantity, sds_ufi, sds_language, provisional, version"

static const struct row_field ITEM_LIST[] = {
    ROW_FIELD(TEXT, item, code),
    ROW_FIELD(LETTER, item, letter),
    ROW_FIELD(TEXT, item, name),
    ROW_FIELD(TEXT, item, resin),
    ROW_FIELD(TEXT, item, revision),
    ROW_FIELD(TEXT, item, gtin),
    ROW_FIELD(TEXT, item, maker_code),
    ROW_FIELD(TEXT, item, fits),
    ROW_FIELD(WHOLE, item, content_ul),
    ROW_FIELD(WHOLE, item, minimum_days),
    ROW_FIELD(WHOLE, item, life_minutes),
    ROW_FIELD(WHOLE, item, density_mg_ml),
    ROW_FIELD(WHOLE, item, stir_days),
    ROW_FIELD(WHOLE, item, inspect_minutes),
    ROW_FIELD(WHOLE, item, surface_minutes),
    ROW_FIELD(TEXT, item, sds.product),
    ROW_FIELD(TEXT, item, sds.signal_word),
    ROW_FIELD(TEXT, item, sds.pictograms),
    ROW_FIELD(TEXT, item, sds.statements),
    ROW_FIELD(TEXT, item, sds.precautions),
    ROW_FIELD(TEXT, item, sds.revised),
    ROW_FIELD(TEXT, item, sds.place),
    ROW_FIELD(TEXT, item, sds.label),
    ROW_FIELD(TEXT, item, sds.supplier),
    ROW_FIELD(TEXT, item, sds.address),
    ROW_FIELD(TEXT, item, sds.phone),
    ROW_FIELD(TEXT, item, sds.quantity),
    ROW_FIELD(TEXT, item, sds.ufi),
    ROW_FIELD(TEXT, item, sds.language),
    ROW_FIELD(FLAG, item, provisional),
    ROW_FIELD(WHOLE, item, version),
};
static const struct sql_text ITEM_LOAD = {"SELECT " ITEM_COLUMNS " FROM item WHERE code = $1", "t"};
static const struct row_fields ITEM_FIELDS = ROW_FIELDS_KEPT("item", ITEM_LIST, &ITEM_LOAD);

static const struct sql_text ITEM_SAVE = {
    "INSERT INTO item (" ITEM_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14,"
    " $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $25, $26, $27, $28, $29, $30, $31)"
    " ON CONFLICT (code) DO UPDATE SET letter = excluded.letter, name = excluded.name, resin = excluded.resin,"
    " revision = excluded.revision, gtin = excluded.gtin, maker_code = excluded.maker_code, fits = excluded.fits,"
    " content_ul = excluded.content_ul, minimum_days = excluded.minimum_days, life_minutes = excluded.life_minutes,"
    " density_mg_ml = excluded.density_mg_ml, stir_days = excluded.stir_days,"
    " inspect_minutes = excluded.inspect_minutes, surface_minutes = excluded.surface_minutes,"
    " sds_product = excluded.sds_product, sds_signal_word = excluded.sds_signal_word,"
    " sds_pictograms = excluded.sds_pictograms, sds_statements = excluded.sds_statements,"
    " sds_precautions = excluded.sds_precautions, sds_revised = excluded.sds_revised, sds_place = excluded.sds_place,"
    " sds_label = excluded.sds_label, sds_supplier = excluded.sds_supplier, sds_address = excluded.sds_address,"
    " sds_phone = excluded.sds_phone, sds_quantity = excluded.sds_quantity, sds_ufi = excluded.sds_ufi,"
    " sds_language = excluded.sds_language, provisional = excluded.provisional, version = excluded.version WHERE "
    "item.version <= excluded.version",
    "ttttttttiiiiiiittttttttttttttii"};
/* One maker's code may stand at several items (a revision): the one entered last speaks. */
static const struct sql_text ITEM_BY_GTIN = {
    "SELECT " ITEM_COLUMNS " FROM item WHERE gtin = $1 ORDER BY version DESC, code LIMIT 1", "t"};
static const struct sql_text ITEM_BY_MAKER_CODE = {
    "SELECT " ITEM_COLUMNS " FROM item WHERE maker_code = $1 ORDER BY version DESC, code LIMIT 1", "t"};
static const struct sql_text ITEM_EACH = {"SELECT " ITEM_COLUMNS " FROM item ORDER BY code", ""};
static const struct sql_text ITEM_EACH_OF_RESIN = {
    "SELECT " ITEM_COLUMNS " FROM item WHERE letter = $1 AND resin = $2 ORDER BY code", "tt"};
/* By bytes: all that begins with "NEW-" ('.' is the byte after '-'). */
static const struct sql_text ITEM_PROVISIONAL = {
    "SELECT " ITEM_COLUMNS " FROM item WHERE code >= 'NEW-' AND code < 'NEW.' ORDER BY code", ""};

enum { PROVISIONAL_LAST = 9999 };
static const char PROVISIONAL_START[] = "NEW-";

bool item_save(struct ledger *ledger, const struct item *row, struct fault *fault)
{
    return row_save(ledger, &ITEM_SAVE, &ITEM_FIELDS, row, fault);
}

bool item_load(struct ledger *ledger, const char *code, struct item *item, bool *found, struct fault *fault)
{
    return row_load(ledger, &ITEM_LOAD, ROW_KEYS({.text = code}), &ITEM_FIELDS, item, sizeof *item, found, fault);
}

bool item_load_sds(struct ledger *ledger, const char *code, const char *resin, struct item *item, bool *found,
                   struct fault *fault)
{
    const char *const codes[] = {code, resin};
    *found = false;
    for (size_t i = 0; !*found && i < sizeof codes / sizeof *codes; i++) {
        bool there = false;
        if (codes[i][0] != '\0' && !item_load(ledger, codes[i], item, &there, fault))
            return false;
        *found = there && item->sds.product[0] != '\0';
    }
    return true;
}

/* An item without the code has "" there: that must not be found. */
static bool find(struct ledger *ledger, const struct sql_text *text, const char *key, struct item *item, bool *found,
                 struct fault *fault)
{
    if (*key)
        return row_load(ledger, text, ROW_KEYS({.text = key}), &ITEM_FIELDS, item, sizeof *item, found, fault);
    *found = false;
    return true;
}

bool item_find_gtin(struct ledger *ledger, const char *gtin, struct item *item, bool *found, struct fault *fault)
{
    return find(ledger, &ITEM_BY_GTIN, gtin, item, found, fault);
}

bool item_find_maker_code(struct ledger *ledger, const char *code, struct item *item, bool *found, struct fault *fault)
{
    return find(ledger, &ITEM_BY_MAKER_CODE, code, item, found, fault);
}

static bool each(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys, item_visitor *visit,
                 void *context, struct fault *fault)
{
    struct row_walk walk;
    struct item row;
    if (!row_walk_start(&walk, ledger, text, keys, fault))
        return false;
    while (row_walk_next(&walk, &ITEM_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}

bool item_each(struct ledger *ledger, item_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &ITEM_EACH, NULL, visit, context, fault);
}

bool item_each_of_resin(struct ledger *ledger, char letter, const char *resin, item_visitor *visit, void *context,
                        struct fault *fault)
{
    const char letters[] = {letter, '\0'};
    return each(ledger, &ITEM_EACH_OF_RESIN, ROW_KEYS({.text = letters}, {.text = resin}), visit, context, fault);
}

struct used_numbers {
    bool used[PROVISIONAL_LAST + 1];
};

static bool note_number(const struct item *item, void *context)
{
    struct used_numbers *numbers = context;
    int64_t number = 0;
    if (span_read_count(span_of(item->code + strlen(PROVISIONAL_START)), &number) && number <= PROVISIONAL_LAST)
        numbers->used[number] = true;
    return true;
}

bool item_next_provisional(struct ledger *ledger, char code[ITEM_CODE_SIZE], struct fault *fault)
{
    struct used_numbers numbers = {{false}};
    if (!each(ledger, &ITEM_PROVISIONAL, NULL, note_number, &numbers, fault))
        return false;
    int number = 1;
    while (number <= PROVISIONAL_LAST && numbers.used[number])
        number++;
    if (number > PROVISIONAL_LAST)
        return fault_set(fault, FAULT_REFUSED,
                         "all provisional codes NEW-1 to NEW-%d are used: complete some of these "
                         "items under codes of their own",
                         PROVISIONAL_LAST);
    struct builder text;
    builder_init(&text, code, ITEM_CODE_SIZE);
    builder_addf(&text, "%s%d", PROVISIONAL_START, number);
    return true;
}
