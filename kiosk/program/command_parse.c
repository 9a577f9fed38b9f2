#include <stdio.h>
#include <time.h>

#include <jansson.h>

#include "kiosk/program/command.h"
#include "labels/content/scan.h"

static void set_text(json_t *row, const char *key, const char *value)
{
    if (value[0] != '\0')
        json_object_set_new(row, key, json_string(value));
}

static void set_day(json_t *row, const char *key, bool has, struct day day)
{
    char date[CALENDAR_DATE_SIZE];
    if (has)
        json_object_set_new(row, key, json_string(calendar_write_date(day, date)));
}

static void set_unit(json_t *row, const struct unit_label *unit)
{
    set_text(row, "serial", unit->serial);
    set_text(row, "item", unit->item);
    set_text(row, "lot", unit->lot);
    set_day(row, "filled", unit->has_filled, unit->filled);
    set_day(row, "expires", unit->has_expires, unit->expires);
    if (unit->content > 0) {
        json_object_set_new(row, "content", json_integer(unit->content));
        set_text(row, "content_unit", unit->content_unit);
    }
}

static void set_supplier(json_t *row, const struct supplier_label *label)
{
    set_text(row, "item", label->item);
    if (label->item[0] != '\0')
        json_object_set_new(row, "item_is_gtin", json_boolean(label->item_is_gtin));
    set_text(row, "lot", label->lot);
    set_text(row, "serial", label->serial);
    set_day(row, "expires", label->has_expires, label->expires);
    set_day(row, "made", label->has_made, label->made);
    if (label->has_expires)
        json_object_set_new(row, "day_was_00", json_boolean(label->expires_day_was_00));
    if (label->count > 0)
        json_object_set_new(row, "count", json_integer(label->count));
    if (label->content_ul > 0)
        json_object_set_new(row, "content_ml", json_real((double)label->content_ul / 1000));
}

static void set_job(json_t *row, const struct job_label *label)
{
    char date[CALENDAR_DATE_SIZE], instant[CALENDAR_INSTANT_SIZE];
    struct instant ends;
    set_text(row, "job", label->code);
    set_text(row, "printer", label->printer);
    set_text(row, "resin", label->resin);
    set_text(row, "revision", label->revision);
    if (label->need_ml > 0)
        json_object_set_new(row, "need_ml", json_integer(label->need_ml));
    if (label->has_ends)
        set_text(row, "ends",
                 ticket_time_instant(&label->ends, &ends) ? calendar_write_instant(ends, instant)
                                                          : calendar_write_date(label->ends.day, date));
}

static json_t *scan_fields(const struct scan *scan)
{
    json_t *row = json_object();
    json_object_set_new(row, "kind", json_string(scan_kind_word(scan->kind)));
    if (scan->kind == SCAN_UNIT || scan->kind == SCAN_PERSON)
        set_unit(row, &scan->unit);
    if (scan->kind == SCAN_JOB)
        set_job(row, &scan->job);
    if (scan->kind == SCAN_SUPPLIER)
        set_supplier(row, &scan->supplier);
    set_text(row, "place", scan->kind == SCAN_PLACE ? scan->place : "");
    set_text(row, "card", scan->kind == SCAN_CARD ? scan->card : "");
    set_text(row, "item", scan->kind == SCAN_ITEM ? scan->item : "");
    set_text(row, "warning", scan->warning);
    set_text(row, "lacks", scan->lacks);
    return row;
}

static struct day today(void)
{
    const time_t now = time(NULL);
    struct tm local;
    localtime_r(&now, &local);
    return calendar_day(local.tm_year + 1900, local.tm_mon + 1, local.tm_mday);
}

static int run_parse(const struct command *command, int argc, char **argv)
{
    (void)argv;
    if (argc != 1)
        return command_misused(command, "parse takes the scanned text on standard input and no arguments");
    static char bytes[SCAN_BYTES + 1];
    const size_t length = fread(bytes, 1, sizeof bytes, stdin);
    struct scan scan;
    struct fault fault = {0};
    if (!scan_read((struct span){bytes, length}, "", today(), &scan, &fault))
        return command_failed("", &fault);
    json_t *row = scan_fields(&scan);
    json_dumpf(row, stdout, JSON_COMPACT | JSON_REAL_PRECISION(15));
    putchar('\n');
    json_decref(row);
    return EXIT_DONE;
}

const struct command command_parse = {
    "parse", "< TEXT",
    "Reads one scanned text from standard input, byte for byte, and prints what it says as JSON. A leading symbology\n"
    "identifier (]d2 …) is understood. Exit 1 with a sentence when the text is not acceptable.",
    run_parse};
