#ifndef KIOSK_PROGRAM_ENROLMENT_H
#define KIOSK_PROGRAM_ENROLMENT_H

#include <stdbool.h>

#include "kiosk/ledger/writer.h"
#include "labels/basics/fault.h"

/* The code by which a room gets its first storekeeper, or a storekeeper the first PIN: made anew at each start as long
 * as nobody has a PIN, told where only who runs the kiosk can read it, dead once used. There is no password to begin
 * with, and none that could be forgotten to be changed. */

enum { ENROLMENT_CODE_SIZE = 10, ENROLMENT_FILE_SIZE = 600, ENROLMENT_PIN_SIZE = 7 };

struct enrolment {
    char code[ENROLMENT_CODE_SIZE]; /* "XXXX-XXXX": 40 random bits; "" none counts */
    char file[ENROLMENT_FILE_SIZE]; /* LEDGER.code, mode 0600; "" where there is no ledger file (PostgreSQL) */
};

/* Looks whether anybody has a PIN; if not, or if `again`, makes a code and writes the file. A file of an earlier run is
 * removed. False: the ledger cannot be read, or the file not be written. */
bool enrolment_open(struct enrolment *enrolment, const char *ledger_address, bool again, struct fault *fault);
/* Removes the file. Also when the code was used. */
void enrolment_close(struct enrolment *enrolment);

/* A demo has no secrets: its first storekeeper has a PIN that follows from its ledger, for the page to tell; given at
 * the first start, the same at every other. `pin` stays as it was when she was issued another one since. */
bool enrolment_of_demo(struct writer *writer, const char *ledger_address, char pin[ENROLMENT_PIN_SIZE],
                       struct fault *fault);

#endif
