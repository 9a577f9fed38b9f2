#include "kiosk/ledger/schema_parts.h"

/* From each form of the tables to the next: for ledgers that an earlier program left. Steps that have landed are not
 * changed any more; what a new ledger has is in schema_tables.c. */

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

const char *const SCHEMA_STEPS[] = {VERSION_2, VERSION_3, VERSION_4, VERSION_5, VERSION_6, VERSION_7};
_Static_assert(sizeof SCHEMA_STEPS / sizeof *SCHEMA_STEPS == SCHEMA_VERSION - 1, "one step a version");
