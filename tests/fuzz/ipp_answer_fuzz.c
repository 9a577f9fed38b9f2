#include "kiosk/devices/printer_facts.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/devices/printer_standing.h"
#include "labels/basics/text.h"

/* The bytes of a printer's answer, read as printer facts, as a job and as a list of jobs. Whatever comes, texts are
 * clean, lists are bounded, and numbers lie in what the headers say. */

static void check_text(const char *text, size_t size)
{
    if (!memchr(text, '\0', size) || !text_is_utf8(span_of(text)))
        abort();
    for (; *text; text++) {
        if ((unsigned char)*text < 0x20 || *text == 0x7F)
            abort();
    }
}

static void check_reasons(const struct printer_reasons *reasons)
{
    if (reasons->count > PRINTER_REASONS_MOST)
        abort();
    for (size_t i = 0; i < reasons->count; i++) {
        char words[200];
        check_text(reasons->list[i].keyword, PRINTER_REASON_SIZE);
        printer_reason_say(reasons->list[i].keyword, words, sizeof words);
    }
}

static void check_media(const struct printer_media *media)
{
    struct fault fault = {.code = FAULT_NONE};
    check_text(media->name, sizeof media->name);
    check_text(media->type, sizeof media->type);
    if (!printer_media_check(media, &fault) && fault.text[0] == '\0')
        abort();
    if (media->x < 0 || media->x > PRINTER_SIDE_MOST || media->y < 0 || media->y > PRINTER_SIDE_MOST)
        abort();
}

static void check_facts(const struct printer_facts *facts)
{
    check_text(facts->model, sizeof facts->model);
    check_text(facts->message, sizeof facts->message);
    check_reasons(&facts->reasons);
    check_media(&facts->media_default);
    if (facts->media_ready_count > PRINTER_MEDIA_MOST || facts->resolution_count > PRINTER_RESOLUTIONS_MOST)
        abort();
    for (size_t i = 0; i < facts->media_ready_count; i++)
        check_media(&facts->media_ready[i]);
    for (size_t i = 0; i < facts->resolution_count; i++) {
        if (facts->resolutions_dpi[i] < PRINTER_DPI_LEAST || facts->resolutions_dpi[i] > PRINTER_DPI_MOST)
            abort();
    }
}

static void check_offers(const struct printer_facts *facts)
{
    if (facts->speed_count > PRINTER_SPEEDS_MOST || facts->size_count > PRINTER_SIZES_MOST ||
        facts->type_count > PRINTER_TYPES_MOST || facts->trackings[PRINTER_TRACKING_UNSAID])
        abort();
    for (size_t i = 0; i < facts->speed_count; i++) {
        if (facts->speeds[i].least < 1 || facts->speeds[i].least > facts->speeds[i].most)
            abort();
    }
    for (size_t i = 0; i < facts->size_count; i++) {
        if (facts->sizes[i].x.least < PRINTER_SIDE_LEAST || facts->sizes[i].y.most > PRINTER_SIDE_MOST)
            abort();
    }
    for (size_t i = 0; i < facts->type_count; i++)
        check_text(facts->types[i], sizeof facts->types[i]);
    check_text(facts->behind, sizeof facts->behind);
    if (facts->up_seconds < -1)
        abort();
    if (facts->darkness.least < PRINTER_DARKNESS_LEAST || facts->darkness.most > PRINTER_DARKNESS_MOST ||
        facts->darkness_set < -1 || facts->darkness_set > PRINTER_DARKNESS_MOST)
        abort();
    struct printer_media media = {.x = 0};
    struct fault fault = {.code = FAULT_NONE};
    if (printer_facts_media(facts, 5000, 2500, &media, &fault))
        check_media(&media);
    else if (fault.text[0] == '\0')
        abort();
}

static void check_jobs(ipp_t *answer)
{
    enum { SOME = 5 };
    static struct printer_standing list[SOME];
    size_t count = 0;
    printer_standing_read(answer, list, SOME, &count);
    if (count > SOME)
        abort();
    for (size_t i = 0; i < count; i++) {
        check_text(list[i].name, sizeof list[i].name);
        check_reasons(&list[i].reasons);
        if (list[i].job_id <= 0 || list[i].state == PRINTER_JOB_GONE)
            abort();
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct printer_facts facts;
    struct fault fault = {.code = FAULT_NONE};
    ipp_t *const answer = printer_answer_read(data, size, &fault);
    if (!answer)
        return 0;
    if (printer_facts_read(answer, &facts, &fault)) {
        check_facts(&facts);
        check_offers(&facts);
    }
    check_jobs(answer);
    if (printer_answer_job_id(answer) < 0)
        abort();
    ippDelete(answer);
    return 0;
}
