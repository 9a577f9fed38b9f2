#ifndef KIOSK_PROGRAM_CONFIG_H
#define KIOSK_PROGRAM_CONFIG_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/fault.h"

/* The kiosk's configuration: an INI file. Every key has a default, unknown keys and cut lines are refused with their
 * line number. docs/configuration.md shows them all. */

enum { CONFIG_TEXT_SIZE = 160, CONFIG_SCANNERS = 8 };

enum config_scanner_type { CONFIG_SCANNER_SERIAL, CONFIG_SCANNER_KEYBOARD };

struct config_scanner { /* [scanner NAME] */
    char name[17];
    enum config_scanner_type type;
    char path[CONFIG_TEXT_SIZE];
    int speed;
    int gap_ms;
    char gs_key[8];
    char counter[17];
};

struct config {
    char kiosk[17];                    /* [kiosk] name */
    int idle_seconds;                  /* [kiosk] idle-seconds: how long a badge counts */
    bool ask_need;                     /* [kiosk] ask-need: yes, no */
    char clock_file[CONFIG_TEXT_SIZE]; /* [kiosk] clock-file: for tests */
    char ledger[CONFIG_TEXT_SIZE];     /* [ledger] address */
    char web_address[64];              /* [web] address, port */
    uint16_t web_port;
    char printer[CONFIG_TEXT_SIZE];       /* [labels] printer: URI, "" = none */
    char templates[CONFIG_TEXT_SIZE];     /* [labels] templates: folder */
    char own_templates[CONFIG_TEXT_SIZE]; /* [labels] own-templates: the shop's own folder, "" = none */
    int darkness;                         /* [labels] darkness: -100 to 100, 0 = as the printer is set */
    int speed_mm;                         /* [labels] speed: mm a second, 0 = as the printer is set */
    char tracking[16];                    /* [labels] tracking: gap, mark, web, continuous, "" = as it is set */
    int print_ask_seconds;      /* [labels] ask-seconds: without news of a label for so long, a person is asked */
    char eye[CONFIG_TEXT_SIZE]; /* [pictures] worker: program, default this one */
    char backup_folder[CONFIG_TEXT_SIZE]; /* [backup] folder: "" = none are made */
    int backup_hours;                     /* [backup] every-hours */
    int backup_keep;                      /* [backup] keep: how many stay */
    struct config_scanner scanners[CONFIG_SCANNERS];
    int scanner_count;
};

void config_init(struct config *config);
bool config_read(const char *path, struct config *config, struct fault *fault);

#endif
