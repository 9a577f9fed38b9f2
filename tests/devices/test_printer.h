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

/* Makes or removes FOLDER/NAME. */
void test_printer_say(const struct test_printer *printer, const char *name, const char *text);
void test_printer_unsay(const struct test_printer *printer, const char *name);

/* A label's raster as libcups writes it: `seed` varies the dots. Caller frees; NULL on failure. */
uint8_t *test_label_create(int width, int height, int dpi, unsigned seed, size_t *length);

/* The document of a job as the printer got it, "" when there is none; caller frees. */
uint8_t *test_printer_document(const struct test_printer *printer, int job_id, size_t *length);

/* Polls until the job is in that state, 10 s at most. */
bool test_printer_await(const struct printer *printer, int job_id, enum printer_job_state wanted);

#endif
