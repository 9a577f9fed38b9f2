#include "kiosk/devices/printer_standing.h"

#include <string.h>

#include "kiosk/devices/printer_answer.h"

/* What the attributes of one job say, before it is judged. */
struct telling {
    int state;
    bool begun, not_begun; /* neither: it does not say */
    struct printer_reasons queue_reasons;
};

static void reasons_add(struct printer_reasons *reasons, const struct printer_reasons *more)
{
    for (size_t i = 0; i < more->count && reasons->count < PRINTER_REASONS_MOST; i++)
        reasons->list[reasons->count++] = more->list[i];
}

static bool reasons_hold(const struct printer_reasons *reasons, const char *keyword)
{
    for (size_t i = 0; i < reasons->count; i++) {
        if (strcmp(reasons->list[i].keyword, keyword) == 0)
            return true;
    }
    return false;
}

/* RFC 8011 5.3.7 */
static bool state_read(int value, enum printer_job_state *state)
{
    static const enum printer_job_state states[] = {
        [IPP_JSTATE_PENDING] = PRINTER_JOB_PENDING,       [IPP_JSTATE_HELD] = PRINTER_JOB_PENDING,
        [IPP_JSTATE_PROCESSING] = PRINTER_JOB_PROCESSING, [IPP_JSTATE_STOPPED] = PRINTER_JOB_PROCESSING,
        [IPP_JSTATE_CANCELED] = PRINTER_JOB_CANCELED,     [IPP_JSTATE_ABORTED] = PRINTER_JOB_ABORTED,
        [IPP_JSTATE_COMPLETED] = PRINTER_JOB_COMPLETED,
    };
    if (value < IPP_JSTATE_PENDING || value > IPP_JSTATE_COMPLETED)
        return false;
    *state = states[value];
    return true;
}

/* Completed, and yet: the queue's printer forgot the job (it was switched off with the label in it), or it says that
 * something went wrong. What was said `before` (NULL: not known) is not counted. */
static bool is_doubted(const struct printer_reasons *reasons, const struct printer_reasons *before)
{
    static const char *const doubts[] = {"cups-ipp-missing-job-history", "job-completed-with-errors",
                                         "job-printed-with-errors", "errors-detected", "submission-interrupted"};
    for (size_t i = 0; i < sizeof doubts / sizeof *doubts; i++) {
        if (reasons_hold(reasons, doubts[i]) && !(before && reasons_hold(before, doubts[i])))
            return true;
    }
    return false;
}

/* Ended by the printer for what the document is: not one dot of it was printed. */
static bool is_refused(const struct printer_reasons *reasons)
{
    static const char *const refusals[] = {"unsupported-document-format", "document-format-error",
                                           "unsupported-compression", "compression-error",
                                           "unsupported-attributes-or-values"};
    for (size_t i = 0; i < sizeof refusals / sizeof *refusals; i++) {
        if (reasons_hold(reasons, refusals[i]))
            return true;
    }
    return false;
}

static enum printer_certainty judge_completed(const struct printer_standing *standing,
                                              const struct printer_reasons *before)
{
    if (is_doubted(&standing->reasons, before))
        return PRINTER_MAY_HAVE;
    return standing->impressions > 1 ? PRINTER_CAME_OUT_TWICE : PRINTER_CAME_OUT;
}

enum printer_certainty printer_standing_since(const struct printer_standing *standing,
                                              const struct printer_reasons *before)
{
    return standing->state == PRINTER_JOB_COMPLETED ? judge_completed(standing, before) : standing->certainty;
}

bool printer_standing_has_name(const struct printer_standing *standing, const char *name)
{
    char sent[PRINTER_NAME_SIZE];
    printer_answer_text(name, sent, sizeof sent);
    return strcmp(standing->name, sent) == 0;
}

static enum printer_certainty judge(const struct printer_standing *standing, const struct telling *telling)
{
    switch (standing->state) {
    case PRINTER_JOB_PENDING:
    case PRINTER_JOB_PROCESSING:
        return PRINTER_UNDER_WAY;
    case PRINTER_JOB_COMPLETED:
        return judge_completed(standing, NULL);
    case PRINTER_JOB_CANCELED:
    case PRINTER_JOB_ABORTED:
        return telling->not_begun || is_refused(&standing->reasons) ? PRINTER_DID_NOT : PRINTER_MAY_HAVE;
    case PRINTER_JOB_GONE:
        break;
    }
    return PRINTER_MAY_HAVE;
}

static void take(ipp_attribute_t *attribute, struct printer_standing *standing, struct telling *telling)
{
    const char *const name = ippGetName(attribute);
    const ipp_tag_t type = ippGetValueTag(attribute);
    const bool is_number = type == IPP_TAG_INTEGER;
    if (strcmp(name, "job-id") == 0 && is_number)
        standing->job_id = ippGetInteger(attribute, 0);
    else if (strcmp(name, "job-name") == 0)
        printer_answer_text(ippGetString(attribute, 0, NULL), standing->name, sizeof standing->name);
    else if (strcmp(name, "job-originating-user-name") == 0 && ippGetString(attribute, 0, NULL))
        standing->ours = strcmp(ippGetString(attribute, 0, NULL), PRINTER_USER) == 0;
    else if (strcmp(name, "job-state") == 0 && type == IPP_TAG_ENUM)
        telling->state = ippGetInteger(attribute, 0);
    else if (strcmp(name, "job-state-reasons") == 0)
        printer_answer_reasons(attribute, &standing->reasons);
    else if (strcmp(name, "job-printer-state-reasons") == 0)
        printer_answer_reasons(attribute, &telling->queue_reasons);
    else if (strcmp(name, "job-impressions-completed") == 0 && is_number)
        standing->impressions = ippGetInteger(attribute, 0);
    else if (strcmp(name, "time-at-processing") == 0) {
        telling->begun = is_number;
        telling->not_begun = type == IPP_TAG_NOVALUE;
    }
}

/* False: no job in it that counts. */
static bool finish(struct printer_standing *standing, const struct telling *telling)
{
    if (standing->job_id <= 0 || !state_read(telling->state, &standing->state))
        return false;
    const bool is_queue_stop = telling->state == IPP_JSTATE_STOPPED && telling->queue_reasons.count > 0;
    standing->starts_over = telling->begun && (standing->state == PRINTER_JOB_PENDING || is_queue_stop);
    reasons_add(&standing->reasons, &telling->queue_reasons);
    standing->certainty = judge(standing, telling);
    return true;
}

void printer_standing_read(ipp_t *answer, struct printer_standing list[], size_t most, size_t *count)
{
    struct telling telling = {0};
    bool inside = false;
    *count = 0;
    /* Attributes of one job follow each other; a nameless one, or the end, parts it from the next. */
    ipp_attribute_t *attribute = ippFirstAttribute(answer);
    while (*count < most) {
        const bool of_job = attribute && ippGetGroupTag(attribute) == IPP_TAG_JOB && ippGetName(attribute);
        if (of_job && !inside) {
            telling = (struct telling){0};
            list[*count] = (struct printer_standing){0};
        }
        if (of_job)
            take(attribute, &list[*count], &telling);
        else if (inside && finish(&list[*count], &telling))
            (*count)++;
        inside = of_job;
        if (!attribute)
            break;
        attribute = ippNextAttribute(answer);
    }
}
