#include "kiosk/ledger/schema_parts.h"

/* The tables as they are today, made at once for a new ledger; schema_forms.c brings an earlier one to the same.
 * Whoever changes them writes both, and the test of migration says where they differ.
 *
 * Present-state texts are '' when there is nothing to say, so that they can be compared and grouped; numbers are NULL
 * when not known. In movements both are NULL, as the hash marks them. Flags are 0 and 1; days and instants whole
 * numbers (days, milliseconds, since 1970-01-01). Indexes hold only the rows that somebody asks for, so that an act
 * touches few pages; {rowless} rows stand in the order of their keys themselves, not beside an index of keys. */

/* The form of these tables, the newest movement and its hash, and the next number of each letter: */
#define HEAD                                                                                                           \
    "CREATE TABLE schema_version (one {int} NOT NULL PRIMARY KEY CHECK (one = 1), version {int} NOT NULL);"            \
    "CREATE TABLE ledger_head (one {int} NOT NULL PRIMARY KEY CHECK (one = 1), seq {int} NOT NULL,"                    \
    " hash {blob} NOT NULL, demo {int} NOT NULL);"                                                                     \
    "CREATE TABLE serial_next (letter {text} NOT NULL PRIMARY KEY, next_number {int} NOT NULL);"

/* What happened; names and notes can be erased, so they stand beside it: */
#define MOVEMENTS                                                                                                      \
    "CREATE TABLE movement (seq {int} NOT NULL PRIMARY KEY, act {text}, kind {text} NOT NULL,"                         \
    " at_ms {int} NOT NULL, local_day {int} NOT NULL, trusted {int} NOT NULL, kiosk {text}, person {text},"            \
    " unit {text}, other {text}, item {text}, lot {text}, place {text}, printer {text}, delivery {text},"              \
    " job {text}, word {text}, amount_ul {int}, minutes {int}, pieces {int}, filled {int}, expires {int},"             \
    " refers {int}, text_id {text}, detail {text}, form {int} NOT NULL, hash {blob} NOT NULL);"                        \
    "CREATE INDEX movement_by_unit ON movement (unit, seq) WHERE unit IS NOT NULL;"                                    \
    "CREATE INDEX movement_by_other ON movement (other, seq) WHERE other IS NOT NULL;"                                 \
    "CREATE INDEX movement_by_lot ON movement (item, lot, seq) WHERE lot IS NOT NULL;"                                 \
    "CREATE TABLE erasable_text (id {text} NOT NULL PRIMARY KEY, salt {blob}, value {text});"

/* What the room has and who works in it. What an item's label says of its hazard is copied from its SDS: */
#define CATALOGUE                                                                                                      \
    "CREATE TABLE item (code {text} NOT NULL PRIMARY KEY, letter {text} NOT NULL, name {text} NOT NULL,"               \
    " resin {text} NOT NULL, revision {text} NOT NULL, gtin {text} NOT NULL, maker_code {text} NOT NULL,"              \
    " fits {text} NOT NULL, content_ul {int}, minimum_days {int}, life_minutes {int},"                                 \
    " provisional {int} NOT NULL, version {int} NOT NULL, sds_product {text} NOT NULL DEFAULT '',"                     \
    " sds_signal_word {text} NOT NULL DEFAULT '', sds_pictograms {text} NOT NULL DEFAULT '',"                          \
    " sds_statements {text} NOT NULL DEFAULT '', sds_precautions {text} NOT NULL DEFAULT '',"                          \
    " sds_revised {text} NOT NULL DEFAULT '', sds_place {text} NOT NULL DEFAULT '',"                                   \
    " sds_label {text} NOT NULL DEFAULT '', sds_supplier {text} NOT NULL DEFAULT '',"                                  \
    " sds_address {text} NOT NULL DEFAULT '', sds_phone {text} NOT NULL DEFAULT '',"                                   \
    " sds_quantity {text} NOT NULL DEFAULT '', sds_ufi {text} NOT NULL DEFAULT '',"                                    \
    " sds_language {text} NOT NULL DEFAULT '', density_mg_ml {int}, stir_days {int}, inspect_minutes {int},"           \
    " surface_minutes {int});"                                                                                         \
    "CREATE INDEX item_by_gtin ON item (gtin, code);"                                                                  \
    "CREATE INDEX item_by_maker_code ON item (maker_code, code);"                                                      \
    "CREATE TABLE lot (item {text} NOT NULL, lot {text} NOT NULL, expires {int}, version {int} NOT NULL,"              \
    " PRIMARY KEY (item, lot));"                                                                                       \
    "CREATE TABLE place (code {text} NOT NULL PRIMARY KEY, kind {text} NOT NULL, printer {text} NOT NULL,"             \
    " name {text} NOT NULL, version {int} NOT NULL);"                                                                  \
    "CREATE TABLE machine (code {text} NOT NULL PRIMARY KEY, name {text} NOT NULL, slots {int},"                       \
    " version {int} NOT NULL);"                                                                                        \
    "CREATE TABLE person (serial {text} NOT NULL PRIMARY KEY, role {text} NOT NULL, text_id {text} NOT NULL,"          \
    " version {int} NOT NULL, training {text} NOT NULL DEFAULT '');"                                                   \
    "CREATE TABLE sticker (id {text} NOT NULL PRIMARY KEY, supplier {text} NOT NULL, pattern {text} NOT NULL,"         \
    " example {text} NOT NULL, forgotten {int} NOT NULL, version {int} NOT NULL);"                                     \
    "CREATE TABLE substitution (resin {text} NOT NULL, wanted {text} NOT NULL, given {text} NOT NULL,"                 \
    " approver {text} NOT NULL, until_day {int} NOT NULL, ended {int} NOT NULL, version {int} NOT NULL,"               \
    " PRIMARY KEY (resin, wanted, given)){rowless};"

/* Each thing with a label, and what is in it, lot by lot; the sums of stock are kept by whoever saves a unit: */
#define UNITS                                                                                                          \
    "CREATE TABLE unit (serial {text} NOT NULL PRIMARY KEY, item {text} NOT NULL, resin {text} NOT NULL,"              \
    " lot {text} NOT NULL, status {text} NOT NULL, place {text} NOT NULL, holder {text} NOT NULL,"                     \
    " printer {text} NOT NULL, job {text} NOT NULL, delivery {text} NOT NULL, hold {text} NOT NULL,"                   \
    " film {text} NOT NULL, filled {int}, expires {int}, amount_ul {int}, minutes {int},"                              \
    " labelled {int} NOT NULL, prints {int} NOT NULL, out_since_ms {int}, version {int} NOT NULL,"                     \
    " estimated {int} NOT NULL DEFAULT 0, recovered {int} NOT NULL DEFAULT 0, first_filled {int},"                     \
    " opened {int}, tare_dg {int}, heir {text} NOT NULL DEFAULT '', reserved {text} NOT NULL DEFAULT '',"              \
    " reserved_until {int}, due {int}, pair {text} NOT NULL DEFAULT '', stood_ms {int},"                               \
    " inspected_minutes {int}, surface_minutes {int});"                                                                \
    "CREATE INDEX unit_by_item_lot ON unit (item, lot, serial);"                                                       \
    "CREATE INDEX unit_by_place ON unit (place, serial, status) WHERE place <> '';"                                    \
    "CREATE INDEX unit_by_printer ON unit (printer, serial) WHERE printer <> '';"                                      \
    "CREATE INDEX unit_by_holder ON unit (holder, serial) WHERE holder <> '';"                                         \
    "CREATE INDEX unit_by_delivery ON unit (delivery, serial) WHERE delivery <> '';"                                   \
    "CREATE INDEX unit_by_due ON unit (due, serial) WHERE due IS NOT NULL;"                                            \
    "CREATE INDEX unit_by_reserved ON unit (reserved, serial) WHERE reserved <> '';"                                   \
    "CREATE TABLE mix (unit {text} NOT NULL PRIMARY KEY, lots {text} NOT NULL,"                                        \
    " version {int} NOT NULL){rowless};"                                                                               \
    "CREATE TABLE stock (item {text} NOT NULL, expires {int} NOT NULL, lot {text} NOT NULL,"                           \
    " status {text} NOT NULL, held {int} NOT NULL, labelled {int} NOT NULL, units {int} NOT NULL,"                     \
    " amount_ul {int} NOT NULL, amount_unknown {int} NOT NULL, PRIMARY KEY (item, expires, lot, status, held,"         \
    " labelled)){rowless};"

/* What is under way: deliveries, jobs, labels and questions: */
#define DESK                                                                                                           \
    "CREATE TABLE delivery (id {text} NOT NULL PRIMARY KEY, supplier {text} NOT NULL, is_open {int} NOT NULL,"         \
    " opened_ms {int} NOT NULL, version {int} NOT NULL);"                                                              \
    "CREATE INDEX delivery_open ON delivery (opened_ms, id) WHERE is_open = 1;"                                        \
    "CREATE TABLE job (id {text} NOT NULL PRIMARY KEY, machine {text} NOT NULL, person {text} NOT NULL,"               \
    " started_ms {int}, ended_ms {int}, need_ul {int}, end_day {int}, minutes {int}, version {int} NOT NULL,"          \
    " code {text} NOT NULL DEFAULT '', end_ms {int}, ticket {int}, outcome {text} NOT NULL DEFAULT '',"                \
    " used_ul {int}){rowless};"                                                                                        \
    "CREATE INDEX job_running ON job (machine, started_ms) WHERE ended_ms IS NULL;"                                    \
    "CREATE INDEX job_by_code ON job (code) WHERE ended_ms IS NULL AND code <> '';"                                    \
    "CREATE INDEX job_ended ON job (machine, ended_ms) WHERE ended_ms IS NOT NULL;"                                    \
    "CREATE INDEX job_of_code ON job (code, version) WHERE code <> '';"                                                \
    "CREATE TABLE print (unit {text} NOT NULL, place {text} NOT NULL, number {int} NOT NULL,"                          \
    " state {text} NOT NULL, label_template {text} NOT NULL, device {text} NOT NULL, device_job {int},"                \
    " ordered_seq {int} NOT NULL, ordered_ms {int} NOT NULL, batch {text} NOT NULL, rank {int} NOT NULL,"              \
    " version {int} NOT NULL, PRIMARY KEY (unit, place, number));"                                                     \
    "CREATE INDEX print_by_state ON print (state, rank);"                                                              \
    "CREATE TABLE question (seq {int} NOT NULL PRIMARY KEY, code {text} NOT NULL, unit {text} NOT NULL,"               \
    " person {text} NOT NULL, text_id {text} NOT NULL, is_open {int} NOT NULL, opened_ms {int} NOT NULL,"              \
    " version {int} NOT NULL);"                                                                                        \
    "CREATE INDEX question_open ON question (seq) WHERE is_open = 1;"

/* Label printers as they were calibrated, and how well their labels came out: */
#define PRINTERS                                                                                                       \
    "CREATE TABLE label_printer (device {text} NOT NULL PRIMARY KEY, dpi {int}, shift_right {int},"                    \
    " shift_down {int}, module_dots {int}, stretch_mm {int}, stretch_um {int}, calibrated_ms {int},"                   \
    " baseline_seq {int} NOT NULL, version {int} NOT NULL, size_across {int}, size_down {int});"                       \
    "CREATE TABLE print_look (seq {int} NOT NULL PRIMARY KEY, device {text} NOT NULL, unit {text} NOT NULL,"           \
    " number {int} NOT NULL, at_ms {int} NOT NULL, source {text} NOT NULL, pixels {int}, modulation {int},"            \
    " margin {int}, axial {int}, grid {int}, unused {int}, fixed {int}, growth_x {int}, growth_y {int},"               \
    " contrast {int}, from_um {int}, to_um {int}, marks {text} NOT NULL, edition {text} NOT NULL,"                     \
    " version {int} NOT NULL);"                                                                                        \
    "CREATE INDEX print_look_by_device ON print_look (device, seq);"

/* Acts; their answers, which are forgotten after a while, stand apart in the order in which they were given: */
#define ACTS                                                                                                           \
    "CREATE TABLE act (number {int} NOT NULL PRIMARY KEY, id {text} NOT NULL, kind {text} NOT NULL,"                   \
    " counter {text} NOT NULL, person {text} NOT NULL, digest {blob} NOT NULL, at_ms {int} NOT NULL,"                  \
    " first_seq {int}, last_seq {int}, undone {int} NOT NULL);"                                                        \
    "CREATE UNIQUE INDEX act_by_id ON act (id);"                                                                       \
    "CREATE INDEX act_to_undo ON act (counter, last_seq)"                                                              \
    " WHERE undone = 0 AND kind <> 'undo' AND last_seq IS NOT NULL AND counter <> '';"                                 \
    "CREATE TABLE act_answer (number {int} NOT NULL PRIMARY KEY, at_ms {int} NOT NULL,"                                \
    " answer {text} NOT NULL);"

/* Beside the chain: no movement makes them, no export has them. What a counter is in the middle of; PINs, which can be
 * forgotten; which programs and printers may speak for themselves: */
#define BESIDE                                                                                                         \
    "CREATE TABLE session (counter {text} NOT NULL PRIMARY KEY, state {text} NOT NULL);"                               \
    "CREATE TABLE pin (person {text} NOT NULL PRIMARY KEY, hash {text} NOT NULL, issued_ms {int} NOT NULL,"            \
    " wrong {int} NOT NULL, tried_ms {int} NOT NULL){rowless};"                                                        \
    "CREATE TABLE device (name {text} NOT NULL PRIMARY KEY, printer {text} NOT NULL, digest {text} NOT NULL,"          \
    " issued_ms {int} NOT NULL, revoked {int} NOT NULL){rowless};"                                                     \
    "CREATE INDEX device_by_digest ON device (digest);"

const char SCHEMA_TABLES[] = HEAD MOVEMENTS CATALOGUE UNITS DESK PRINTERS ACTS BESIDE;
