#ifndef KIOSK_DEVICES_PRINTER_REASON_H
#define KIOSK_DEVICES_PRINTER_REASON_H

#include <stdbool.h>
#include <stddef.h>

/* What a printer gives as the reason of its state, in words for the person beside it.
 * Keywords: IANA IPP registrations, "printer-state-reasons" and "job-state-reasons" (RFC 8011 5.4.12 and 5.3.8,
 * PWG 5100.9, 5100.13); those that begin with "cups-" are said by CUPS queues. The words are ours.
 * Reasons are hints: many printers report few of them, and some report wrong ones. */

enum {
    PRINTER_REASON_SIZE = 64, /* keyword, bytes with the NUL; registered ones are under 50 */
    PRINTER_REASONS_MOST = 16
};

enum printer_severity { PRINTER_REPORT, PRINTER_WARNING, PRINTER_ERROR };

struct printer_reason {
    char keyword[PRINTER_REASON_SIZE]; /* suffix stripped, control characters replaced; may be unknown to us */
    enum printer_severity severity;    /* by the suffix; none counts as error (RFC 8011 5.4.12) */
};

struct printer_reasons {
    size_t count; /* "none" is not listed: 0 is good news, or no news */
    struct printer_reason list[PRINTER_REASONS_MOST];
};

struct printer_reason_words {
    const char *keyword;
    const char *trouble; /* "the printer is out of labels" */
    const char *act;     /* "put in a roll, then it goes on by itself" */
};

/* NULL when the keyword is not in the table. Static, nothing to free. */
const struct printer_reason_words *printer_reason_find(const char *keyword);

/* The table, row by row; NULL behind its end. */
const struct printer_reason_words *printer_reason_row(size_t index);

/* "the printer is out of labels: put in a roll, then it goes on by itself"; for a keyword that is not in the table
 * "the printer says 'xyz': look at its display". Cut to `size` at a character's end. Returns `buffer`. */
const char *printer_reason_say(const char *keyword, char *buffer, size_t size);

/* Splits "media-empty-warning" into keyword and severity; a keyword of the table that ends like that stays whole. What
 * CUPS notes of how a printer once kept to IPP ("cups-ipp-…") is a report: it stays for years, and is no trouble now.
 * False and `reason` untouched for "none" and "". The text is hostile: bounded, and everything outside a-z, 0-9, '-',
 * '.',
 * '_' replaced by '?'; capitals made small. */
bool printer_reason_read(const char *text, struct printer_reason *reason);

#endif
