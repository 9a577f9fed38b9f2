#ifndef TESTS_DEVICES_EYE_HELP_H
#define TESTS_DEVICES_EYE_HELP_H

#include <stddef.h>
#include <stdint.h>

#include "kiosk/devices/eye/eye.h"
#include "labels/basics/fault.h"

/* What the tests of the eye share. Each is its own worker program: run as `PROGRAM eye` it becomes one, so that nothing
 * stands in for the process, the socket or the cage. A step that fails, fails the running test. */

extern const char eye_help_own_program[];

enum {
    EYE_HELP_MODULES = 10,
    EYE_HELP_QUIET = 4,
    EYE_HELP_MODULE_PIXELS = 8,
    EYE_HELP_SIDE = (EYE_HELP_MODULES + 2 * EYE_HELP_QUIET) * EYE_HELP_MODULE_PIXELS,
};

/* The symbol "123456" of ISO/IEC 16022 figure O.2, alone in a square picture. */
void eye_help_draw(uint8_t pixels[EYE_HELP_SIDE * EYE_HELP_SIDE]);

struct eye_help_file {
    uint8_t bytes[EYE_HELP_SIDE * EYE_HELP_SIDE + 4096];
    size_t length;
};
void eye_help_draw_pgm(struct eye_help_file *file);
void eye_help_draw_png(struct eye_help_file *file);
void eye_help_draw_jpeg(struct eye_help_file *file);

struct eye *eye_help_open(const char *program);

/* The fault of a picture that must not be readable; checks that it has a sentence and that no answer was set. */
enum fault_code eye_help_read_fault(struct eye *eye, const void *bytes, size_t length, struct fault *fault);

void eye_help_pause(long ms);
int64_t eye_help_now(void);           /* milliseconds, monotonic */
int eye_help_count_descriptors(void); /* open in this process */

#endif
