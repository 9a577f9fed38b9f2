#include "kiosk/ledger/schema.h"

#include <stdlib.h>
#include <string.h>

#include "labels/basics/text.h"

/* Present-state texts are '' when there is nothing to say, so that they can be compared and grouped; numbers are NULL
 * when not known. In movements both are NULL, as the hash marks them. Flags are 0 and 1; days and instants whole
 * numbers (days, milliseconds, since 1970-01-01). */
static const char VERSION_1[] =
    "CREATE TABLE schema_version (one {int} NOT NULL PRIMARY KEY CHECK (one = 1), version {int} NOT NULL);"
    "INSERT INTO schema_version (one, version) VALUES (1, 1);"

    "CREATE TABLE ledger_head (one {int} NOT NULL PRIMARY KEY CHECK (one = 1), seq {int} NOT NULL,"
    " hash {blob} NOT NULL, demo {int} NOT NULL);"
    "CREATE TABLE serial_next (letter {text} NOT NULL PRIMARY KEY, next_number {int} NOT NULL);"

    "CREATE TABLE movement (seq {int} NOT NULL PRIMARY KEY, act {text}, kind {text} NOT NULL, at_ms {int} NOT NULL,"
    " local_day {int} NOT NULL, trusted {int} NOT NULL, kiosk {text}, person {text}, unit {text}, other {text},"
    " item {text}, lot {text}, place {text}, printer {text}, delivery {text}, job {text}, word {text},"
    " amount_ul {int}, minutes {int}, pieces {int}, filled {int}, expires {int}, refers {int}, text_id {text},"
    " detail {text}, form {int} NOT NULL, hash {blob} NOT NULL);"
    "CREATE INDEX movement_by_unit ON movement (unit, seq);"
    "CREATE INDEX movement_by_other ON movement (other, seq);"
    "CREATE INDEX movement_by_act ON movement (act, seq);"
    "CREATE TABLE erasable_text (id {text} NOT NULL PRIMARY KEY, salt {blob}, value {text});"

    "CREATE TABLE item (code {text} NOT NULL PRIMARY KEY, letter {text} NOT NULL, name {text} NOT NULL,"
    " resin {text} NOT NULL, revision {text} NOT NULL, gtin {text} NOT NULL, maker_code {text} NOT NULL,"
    " fits {text} NOT NULL, content_ul {int}, minimum_days {int}, life_minutes {int}, provisional {int} NOT NULL,"
    " version {int} NOT NULL);"
    "CREATE INDEX item_by_gtin ON item (gtin, code);"
    "CREATE INDEX item_by_maker_code ON item (maker_code, code);"
    "CREATE TABLE lot (item {text} NOT NULL, lot {text} NOT NULL, expires {int}, version {int} NOT NULL,"
    " PRIMARY KEY (item, lot));"
    "CREATE TABLE place (code {text} NOT NULL PRIMARY KEY, kind {text} NOT NULL, printer {text} NOT NULL,"
    " name {text} NOT NULL, version {int} NOT NULL);"
    "CREATE TABLE machine (code {text} NOT NULL PRIMARY KEY, name {text} NOT NULL, slots {int},"
    " version {int} NOT NULL);"
    "CREATE TABLE person (serial {text} NOT NULL PRIMARY KEY, role {text} NOT NULL, text_id {text} NOT NULL,"
    " version {int} NOT NULL);"

    "CREATE TABLE unit (serial {text} NOT NULL PRIMARY KEY, item {text} NOT NULL, resin {text} NOT NULL,"
    " lot {text} NOT NULL, status {text} NOT NULL, place {text} NOT NULL, holder {text} NOT NULL,"
    " printer {text} NOT NULL, job {text} NOT NULL, delivery {text} NOT NULL, hold {text} NOT NULL,"
    " film {text} NOT NULL, filled {int}, expires {int}, amount_ul {int}, minutes {int}, labelled {int} NOT NULL,"
    " prints {int} NOT NULL, out_since_ms {int}, version {int} NOT NULL);"
    "CREATE INDEX unit_by_place ON unit (place, serial);"
    "CREATE INDEX unit_by_printer ON unit (printer, serial);"
    "CREATE INDEX unit_by_holder ON unit (holder, serial);"
    "CREATE INDEX unit_by_delivery ON unit (delivery, serial);"
    "CREATE INDEX unit_by_item ON unit (item, serial);"
    "CREATE INDEX unit_by_item_lot ON unit (item, lot, serial);"
    "CREATE INDEX unit_by_resin ON unit (resin, serial);"

    "CREATE TABLE delivery (id {text} NOT NULL PRIMARY KEY, supplier {text} NOT NULL, is_open {int} NOT NULL,"
    " opened_ms {int} NOT NULL, version {int} NOT NULL);"
    "CREATE INDEX delivery_open ON delivery (opened_ms, id) WHERE is_open = 1;"
    "CREATE TABLE job (id {text} NOT NULL PRIMARY KEY, machine {text} NOT NULL, person {text} NOT NULL,"
    " started_ms {int}, ended_ms {int}, need_ul {int}, end_day {int}, minutes {int}, version {int} NOT NULL);"
    "CREATE INDEX job_running ON job (machine, started_ms) WHERE ended_ms IS NULL;"
    "CREATE TABLE print (unit {text} NOT NULL, place {text} NOT NULL, number {int} NOT NULL, state {text} NOT NULL,"
    " label_template {text} NOT NULL, device {text} NOT NULL, device_job {int}, ordered_seq {int},"
    " version {int} NOT NULL, PRIMARY KEY (unit, place, number));"
    "CREATE INDEX print_by_state ON print (state, ordered_seq);"
    "CREATE TABLE question (seq {int} NOT NULL PRIMARY KEY, code {text} NOT NULL, unit {text} NOT NULL,"
    " person {text} NOT NULL, text_id {text} NOT NULL, is_open {int} NOT NULL, opened_ms {int} NOT NULL,"
    " version {int} NOT NULL);"
    "CREATE INDEX question_open ON question (seq) WHERE is_open = 1;"

    "CREATE TABLE session (counter {text} NOT NULL PRIMARY KEY, state {text} NOT NULL);"
    "CREATE TABLE act (id {text} NOT NULL PRIMARY KEY, kind {text} NOT NULL, counter {text} NOT NULL,"
    " person {text} NOT NULL, digest {blob} NOT NULL, at_ms {int} NOT NULL, first_seq {int}, last_seq {int},"
    " undone {int} NOT NULL, answer {text} NOT NULL);"
    "CREATE INDEX act_by_counter ON act (counter, last_seq)";

/* Form 2: what a year of acts costs no longer grows with the years. The stock's totals are a table, kept by whoever
 * saves a unit; indexes hold only the rows that somebody asks for, so that an act touches few pages; the answers of
 * acts stand apart, in the order in which they were given, so that old ones can be forgotten and their pages used
 * again; an act's movements are found by its first and last number. */
static const char VERSION_2[] =
    "DROP INDEX movement_by_unit; DROP INDEX movement_by_other; DROP INDEX movement_by_act;"
    "CREATE INDEX movement_by_unit ON movement (unit, seq) WHERE unit IS NOT NULL;"
    "CREATE INDEX movement_by_other ON movement (other, seq) WHERE other IS NOT NULL;"
    "DROP INDEX unit_by_place; DROP INDEX unit_by_printer; DROP INDEX unit_by_holder; DROP INDEX unit_by_delivery;"
    "DROP INDEX unit_by_item; DROP INDEX unit_by_resin;"
    "CREATE INDEX unit_by_place ON unit (place, serial) WHERE place <> '';"
    "CREATE INDEX unit_by_printer ON unit (printer, serial) WHERE printer <> '';"
    "CREATE INDEX unit_by_holder ON unit (holder, serial) WHERE holder <> '';"
    "CREATE INDEX unit_by_delivery ON unit (delivery, serial) WHERE delivery <> '';"

    "CREATE TABLE stock (item {text} NOT NULL, expires {int} NOT NULL, lot {text} NOT NULL, status {text} NOT NULL,"
    " held {int} NOT NULL, labelled {int} NOT NULL, units {int} NOT NULL, amount_ul {int} NOT NULL,"
    " amount_unknown {int} NOT NULL, PRIMARY KEY (item, expires, lot, status, held, labelled));"
    "INSERT INTO stock (item, expires, lot, status, held, labelled, units, amount_ul, amount_unknown)"
    " SELECT item, COALESCE(expires, 2147483647), lot, status, CASE WHEN hold = '' THEN 0 ELSE 1 END, labelled,"
    " CAST(COUNT(*) AS BIGINT), CAST(COALESCE(SUM(amount_ul), 0) AS BIGINT),"
    " CAST(SUM(CASE WHEN amount_ul IS NULL THEN 1 ELSE 0 END) AS BIGINT) FROM unit WHERE status IN ('in', 'out')"
    " GROUP BY item, COALESCE(expires, 2147483647), lot, status, CASE WHEN hold = '' THEN 0 ELSE 1 END, labelled;"

    "ALTER TABLE act RENAME TO act_form_1; DROP INDEX act_by_counter;"
    "CREATE TABLE act (number {int} NOT NULL PRIMARY KEY, id {text} NOT NULL, kind {text} NOT NULL,"
    " counter {text} NOT NULL, person {text} NOT NULL, digest {blob} NOT NULL, at_ms {int} NOT NULL,"
    " first_seq {int}, last_seq {int}, undone {int} NOT NULL);"
    "INSERT INTO act (number, id, kind, counter, person, digest, at_ms, first_seq, last_seq, undone)"
    " SELECT ROW_NUMBER() OVER (ORDER BY COALESCE(last_seq, 0), at_ms, id), id, kind, counter, person, digest, at_ms,"
    " first_seq, last_seq, undone FROM act_form_1;"
    "CREATE UNIQUE INDEX act_by_id ON act (id);"
    "CREATE INDEX act_to_undo ON act (counter, last_seq)"
    " WHERE undone = 0 AND kind <> 'undo' AND last_seq IS NOT NULL AND counter <> '';"
    "CREATE TABLE act_answer (number {int} NOT NULL PRIMARY KEY, at_ms {int} NOT NULL, answer {text} NOT NULL);"
    "INSERT INTO act_answer (number, at_ms, answer) SELECT act.number, act.at_ms, act_form_1.answer FROM act"
    " JOIN act_form_1 ON act_form_1.id = act.id;"
    "DROP TABLE act_form_1;"
    "UPDATE schema_version SET version = 2";

/* Form 3: the rows of the stock's totals and of jobs stand in the order of their keys themselves, not beside an index
 * of keys: an act touches one page of each instead of two, and the totals are summed without going back and forth. */
static const char VERSION_3[] =
    "ALTER TABLE stock RENAME TO stock_form_2;"
    "CREATE TABLE stock (item {text} NOT NULL, expires {int} NOT NULL, lot {text} NOT NULL, status {text} NOT NULL,"
    " held {int} NOT NULL, labelled {int} NOT NULL, units {int} NOT NULL, amount_ul {int} NOT NULL,"
    " amount_unknown {int} NOT NULL, PRIMARY KEY (item, expires, lot, status, held, labelled)){rowless};"
    "INSERT INTO stock (item, expires, lot, status, held, labelled, units, amount_ul, amount_unknown)"
    " SELECT item, expires, lot, status, held, labelled, units, amount_ul, amount_unknown FROM stock_form_2;"
    "DROP TABLE stock_form_2;"

    "DROP INDEX job_running;"
    "ALTER TABLE job RENAME TO job_form_2;"
    "CREATE TABLE job (id {text} NOT NULL PRIMARY KEY, machine {text} NOT NULL, person {text} NOT NULL,"
    " started_ms {int}, ended_ms {int}, need_ul {int}, end_day {int}, minutes {int}, version {int} NOT NULL){rowless};"
    "INSERT INTO job (id, machine, person, started_ms, ended_ms, need_ul, end_day, minutes, version)"
    " SELECT id, machine, person, started_ms, ended_ms, need_ul, end_day, minutes, version FROM job_form_2;"
    "CREATE INDEX job_running ON job (machine, started_ms) WHERE ended_ms IS NULL;"
    "DROP TABLE job_form_2;"
    "UPDATE schema_version SET version = 3";

/* Form 4. Where resin was poured: */
#define FORM_4_POURS "CREATE INDEX movement_by_lot ON movement (item, lot, seq) WHERE lot IS NOT NULL;"

/* What waits for a printer, and in which order: */
#define FORM_4_PRINTS                                                                                                  \
    "DROP INDEX print_by_state; ALTER TABLE print RENAME TO print_form_3;"                                             \
    "CREATE TABLE print (unit {text} NOT NULL, place {text} NOT NULL, number {int} NOT NULL, state {text} NOT NULL,"   \
    " label_template {text} NOT NULL, device {text} NOT NULL, device_job {int}, ordered_seq {int} NOT NULL,"           \
    " ordered_ms {int} NOT NULL, batch {text} NOT NULL, rank {int} NOT NULL, version {int} NOT NULL,"                  \
    " PRIMARY KEY (unit, place, number));"                                                                             \
    "INSERT INTO print (unit, place, number, state, label_template, device, device_job, ordered_seq, ordered_ms,"      \
    " batch, rank, version) SELECT p.unit, p.place, p.number, p.state, p.label_template, p.device, p.device_job,"      \
    " p.ordered_seq, m.at_ms, COALESCE(m.act, ''), p.ordered_seq, p.version FROM print_form_3 p"                       \
    " JOIN movement m ON m.seq = p.ordered_seq;"                                                                       \
    "CREATE INDEX print_by_state ON print (state, rank);"                                                              \
    "DROP TABLE print_form_3;"

/* How well labels came out: */
#define FORM_4_PRINT_LOOKS                                                                                             \
    "CREATE TABLE label_printer (device {text} NOT NULL PRIMARY KEY, dpi {int}, shift_right {int}, shift_down {int},"  \
    " module_dots {int}, stretch_mm {int}, stretch_um {int}, calibrated_ms {int}, baseline_seq {int} NOT NULL,"        \
    " version {int} NOT NULL);"                                                                                        \
    "CREATE TABLE print_look (seq {int} NOT NULL PRIMARY KEY, device {text} NOT NULL, unit {text} NOT NULL,"           \
    " number {int} NOT NULL, at_ms {int} NOT NULL, source {text} NOT NULL, pixels {int}, modulation {int},"            \
    " margin {int}, axial {int}, grid {int}, unused {int}, fixed {int}, growth_x {int}, growth_y {int},"               \
    " contrast {int}, from_um {int}, to_um {int}, marks {text} NOT NULL, edition {text} NOT NULL,"                     \
    " version {int} NOT NULL);"                                                                                        \
    "CREATE INDEX print_look_by_device ON print_look (device, seq);"

/* What a supplier's stickers look like: */
#define FORM_4_STICKERS                                                                                                \
    "CREATE TABLE sticker (id {text} NOT NULL PRIMARY KEY, supplier {text} NOT NULL, pattern {text} NOT NULL,"         \
    " example {text} NOT NULL, forgotten {int} NOT NULL, version {int} NOT NULL);"

/* What was copied from an item's SDS for its hazard label: */
#define FORM_4_SDS                                                                                                     \
    "ALTER TABLE item ADD COLUMN sds_product {text} NOT NULL DEFAULT '';"                                              \
    "ALTER TABLE item ADD COLUMN sds_signal_word {text} NOT NULL DEFAULT '';"                                          \
    "ALTER TABLE item ADD COLUMN sds_pictograms {text} NOT NULL DEFAULT '';"                                           \
    "ALTER TABLE item ADD COLUMN sds_statements {text} NOT NULL DEFAULT '';"                                           \
    "ALTER TABLE item ADD COLUMN sds_precautions {text} NOT NULL DEFAULT '';"                                          \
    "ALTER TABLE item ADD COLUMN sds_revised {text} NOT NULL DEFAULT '';"                                              \
    "ALTER TABLE item ADD COLUMN sds_place {text} NOT NULL DEFAULT '';"                                                \
    "ALTER TABLE item ADD COLUMN sds_label {text} NOT NULL DEFAULT '';"

static const char VERSION_4[] =
    FORM_4_POURS FORM_4_PRINTS FORM_4_PRINT_LOOKS FORM_4_STICKERS FORM_4_SDS "UPDATE schema_version SET version = 4";

/* Form 5. What is in a container, lot by lot, how well that is known, and since when; set by kinds of movements that
 * earlier forms did not have, so older rows have said nothing of it: */
#define FORM_5_CONTENTS                                                                                                \
    "ALTER TABLE unit ADD COLUMN estimated {int} NOT NULL DEFAULT 0;"                                                  \
    "ALTER TABLE unit ADD COLUMN recovered {int} NOT NULL DEFAULT 0;"                                                  \
    "ALTER TABLE unit ADD COLUMN first_filled {int};"                                                                  \
    "ALTER TABLE unit ADD COLUMN opened {int};"                                                                        \
    "ALTER TABLE unit ADD COLUMN tare_dg {int};"                                                                       \
    "CREATE TABLE mix (unit {text} NOT NULL PRIMARY KEY, lots {text} NOT NULL, version {int} NOT NULL){rowless};"

/* What else a label says that goes with a supply, copied from the SDS: */
#define FORM_5_SDS                                                                                                     \
    "ALTER TABLE item ADD COLUMN sds_supplier {text} NOT NULL DEFAULT '';"                                             \
    "ALTER TABLE item ADD COLUMN sds_address {text} NOT NULL DEFAULT '';"                                              \
    "ALTER TABLE item ADD COLUMN sds_phone {text} NOT NULL DEFAULT '';"                                                \
    "ALTER TABLE item ADD COLUMN sds_quantity {text} NOT NULL DEFAULT '';"                                             \
    "ALTER TABLE item ADD COLUMN sds_ufi {text} NOT NULL DEFAULT '';"                                                  \
    "ALTER TABLE item ADD COLUMN sds_language {text} NOT NULL DEFAULT '';"

/* How heavy a resin is: */
#define FORM_5_DENSITY "ALTER TABLE item ADD COLUMN density_mg_ml {int};"

/* How long a printer's labels come out, both ways, so that they can be drawn for it: */
#define FORM_5_SIZES                                                                                                   \
    "ALTER TABLE label_printer ADD COLUMN size_across {int};"                                                          \
    "ALTER TABLE label_printer ADD COLUMN size_down {int};"

/* What people are trained for, and the PINs of those who approve. A PIN is beside the chain: it can be forgotten, and
 * no export has it. */
#define FORM_5_PEOPLE                                                                                                  \
    "ALTER TABLE person ADD COLUMN training {text} NOT NULL DEFAULT '';"                                               \
    "CREATE TABLE pin (person {text} NOT NULL PRIMARY KEY, hash {text} NOT NULL, issued_ms {int} NOT NULL,"            \
    " wrong {int} NOT NULL, tried_ms {int} NOT NULL){rowless};"

/* What took over from a thing whose service ended: */
#define FORM_5_HEIRS "ALTER TABLE unit ADD COLUMN heir {text} NOT NULL DEFAULT '';"

/* What a job is called, and how it ended: */
#define FORM_5_JOBS                                                                                                    \
    "ALTER TABLE job ADD COLUMN code {text} NOT NULL DEFAULT '';"                                                      \
    "ALTER TABLE job ADD COLUMN end_ms {int};"                                                                         \
    "ALTER TABLE job ADD COLUMN ticket {int};"                                                                         \
    "ALTER TABLE job ADD COLUMN outcome {text} NOT NULL DEFAULT '';"                                                   \
    "ALTER TABLE job ADD COLUMN used_ul {int};"                                                                        \
    "CREATE INDEX job_by_code ON job (code) WHERE ended_ms IS NULL AND code <> '';"

/* Which programs and printers may speak for themselves: no part of what movements make, as sessions are none. */
#define FORM_5_DEVICES                                                                                                 \
    "CREATE TABLE device (name {text} NOT NULL PRIMARY KEY, printer {text} NOT NULL, digest {text} NOT NULL,"          \
    " issued_ms {int} NOT NULL, revoked {int} NOT NULL){rowless};"                                                     \
    "CREATE INDEX device_by_digest ON device (digest);"

static const char VERSION_5[] =
    FORM_5_CONTENTS FORM_5_HEIRS FORM_5_SDS FORM_5_DENSITY FORM_5_SIZES FORM_5_PEOPLE FORM_5_JOBS FORM_5_DEVICES
    "UPDATE schema_version SET version = 5";

/* Form 6. For whom a thing is kept, when it is promised back, which two labels are of one vat, and what of its wear and
 * rest is looked after; set by kinds of movements that earlier forms did not have: */
#define FORM_6_UNITS                                                                                                   \
    "ALTER TABLE unit ADD COLUMN reserved {text} NOT NULL DEFAULT '';"                                                 \
    "ALTER TABLE unit ADD COLUMN reserved_until {int};"                                                                \
    "ALTER TABLE unit ADD COLUMN due {int};"                                                                           \
    "ALTER TABLE unit ADD COLUMN pair {text} NOT NULL DEFAULT '';"                                                     \
    "ALTER TABLE unit ADD COLUMN stood_ms {int};"                                                                      \
    "ALTER TABLE unit ADD COLUMN inspected_minutes {int};"                                                             \
    "ALTER TABLE unit ADD COLUMN surface_minutes {int};"                                                               \
    "CREATE INDEX unit_by_due ON unit (due, serial) WHERE due IS NOT NULL;"                                            \
    "CREATE INDEX unit_by_reserved ON unit (reserved, serial) WHERE reserved <> '';"

/* How long a resin may stand, a film go unseen, a removable surface last: */
#define FORM_6_ITEMS                                                                                                   \
    "ALTER TABLE item ADD COLUMN stir_days {int};"                                                                     \
    "ALTER TABLE item ADD COLUMN inspect_minutes {int};"                                                               \
    "ALTER TABLE item ADD COLUMN surface_minutes {int};"

/* Which revision of a resin may stand in for which, by whose word and until when: */
#define FORM_6_SUBSTITUTIONS                                                                                           \
    "CREATE TABLE substitution (resin {text} NOT NULL, wanted {text} NOT NULL, given {text} NOT NULL,"                 \
    " approver {text} NOT NULL, until_day {int} NOT NULL, ended {int} NOT NULL, version {int} NOT NULL,"               \
    " PRIMARY KEY (resin, wanted, given)){rowless};"

/* Jobs that are over are asked for too: by the printer that tells late how one ended, by whose ticket is scanned again.
 */
#define FORM_6_JOBS                                                                                                    \
    "CREATE INDEX job_ended ON job (machine, ended_ms) WHERE ended_ms IS NOT NULL;"                                    \
    "CREATE INDEX job_of_code ON job (code, version) WHERE code <> '';"

static const char VERSION_6[] =
    FORM_6_UNITS FORM_6_ITEMS FORM_6_SUBSTITUTIONS FORM_6_JOBS "UPDATE schema_version SET version = 6";

/* How many stand on a shelf is counted in the index alone, or each counted unit is a page of the table read. */
static const char VERSION_7[] = "DROP INDEX unit_by_place;"
                                "CREATE INDEX unit_by_place ON unit (place, serial, status) WHERE place <> '';"
                                "UPDATE schema_version SET version = 7";

/* STEPS[n] leads from version n to n + 1; each also writes the new number. */
static const char *const STEPS[] = {VERSION_1, VERSION_2, VERSION_3, VERSION_4, VERSION_5, VERSION_6, VERSION_7};
_Static_assert(sizeof STEPS / sizeof *STEPS == SCHEMA_VERSION, "one step a version");

enum { WORD_MOST = 20 }; /* longest word put in for one of {int}, {blob}, {text}, {rowless} */

static const struct sql_text HEAD_INSERT = {"INSERT INTO ledger_head (one, seq, hash, demo) VALUES (1, 0, $1, 0)", "b"};
static const struct sql_text VERSION_READ = {"SELECT version FROM schema_version WHERE one = 1", ""};

/* Runs one step's text with the engine's words in it. */
static bool run_step(struct sql *sql, const char *text, struct fault *fault)
{
    const size_t size = strlen(text) * WORD_MOST / 4 + 1;
    char *expanded = malloc(size);
    if (!expanded)
        return fault_set(fault, FAULT_STORAGE, "no memory to make the ledger's tables: end other programs");
    struct builder out;
    builder_init(&out, expanded, size);
    while (*text) {
        const char *close = *text == '{' ? strchr(text, '}') : NULL;
        const char *word = close ? sql_schema_word(sql, text + 1, (size_t)(close - text) - 1) : NULL;
        if (word)
            builder_add(&out, word);
        else
            builder_add_char(&out, *text);
        text = word ? close + 1 : text + 1;
    }
    const bool fine = sql_exec(sql, expanded, fault);
    free(expanded);
    return fine;
}

static bool insert_head(struct sql *sql, struct fault *fault)
{
    static const uint8_t zeros[32];
    struct sql_statement *statement = NULL;
    if (!sql_start(sql, &HEAD_INSERT, &statement, fault))
        return false;
    sql_bind_blob(statement, 1, zeros, sizeof zeros);
    return sql_finish(statement, NULL, fault);
}

/* 0: no ledger yet. */
static bool read_version(struct sql *sql, int64_t *version, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool there = false, row = false;
    if (!sql_has_table(sql, "schema_version", &there, fault))
        return false;
    if (!there) {
        if (!sql_has_any_table(sql, &there, fault))
            return false;
        *version = 0;
        return !there ||
               fault_set(fault, FAULT_STORAGE, "'%s' is another program's database, not a ledger: give another path",
                         sql_name(sql));
    }
    if (!sql_start(sql, &VERSION_READ, &statement, fault))
        return false;
    bool fine = sql_step(statement, &row, fault);
    const int64_t found = fine && row ? sql_whole(statement, 0) : 0;
    sql_done(statement);
    if (fine && (found < 1 || found > SCHEMA_VERSION))
        fine = fault_set(fault, FAULT_STORAGE,
                         "the ledger '%s' has form %lld, this program knows 1 to %d: use the newer program",
                         sql_name(sql), (long long)found, SCHEMA_VERSION);
    if (fine)
        *version = found;
    return fine;
}

/* Looks again inside the transaction: another kiosk may have been first. */
static bool migrate(struct sql *sql, struct fault *fault)
{
    int64_t version = 0;
    if (!sql_begin(sql, fault))
        return false;
    bool fine = read_version(sql, &version, fault);
    for (int64_t at = version; fine && at < SCHEMA_VERSION; at++)
        fine = run_step(sql, STEPS[at], fault);
    if (fine && version == 0)
        fine = insert_head(sql, fault);
    fine = fine && sql_commit(sql, fault);
    if (!fine)
        sql_rollback(sql);
    return fine;
}

bool schema_prepare(struct sql *sql, struct fault *fault)
{
    int64_t version = 0;
    if (!read_version(sql, &version, fault))
        return false;
    if (version == SCHEMA_VERSION)
        return true;
    if (!sql_is_writer(sql))
        return fault_set(fault, version == 0 ? FAULT_MISSING : FAULT_STORAGE,
                         "'%s' holds no ledger of this program's form yet: start the kiosk on it once", sql_name(sql));
    struct fault trouble = {.code = FAULT_NONE};
    if (migrate(sql, &trouble))
        return true;
    /* kiosks that start together on one empty PostgreSQL database: the losers find the winner's tables */
    if (read_version(sql, &version, NULL) && version == SCHEMA_VERSION)
        return true;
    return fault_set(fault, trouble.code, "%s", trouble.text);
}
