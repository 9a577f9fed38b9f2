#ifndef KIOSK_DEVICES_PRINTER_ANSWER_H
#define KIOSK_DEVICES_PRINTER_ANSWER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cups/cups.h>

#include "kiosk/devices/printer_reason.h"
#include "labels/basics/fault.h"

/* A printer's answer, from bytes to attributes and their texts (RFC 8010, 8011). A printer's word is a stranger's: the
 * bytes are measured before libcups reads them (printer_message.h), lists and texts are bounded, texts are made valid
 * UTF-8 without control or direction characters. What an answer says is read in printer_facts.h (the printer) and
 * printer_standing.h (its jobs). Pure but for the memory inside libcups. */

enum {
    PRINTER_ANSWER_MOST = 256 * 1024, /* bytes of one answer; the demo printer's has 5 KB */
    PRINTER_TEXT_SIZE = 128
};

/* Reads one IPP message. NULL: not one, or cut short, or without end; `fault` is filled. Caller ends it: ippDelete. */
ipp_t *printer_answer_read(const uint8_t *bytes, size_t length, struct fault *fault);

/* job-id in an answer to Print-Job; 0 when there is none that counts. */
int printer_answer_job_id(ipp_t *answer);

/* The keywords of an attribute; none when it is NULL. */
void printer_answer_reasons(ipp_attribute_t *attribute, struct printer_reasons *reasons);

/* Copies hostile text: bytes that are not UTF-8, control characters and marks that turn the writing direction become
 * '?'; cut at a character's end. NULL gives "". `size` 1 or more. */
void printer_answer_text(const char *text, char *buffer, size_t size);

#endif
