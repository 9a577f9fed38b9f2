#include "kiosk/devices/printer_answer.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/basics/text.h"

/* The bytes of a printer's answer, read as printer facts and as a job's state. Whatever comes, texts are clean and
 * lists are bounded. */

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
    check_text(media->name, sizeof media->name);
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

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct printer_facts facts;
    struct printer_reasons reasons;
    enum printer_job_state state = PRINTER_JOB_GONE;
    struct fault fault = {.code = FAULT_NONE};
    ipp_t *const answer = printer_answer_read(data, size, &fault);
    if (!answer)
        return 0;
    if (printer_answer_facts(answer, &facts, &fault))
        check_facts(&facts);
    if (printer_answer_job(answer, &state, &reasons, &fault))
        check_reasons(&reasons);
    if (printer_answer_job_id(answer) < 0)
        abort();
    ippDelete(answer);
    return 0;
}
