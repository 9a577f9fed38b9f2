#ifndef TESTS_DEVICES_TEST_PRINTER_H
#define TESTS_DEVICES_TEST_PRINTER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

#include "kiosk/devices/printer.h"

/* kiosk/demo-printer in a temporary folder, and labels to print on it. */

enum { TEST_LABEL_X = 5000, TEST_LABEL_Y = 2500, TEST_LABEL_DPI = 203 }; /* the demo printer's roll */

struct test_printer {
    char folder[64];
    char uri[64];
    int port;
    pid_t script, printer;
};

/* Ready to take jobs when it returns; false (with the reason printed) when the printer does not start. */
bool test_printer_start(struct test_printer *printer);
/* True when script and printer are gone afterwards. */
bool test_printer_stop(struct test_printer *printer);

/* Off and on again: the same address, job numbers from 1. What was in its memory is lost. */
bool test_printer_switch_off(struct test_printer *printer);
bool test_printer_switch_on(struct test_printer *printer);

/* Makes or removes FOLDER/NAME. */
void test_printer_say(const struct test_printer *printer, const char *name, const char *text);
void test_printer_unsay(const struct test_printer *printer, const char *name);

/* A label's raster as libcups writes it: `seed` varies the dots. Caller frees; NULL on failure. */
uint8_t *test_label_create(int width, int height, int dpi, unsigned seed, size_t *length);

/* The document of a job as the printer got it, "" when there is none; caller frees. */
uint8_t *test_printer_document(const struct test_printer *printer, int job_id, size_t *length);

/* Sends a label of that seed under a name; the outcome and, when it was sent, the job's number. `facts` NULL: the
 * printer is asked for them first. */
enum printer_sent test_label_send(const struct printer *printer, const struct printer_facts *facts, const char *name,
                                  unsigned seed, int *job_id, struct fault *fault);

/* What the printer was asked with a job under an IPP name ("PRINT_DARKNESS"), "" when it was not. */
void test_printer_asked(const struct test_printer *printer, int job_id, const char *name, char *value, size_t size);

/* How many documents it got since it was made, one of the same job number and name counted once. */
int test_printer_count(const struct test_printer *printer);

/* Follows a job until it is no longer under way, 15 s at most. */
bool test_printer_settle(const struct printer *printer, int job_id, const char *name,
                         struct printer_standing *standing);

/* Polls until the job is in that state, 10 s at most. */
bool test_printer_await(const struct printer *printer, int job_id, enum printer_job_state wanted);

#endif
