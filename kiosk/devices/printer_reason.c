#include "kiosk/devices/printer_reason.h"

#include <string.h>

#include "labels/basics/text.h"

/* The printer's and a job's keywords are registered with IANA; a test compares the table with the list of registered
 * ones that CUPS ships. Seen in replies of ippeveprinter and cupsd 2.4.2: media-empty, media-needed, media-jam,
 * cover-open, marker-supply-empty, paused, other, the cups- and job- ones. Which parts a label printer has (head,
 * ribbon, cutter, peeler, rewinder), and what helps: common practice, no source. A keyword missing here is shown as it
 * came. */
#define FEED    "open it, pull the strip out forwards, close it"
#define ROLL    "put in the roll the label is made for"
#define COOL    "let it cool down with the cover closed; do not touch the head"
#define SERVICE "switch it off and on; if it stays, ask who looks after it"
#define NEW_ONE "put in a new one, then it goes on by itself"
static const struct printer_reason_words words[] = {
    /* the printer's */
    {"media-empty", "the printer is out of labels", "put in a roll, then it goes on by itself"},
    {"media-needed", "the printer waits for labels", "put in the roll that it asks for, then it goes on by itself"},
    {"media-low", "the label roll is nearly used up", "lay a new roll ready"},
    {"media-jam", "labels are stuck in the printer", FEED},
    {"media-path-jam", "labels are stuck in the printer", FEED},
    {"media-path-input-jam", "labels are stuck where they go into the printer", FEED},
    {"media-path-output-jam", "labels are stuck where they come out", FEED},
    {"media-path-input-empty", "the printer is out of labels", "put in a roll, then it goes on by itself"},
    {"media-path-input-feed-error", "the printer cannot draw in the labels",
     "lay the strip in again, to its end stops"},
    {"media-path-output-feed-error", "the labels do not come out", FEED},
    {"media-path-failure", "the way of the labels through the printer does not work", SERVICE},
    {"media-path-media-tray-missing", "the roll holder is not in place", "put it in until it clicks"},
    {"input-media-tray-jam", "labels are stuck at the roll", FEED},
    {"input-media-tray-feed-error", "the printer cannot draw in the labels",
     "lay the strip in again, to its end stops"},
    {"input-media-tray-failure", "the roll holder does not work", SERVICE},
    {"input-media-type-change", "the printer found labels of another kind", ROLL},
    {"input-media-color-change", "the printer found labels of another colour", ROLL},
    {"input-media-form-parts-change", "the printer found another form", ROLL},
    {"input-manual-input-request", "the printer waits for a label put in by hand", "put it in, or cancel the label"},
    {"input-pick-roller-failure", "the roller that draws in the labels does not work", SERVICE},
    {"input-pick-roller-life-over", "the roller that draws in the labels is worn out", "have it changed"},
    {"input-pick-roller-life-warn", "the roller that draws in the labels is nearly worn out", "have a new one ready"},
    {"input-pick-roller-missing", "the roller that draws in the labels is not in place", "put it in until it clicks"},
    {"output-media-tray-jam", "labels are stuck at the exit", FEED},
    {"output-media-tray-feed-error", "the labels do not come out", FEED},
    {"output-tray-missing", "the tray for printed labels is not in place", "put it in until it clicks"},
    {"material-empty", "the printer is out of what it prints on", "put in new, then it goes on by itself"},
    {"material-low", "what the printer prints on is nearly used up", "lay new ready"},
    {"material-needed", "the printer waits for what it prints on", "put in what it asks for"},
    {"media-drying", "the printer lets a label dry", "wait a moment"},
    {"input-tray-missing", "the roll holder is not in place", "put it in until it clicks"},
    {"input-media-size-change", "the printer found labels of another size", ROLL},
    {"input-cannot-feed-size-selected", "the labels in the printer have another size", ROLL},
    {"cover-open", "the printer's cover is open", "close it until it clicks"},
    {"door-open", "a door of the printer is open", "close it until it clicks"},
    {"interlock-open", "the printer is not closed", "close every cover until it clicks"},
    {"marker-supply-empty", "the ribbon or ink is used up", NEW_ONE},
    {"marker-supply-low", "the ribbon or ink is nearly used up", "lay a new one ready"},
    {"marker-supply-missing", "the ribbon or ink is not in place", "put it in until it clicks"},
    {"marker-print-ribbon-empty", "the ribbon is used up", NEW_ONE},
    {"marker-print-ribbon-almost-empty", "the ribbon is nearly used up", "lay a new one ready"},
    {"marker-print-ribbon-missing", "the ribbon is not in place", "put it in, the printed side to the labels"},
    {"marker-supply-almost-empty", "the ribbon or ink is nearly used up", "lay a new one ready"},
    {"marker-ink-empty", "the ink is used up", NEW_ONE},
    {"marker-ink-almost-empty", "the ink is nearly used up", "lay a new one ready"},
    {"marker-ink-missing", "the ink is not in place", "put it in until it clicks"},
    {"marker-toner-missing", "the toner is not in place", "put it in until it clicks"},
    {"marker-toner-cartridge-missing", "the toner is not in place", "put it in until it clicks"},
    {"marker-waste-missing", "the waste container of the printer is not in place", "put it in until it clicks"},
    {"marker-adjusting-print-quality", "the printer sets itself up", "wait a moment"},
    {"marker-cleaner-missing", "the cleaner of the printer is not in place", "put it in until it clicks"},
    {"marker-waste-almost-full", "the waste container of the printer is nearly full", "lay a new one ready"},
    {"marker-waste-full", "the waste container of the printer is full", "change it"},
    {"toner-empty", "the toner is used up", NEW_ONE},
    {"toner-low", "the toner is nearly used up", "lay a new one ready"},
    {"fuser-over-temp", "the printer is too hot", COOL},
    {"fuser-under-temp", "the printer is too cold", "wait until it is warm"},
    {"subunit-over-temperature", "a part of the printer, often its head, is too hot", COOL},
    {"subunit-under-temperature", "a part of the printer, often its head, is too cold", "wait until it is warm"},
    {"subunit-thermistor-failure", "the printer cannot tell how hot its head is", SERVICE},
    {"subunit-cooling-down", "the printer's head cools down", "wait a moment, then it goes on by itself"},
    {"subunit-warming-up", "the printer warms up", "wait a moment, then it goes on by itself"},
    {"subunit-missing", "a part of the printer is not in place", "look at its display, put it in until it clicks"},
    {"subunit-opened", "a part of the printer is open", "close it until it clicks"},
    {"subunit-motor-failure", "a motor of the printer does not work", SERVICE},
    {"subunit-life-over", "a part of the printer, often its head, is worn out", "have it changed"},
    {"subunit-life-almost-over", "a part of the printer, often its head, is nearly worn out", "have a new one ready"},
    {"subunit-offline", "a part of the printer does not answer", "look at its display"},
    {"subunit-recoverable-failure", "a part of the printer has a trouble that can be put right", "look at its display"},
    {"subunit-unrecoverable-failure", "a part of the printer is broken", SERVICE},
    {"motor-failure", "a motor of the printer does not work", SERVICE},
    {"fan-failure", "the fan of the printer does not turn", "switch it off, let it cool, ask who looks after it"},
    {"cleaner-life-over", "the cleaner of the printer is used up", "put in a new one"},
    {"cleaner-life-almost-over", "the cleaner of the printer is nearly used up", "lay a new one ready"},
    {"separation-cutter-jam", "the cutter is stuck", "switch it off before you reach in, then take the strip out"},
    {"separation-cutter-cover-open", "the cover of the cutter is open", "close it until it clicks"},
    {"separation-cutter-interlock-open", "the cutter is not closed", "close it until it clicks"},
    {"separation-cutter-missing", "the cutter is not in place", "put it in, or print without it"},
    {"separation-cutter-motor-failure", "the cutter does not move", SERVICE},
    {"separation-cutter-life-over", "the cutter is worn out", "have it changed"},
    {"separation-cutter-life-almost-over", "the cutter is nearly worn out", "have a new one ready"},
    {"separation-cutter-recoverable-failure", "the cutter has a trouble that can be put right", "look at its display"},
    {"separation-cutter-unrecoverable-failure", "the cutter is broken", SERVICE},
    {"stacker-full", "the rewinder or stacker is full", "take the printed labels away"},
    {"stacker-almost-full", "the rewinder or stacker is nearly full", "take the printed labels away"},
    {"stacker-jam", "the rewinder or stacker is stuck", FEED},
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
    {"power-up", "the printer is starting", "wait a minute"},
    {"configuration-change", "somebody changed the printer's settings", "look at the first label that comes out"},
    {"printer-manual-reset", "somebody reset the printer", "look whether the last label came out"},
    {"printer-nms-reset", "the printer was reset from afar", "look whether the last label came out"},
    {"printer-ready-to-print", "the printer is ready", "nothing to do"},
    {"interpreter-memory-decrease", "the printer has less memory than before", "switch it off and on"},
    {"unknown", "the printer does not know what is wrong", "look at its display"},
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
    {"job-data-insufficient", "the printer did not get the whole label", "look whether half of it came out"},
    {"submission-interrupted", "the printer did not get the whole label", "look whether half of it came out"},
    {"job-spooling", "the queue is taking the label in", "wait a moment"},
    {"job-outgoing", "the queue is sending the label to the printer", "wait a moment"},
    {"job-transforming", "the queue is preparing the label", "wait a moment"},
    {"job-interpreting", "the printer is preparing the label", "wait a moment"},
    {"job-suspended", "the label is put off in the queue", "let it go on in the queue"},
    {"queued-in-device", "the printer has the label in its memory", "wait a moment"},
    {"printer-stopped-partly", "a part of the printer is stopped", "look at its display"},
    {"service-off-line", "the queue does not print now", "let it go on, or ask who looks after it"},
    {"account-authorization-failed", "the queue asks who we are", "let the kiosk print there without a password"},
    {"resources-are-not-supported", "the printer lacks what the label asks for", ROLL},
    {"unsupported-attributes-or-values", "the printer cannot do what the label asks for",
     "ask who looks after the kiosk"},
    {"document-unprintable-error", "the printer cannot print the label", "ask who looks after the kiosk"},
    {"errors-detected", "the printer found an error in the label", "look at it and scan it"},
    {"warnings-detected", "the printer found something odd in the label", "look at it and scan it"},
    {"job-hold-until-specified", "the label is held back in the queue", "let it go on in the queue"},
    {"printer-stopped", "the printer is stopped", "look at its display, or let the queue go on"},
    {"resources-are-not-ready", "the printer lacks what the label needs", ROLL},
    {"processing-to-stop-point", "the printer is ending the label", "wait a moment"},
    {"job-canceled-by-user", "the label was canceled", "print it again if it is needed"},
    {"job-canceled-by-operator", "the label was canceled at the queue", "print it again if it is needed"},
    {"job-canceled-at-device", "the label was canceled at the printer", "print it again if it is needed"},
    {"aborted-by-system", "the printer gave the label up", "print it again; if it stays, look at its display"},
    {"document-format-error", "the printer does not understand the label", "ask who looks after the kiosk"},
    {"compression-error", "the printer cannot unpack the label", "ask who looks after the kiosk"},
    {"unsupported-compression", "the printer cannot unpack the label", "ask who looks after the kiosk"},
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

const struct printer_reason_words *printer_reason_row(size_t index)
{
    return index < sizeof words / sizeof *words ? &words[index] : NULL;
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
    const bool is_whole = printer_reason_find(text) != NULL; /* some keywords end like a suffix: "…-feed-error" */
    for (size_t i = 0; !is_whole && i < sizeof suffixes / sizeof *suffixes; i++) {
        const size_t tail = strlen(suffixes[i].suffix);
        if (length > tail && strcmp(text + length - tail, suffixes[i].suffix) == 0) {
            length -= tail;
            severity = suffixes[i].severity;
            break;
        }
    }
    if (length == 0 || (length == 4 && memcmp(text, "none", 4) == 0))
        return false;
    if (span_starts((struct span){text, length}, "cups-ipp-"))
        severity = PRINTER_REPORT;
    if (length >= PRINTER_REASON_SIZE)
        length = PRINTER_REASON_SIZE - 1;
    for (size_t i = 0; i < length; i++)
        reason->keyword[i] = keyword_char(text[i]);
    reason->keyword[length] = '\0';
    reason->severity = severity;
    return true;
}
