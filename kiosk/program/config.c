#include "kiosk/program/config.h"

#include <errno.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <ini.h>

#include "kiosk/devices/printer_media.h"
#include "labels/basics/text.h"

void config_init(struct config *config)
{
    *config = (struct config){.kiosk = "kiosk",
                              .idle_seconds = 90,
                              .ask_need = true,
                              .ledger = "ambershelf.db",
                              .web_address = "127.0.0.1",
                              .web_port = 8180,
                              .print_ask_seconds = 120,
                              .eye = "/proc/self/exe",
                              .backup_hours = 24,
                              .backup_keep = 14};
}

/* One pass of the reader: inih calls back line by line. */
struct reading {
    struct config *config;
    const char *path;
    struct fault *fault;
    bool failed;
};

static bool refuse(struct reading *reading, const char *section, const char *name, const char *why)
{
    if (!reading->failed)
        fault_set(reading->fault, FAULT_INPUT, "%s: '%.40s' of [%.40s] %s", reading->path, name, section, why);
    reading->failed = true;
    return false;
}

static bool set_text(struct reading *reading, const char *section, const char *name, const char *value, char *to,
                     size_t size)
{
    return span_copy(span_of(value), to, size) || refuse(reading, section, name, "is too long");
}

static bool set_number(struct reading *reading, const char *section, const char *name, const char *value, int least,
                       int most, int *to)
{
    int64_t number;
    if (!span_read_count(span_of(value), &number) || number < least || number > most)
        return refuse(reading, section, name, "is not a whole number in its range: see docs/configuration.md");
    *to = (int)number;
    return true;
}

static bool set_flag(struct reading *reading, const char *section, const char *name, const char *value, bool *to)
{
    if (strcmp(value, "yes") != 0 && strcmp(value, "no") != 0)
        return refuse(reading, section, name, "is neither yes nor no");
    *to = strcmp(value, "yes") == 0;
    return true;
}

static struct config_scanner *find_scanner(struct config *config, const char *name)
{
    for (int i = 0; i < config->scanner_count; i++)
        if (strcmp(config->scanners[i].name, name) == 0)
            return &config->scanners[i];
    if (config->scanner_count == CONFIG_SCANNERS)
        return NULL;
    struct config_scanner *scanner = &config->scanners[config->scanner_count];
    *scanner = (struct config_scanner){.speed = 115200, .counter = "desk"};
    if (!span_copy(span_of(name), scanner->name, sizeof scanner->name))
        return NULL;
    config->scanner_count++;
    return scanner;
}

static bool set_scanner(struct reading *reading, const char *section, const char *name, const char *value)
{
    struct config_scanner *scanner = find_scanner(reading->config, section + strlen("scanner "));
    if (!scanner)
        return refuse(reading, section, name, "is one scanner too many, or its name is too long");
    if (strcmp(name, "type") == 0) {
        if (strcmp(value, "serial") != 0 && strcmp(value, "keyboard") != 0)
            return refuse(reading, section, name, "is neither serial nor keyboard");
        scanner->type = value[0] == 's' ? CONFIG_SCANNER_SERIAL : CONFIG_SCANNER_KEYBOARD;
        return true;
    }
    if (strcmp(name, "path") == 0)
        return set_text(reading, section, name, value, scanner->path, sizeof scanner->path);
    if (strcmp(name, "counter") == 0)
        return set_text(reading, section, name, value, scanner->counter, sizeof scanner->counter);
    if (strcmp(name, "gs-key") == 0)
        return set_text(reading, section, name, value, scanner->gs_key, sizeof scanner->gs_key);
    if (strcmp(name, "speed") == 0)
        return set_number(reading, section, name, value, 9600, 115200, &scanner->speed);
    if (strcmp(name, "gap-ms") == 0)
        return set_number(reading, section, name, value, 10, 2000, &scanner->gap_ms);
    return refuse(reading, section, name, "is not known");
}

/* Texts of fixed places in the struct. */
static const struct {
    const char *section, *name;
    size_t offset, size;
} texts[] = {
#define TEXT(section, name, member)                                                                                    \
    {                                                                                                                  \
        section, name, offsetof(struct config, member), sizeof((struct config *)0)->member                             \
    }
    TEXT("kiosk", "name", kiosk),
    TEXT("kiosk", "clock-file", clock_file),
    TEXT("ledger", "address", ledger),
    TEXT("web", "address", web_address),
    TEXT("labels", "printer", printer),
    TEXT("labels", "templates", templates),
    TEXT("labels", "own-templates", own_templates),
    TEXT("labels", "tracking", tracking),
    TEXT("pictures", "worker", eye),
    TEXT("backup", "folder", backup_folder),
#undef TEXT
};

static int take(void *user, const char *section, const char *name, const char *value)
{
    struct reading *reading = user;
    struct config *config = reading->config;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (strcmp(section, texts[i].section) == 0 && strcmp(name, texts[i].name) == 0)
            return set_text(reading, section, name, value, (char *)config + texts[i].offset, texts[i].size);
    int port = config->web_port;
    bool good;
    if (strncmp(section, "scanner ", 8) == 0)
        good = set_scanner(reading, section, name, value);
    else if (strcmp(section, "kiosk") == 0 && strcmp(name, "idle-seconds") == 0)
        good = set_number(reading, section, name, value, 5, 3600, &config->idle_seconds);
    else if (strcmp(section, "kiosk") == 0 && strcmp(name, "ask-need") == 0)
        good = set_flag(reading, section, name, value, &config->ask_need);
    else if (strcmp(section, "labels") == 0 && strcmp(name, "ask-seconds") == 0)
        good = set_number(reading, section, name, value, 2, 3600, &config->print_ask_seconds);
    else if (strcmp(section, "labels") == 0 && strcmp(name, "darkness") == 0)
        good = set_number(reading, section, name, value, -100, 100, &config->darkness);
    else if (strcmp(section, "labels") == 0 && strcmp(name, "speed") == 0)
        good = set_number(reading, section, name, value, 1, 1000, &config->speed_mm);
    else if (strcmp(section, "backup") == 0 && strcmp(name, "every-hours") == 0)
        good = set_number(reading, section, name, value, 1, 8760, &config->backup_hours);
    else if (strcmp(section, "backup") == 0 && strcmp(name, "keep") == 0)
        good = set_number(reading, section, name, value, 1, 1000, &config->backup_keep);
    else if (strcmp(section, "web") == 0 && strcmp(name, "port") == 0)
        good = set_number(reading, section, name, value, 0, 65535, &port);
    else
        good = refuse(reading, section, name, "is not known: see docs/configuration.md");
    config->web_port = (uint16_t)port;
    return good;
}

bool config_read(const char *path, struct config *config, struct fault *fault)
{
    struct config made;
    config_init(&made);
    struct reading reading = {.config = &made, .path = path, .fault = fault};
    errno = 0;
    const int line = ini_parse(path, take, &reading);
    if (line < 0)
        return fault_set(fault, FAULT_MISSING, "configuration '%s' cannot be read (%s)", path, strerror(errno));
    if (reading.failed)
        return false;
    if (line > 0) /* also when a line was longer than inih takes, and cut */
        return fault_set(fault, FAULT_INPUT,
                         "%s, line %d: not 'key = value' under a [section], or longer than 200 bytes", path, line);
    if (made.tracking[0] != '\0' && printer_tracking_read(made.tracking) == PRINTER_TRACKING_UNSAID)
        return fault_set(fault, FAULT_INPUT, "%s: [labels] tracking is '%s', not gap, mark, web or continuous", path,
                         made.tracking);
    for (int i = 0; i < made.scanner_count; i++)
        if (made.scanners[i].path[0] == '\0')
            return fault_set(fault, FAULT_INPUT, "%s: [scanner %s] has no path", path, made.scanners[i].name);
    *config = made;
    return true;
}
