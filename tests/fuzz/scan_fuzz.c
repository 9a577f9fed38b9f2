#include "labels/content/scan.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Any bytes are a scan or one sentence. What is read must be well formed, and what is ours must be written again and
 * read the same. The first byte picks the symbology identifier and the year. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void demand(int truth)
{
    if (!truth)
        abort();
}

static void check_ours(const struct scan *scan, struct day today)
{
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length;
    struct scan again;
    struct fault fault;
    if (scan->kind == SCAN_UNIT || scan->kind == SCAN_PERSON)
        demand(unit_label_write(&scan->unit, text, &length, &fault));
    else if (scan->kind == SCAN_PLACE)
        demand(place_label_write(scan->place, text, &length, &fault));
    else if (scan->kind == SCAN_CARD)
        demand(card_label_write(scan->card, text, &length, &fault));
    else if (scan->kind == SCAN_ITEM)
        demand(item_label_write(scan->item, text, &length, &fault));
    else if (scan->kind == SCAN_JOB)
        demand(job_label_write(&scan->job, text, &length, &fault));
    else
        return;
    demand(scan_read((struct span){text, length}, "]d1", today, &again, &fault));
    demand(again.kind == scan->kind && strcmp(again.unit.serial, scan->unit.serial) == 0 &&
           strcmp(again.unit.lot, scan->unit.lot) == 0 && strcmp(again.place, scan->place) == 0 &&
           strcmp(again.card, scan->card) == 0 && strcmp(again.item, scan->item) == 0 &&
           again.unit.content == scan->unit.content);
    demand(strcmp(again.job.code, scan->job.code) == 0 && strcmp(again.job.printer, scan->job.printer) == 0 &&
           strcmp(again.job.resin, scan->job.resin) == 0 && strcmp(again.job.revision, scan->job.revision) == 0 &&
           again.job.need_ml == scan->job.need_ml && again.job.has_ends == scan->job.has_ends &&
           again.job.ends.minute == scan->job.ends.minute && again.job.ends.day.number == scan->job.ends.day.number);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char *const symbologies[] = {"", "]d1", "]d2", "]E0", "]C1", "]I1", "]Q4", "]C0"};
    struct scan scan;
    struct fault fault = {FAULT_NONE, ""};
    if (size == 0)
        return 0;
    const char *const symbology = symbologies[data[0] % 8];
    const struct day today = calendar_day(CALENDAR_FIRST_YEAR + data[0] / 8 * 35, 2, 14);
    if (!scan_read((struct span){(const char *)data + 1, size - 1}, symbology, today, &scan, &fault)) {
        demand(fault.code == FAULT_INPUT && fault.text[0] && text_is_utf8(span_of(fault.text)));
        return 0;
    }
    demand(scan.kind < SCAN_KINDS && strlen(scan.warning) < sizeof scan.warning);
    demand(strlen(scan.supplier.item) < sizeof scan.supplier.item && scan.supplier.count >= 0 &&
           scan.supplier.content_ul >= 0);
    check_ours(&scan, today);
    return 0;
}
