#include "kiosk/devices/printer_reason.h"

#include <string.h>

#include "labels/basics/text.h"

/* Seen in replies of ippeveprinter and cupsd 2.4.2: media-empty, media-needed, media-jam, cover-open,
 * marker-supply-empty, paused, other, the cups- and job- ones of the first lines; the rest from memory of the
 * registrations. A keyword missing here is shown as it came. */
static const struct printer_reason_words words[] = {
    /* the printer's */
    {"media-empty", "the printer is out of labels", "put in a roll, then it goes on by itself"},
    {"media-needed", "the printer waits for labels", "put in the roll that it asks for, then it goes on by itself"},
    {"media-low", "the label roll is nearly used up", "lay a new roll ready"},
    {"media-jam", "labels are stuck in the printer", "open it, pull the strip out forwards, close it"},
    {"media-path-jam", "labels are stuck in the printer", "open it, pull the strip out forwards, close it"},
    {"input-tray-missing", "the roll holder is not in place", "put it in until it clicks"},
    {"input-media-size-change", "the printer found labels of another size", "put in the roll the label is made for"},
    {"input-cannot-feed-size-selected", "the labels in the printer have another size",
     "put in the roll the label is made for"},
    {"cover-open", "the printer's cover is open", "close it until it clicks"},
    {"door-open", "a door of the printer is open", "close it until it clicks"},
    {"interlock-open", "the printer is not closed", "close every cover until it clicks"},
    {"marker-supply-empty", "the ribbon or ink is used up", "put in a new one, then it goes on by itself"},
    {"marker-supply-low", "the ribbon or ink is nearly used up", "lay a new one ready"},
    {"marker-supply-missing", "the ribbon or ink is not in place", "put it in until it clicks"},
    {"marker-print-ribbon-empty", "the ribbon is used up", "put in a new one, then it goes on by itself"},
    {"marker-print-ribbon-almost-empty", "the ribbon is nearly used up", "lay a new one ready"},
    {"marker-waste-almost-full", "the waste container of the printer is nearly full", "lay a new one ready"},
    {"marker-waste-full", "the waste container of the printer is full", "change it"},
    {"toner-empty", "the toner is used up", "put in a new one, then it goes on by itself"},
    {"toner-low", "the toner is nearly used up", "lay a new one ready"},
    {"fuser-over-temp", "the printer is too hot", "let it cool down with the cover closed"},
    {"output-area-full", "the printer has no room for more labels", "take the printed labels away"},
    {"output-area-almost-full", "the printer has little room for more labels", "take the printed labels away"},
    {"spool-area-full", "the printer's memory is full", "wait for it to finish, then print again"},
    {"paused", "the printer is paused", "press its pause or feed key, or let the queue go on"},
    {"moving-to-paused", "the printer is about to pause", "press its pause or feed key when it has stopped"},
    {"offline", "the printer does not answer", "check that it is switched on and plugged in"},
    {"shutdown", "the printer is switched off or starting", "switch it on and wait a minute"},
    {"power-down", "the printer sleeps or is switched off", "press its power key"},
    {"timed-out", "the printer does not answer", "check its cable or network"},
    {"connecting-to-device", "the queue looks for the printer", "check that it is switched on and plugged in"},
    {"stopped-partly", "a part of the printer is stopped", "look at its display"},
    {"stopping", "the printer is stopping", "wait a moment"},
    {"identify-printer-requested", "somebody made the printer show itself", "nothing to do"},
    {"deactivated", "the printer is out of service", "ask who looks after it"},
    {"hold-new-jobs", "the printer holds new labels back", "let it go on at its display or in its queue"},
    {"other", "the printer has a trouble it does not name", "look at its display"},
    /* a CUPS queue's */
    {"cups-waiting-for-job-completed", "the printer has the label and is not done", "wait a moment"},
    {"cups-ipp-missing-job-history", "the printer forgot the label, perhaps it was switched off",
     "look whether it came out, and scan it"},
    {"cups-remote-stopped", "the printer behind the queue is stopped", "look at its display"},
    /* a job's */
    {"job-incoming", "the printer is taking the label in", "wait a moment"},
    {"job-queued", "the label waits for its turn", "wait a moment"},
    {"job-printing", "the label is being printed", "wait a moment"},
    {"job-hold-until-specified", "the label is held back in the queue", "let it go on in the queue"},
    {"printer-stopped", "the printer is stopped", "look at its display, or let the queue go on"},
    {"resources-are-not-ready", "the printer lacks what the label needs", "put in the roll the label is made for"},
    {"processing-to-stop-point", "the printer is ending the label", "wait a moment"},
    {"job-canceled-by-user", "the label was canceled", "print it again if it is needed"},
    {"job-canceled-by-operator", "the label was canceled at the queue", "print it again if it is needed"},
    {"job-canceled-at-device", "the label was canceled at the printer", "print it again if it is needed"},
    {"aborted-by-system", "the printer gave the label up", "print it again; if it stays, look at its display"},
    {"document-format-error", "the printer does not understand the label", "ask who looks after the kiosk"},
    {"unsupported-document-format", "the printer does not take label pictures", "ask who looks after the kiosk"},
    {"job-completed-successfully", "the printer says the label came out", "scan it"},
    {"job-completed-with-warnings", "the printer says the label came out, with a warning", "look at it and scan it"},
    {"job-completed-with-errors", "the printer says the label came out, with an error", "look at it and scan it"},
};

const struct printer_reason_words *printer_reason_find(const char *keyword)
{
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (strcmp(words[i].keyword, keyword) == 0)
            return &words[i];
    }
    return NULL;
}

const char *printer_reason_say(const char *keyword, char *buffer, size_t size)
{
    const struct printer_reason_words *const found = printer_reason_find(keyword);
    struct builder builder;
    builder_init(&builder, buffer, size);
    if (found)
        builder_addf(&builder, "%s: %s", found->trouble, found->act);
    else
        builder_addf(&builder, "the printer says '%s': look at its display", keyword);
    return buffer;
}

static char keyword_char(char c)
{
    if (c >= 'A' && c <= 'Z')
        return (char)(c - 'A' + 'a');
    const bool allowed = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '.' || c == '_';
    return allowed ? c : '?';
}

bool printer_reason_read(const char *text, struct printer_reason *reason)
{
    static const struct {
        const char *suffix;
        enum printer_severity severity;
    } suffixes[] = {{"-report", PRINTER_REPORT}, {"-warning", PRINTER_WARNING}, {"-error", PRINTER_ERROR}};

    size_t length = strlen(text);
    enum printer_severity severity = PRINTER_ERROR;
    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++) {
        const size_t tail = strlen(suffixes[i].suffix);
        if (length > tail && strcmp(text + length - tail, suffixes[i].suffix) == 0) {
            length -= tail;
            severity = suffixes[i].severity;
            break;
        }
    }
    if (length == 0 || (length == 4 && memcmp(text, "none", 4) == 0))
        return false;
    if (length >= PRINTER_REASON_SIZE)
        length = PRINTER_REASON_SIZE - 1;
    for (size_t i = 0; i < length; i++)
        reason->keyword[i] = keyword_char(text[i]);
    reason->keyword[length] = '\0';
    reason->severity = severity;
    return true;
}
