#include "tests/devices/test_printer.h"

#include <errno.h>
#include <fcntl.h>
#include <glob.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cups/raster.h>

#include "tests/devices/test_process.h"

static pid_t number_read(const char *folder, const char *name)
{
    char path[128], text[16] = "";
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    const int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return -1;
    const ssize_t got = read(fd, text, sizeof text - 1);
    close(fd);
    return got > 0 ? (pid_t)strtol(text, NULL, 10) : -1;
}

static bool start_at(struct test_printer *printer)
{
    char port[12], line[128] = "", wanted[128];
    (void)snprintf(port, sizeof port, "%d", printer->port);
    (void)snprintf(wanted, sizeof wanted, "printer ready: %s", printer->uri);
    const char *const argv[] = {SOURCE_ROOT "/kiosk/demo-printer", printer->folder, port, NULL};
    int out = -1;
    printer->script = test_process_start(argv, &out);
    const bool ready = test_process_line(out, 15000, line, sizeof line) && strcmp(line, wanted) == 0;
    close(out);
    printer->printer = number_read(printer->folder, "printer.pid");
    if (!ready)
        (void)fprintf(stderr, "the demo printer said '%s'\n", line);
    return ready && printer->printer > 0;
}

bool test_printer_start(struct test_printer *printer)
{
    (void)snprintf(printer->folder, sizeof printer->folder, "/tmp/printer-XXXXXX");
    printer->port = test_process_free_port();
    if (!mkdtemp(printer->folder) || printer->port < 0)
        return false;
    (void)snprintf(printer->uri, sizeof printer->uri, "ipp://localhost:%d/ipp/print", printer->port);
    return start_at(printer);
}

bool test_printer_switch_off(struct test_printer *printer)
{
    return test_process_stop(printer->script) == 0;
}

bool test_printer_switch_on(struct test_printer *printer)
{
    return start_at(printer);
}

bool test_printer_stop(struct test_printer *printer)
{
    const int status = test_process_stop(printer->script);
    const bool gone = kill(printer->printer, 0) != 0 && errno == ESRCH;
    test_process_remove(printer->folder);
    return status == 0 && gone;
}

void test_printer_say(const struct test_printer *printer, const char *name, const char *text)
{
    char path[128];
    (void)snprintf(path, sizeof path, "%s/%s", printer->folder, name);
    FILE *const file = fopen(path, "we");
    if (file) {
        (void)fputs(text, file);
        (void)fclose(file);
    }
}

void test_printer_unsay(const struct test_printer *printer, const char *name)
{
    char path[128];
    (void)snprintf(path, sizeof path, "%s/%s", printer->folder, name);
    unlink(path);
}

static uint8_t *file_read(const char *path, size_t *length)
{
    struct stat status;
    const int fd = open(path, O_RDONLY | O_CLOEXEC);
    uint8_t *bytes = NULL;
    *length = 0;
    if (fd >= 0 && fstat(fd, &status) == 0 && (bytes = calloc(1, (size_t)status.st_size + 1)) &&
        read(fd, bytes, (size_t)status.st_size) == status.st_size)
        *length = (size_t)status.st_size;
    if (fd >= 0)
        close(fd);
    return bytes;
}

static bool raster_write(int fd, int width, int height, int dpi, unsigned seed)
{
    cups_page_header2_t header;
    uint8_t row[1024];
    memset(&header, 0, sizeof header);
    (void)snprintf(header.MediaClass, sizeof header.MediaClass, "PwgRaster");
    (void)snprintf(header.cupsPageSizeName, sizeof header.cupsPageSizeName, "oe_shelf-label_50x25mm");
    header.HWResolution[0] = header.HWResolution[1] = (unsigned)dpi;
    header.PageSize[0] = (unsigned)(width * 72 / dpi);
    header.PageSize[1] = (unsigned)(height * 72 / dpi);
    header.cupsWidth = (unsigned)width;
    header.cupsHeight = (unsigned)height;
    header.cupsBitsPerColor = header.cupsBitsPerPixel = header.cupsNumColors = 1;
    header.cupsColorSpace = CUPS_CSPACE_K;
    header.cupsBytesPerLine = (unsigned)(width + 7) / 8;
    header.cupsInteger[0] = header.cupsInteger[1] = header.cupsInteger[2] = 1;
    cups_raster_t *const raster = cupsRasterOpen(fd, CUPS_RASTER_WRITE_PWG);
    bool ok = raster && header.cupsBytesPerLine <= sizeof row && cupsRasterWriteHeader2(raster, &header);
    for (int y = 0; ok && y < height; y++) {
        for (unsigned x = 0; x < header.cupsBytesPerLine; x++)
            row[x] = (uint8_t)(((unsigned)y * 31 + x * x * 7 + seed * 13) >> 2);
        ok = cupsRasterWritePixels(raster, row, header.cupsBytesPerLine) == header.cupsBytesPerLine;
    }
    cupsRasterClose(raster);
    return ok;
}

uint8_t *test_label_create(int width, int height, int dpi, unsigned seed, size_t *length)
{
    char path[] = "/tmp/label-XXXXXX";
    const int fd = mkstemp(path);
    if (fd < 0)
        return NULL;
    const bool ok = raster_write(fd, width, height, dpi, seed);
    close(fd);
    uint8_t *const bytes = ok ? file_read(path, length) : NULL;
    unlink(path);
    return bytes;
}

uint8_t *test_printer_document(const struct test_printer *printer, int job_id, size_t *length)
{
    char pattern[128];
    glob_t found;
    uint8_t *bytes = NULL;
    (void)snprintf(pattern, sizeof pattern, "%s/spool/%d-*.pwg", printer->folder, job_id);
    *length = 0;
    if (glob(pattern, 0, NULL, &found) == 0 && found.gl_pathc == 1)
        bytes = file_read(found.gl_pathv[0], length);
    globfree(&found);
    return bytes;
}

enum printer_sent test_label_send(const struct printer *printer, const struct printer_facts *facts, const char *name,
                                  unsigned seed, int *job_id, struct fault *fault)
{
    size_t length = 0;
    uint8_t *const bytes = test_label_create(399, 199, TEST_LABEL_DPI, seed, &length);
    const struct printer_job job = {.name = name,
                                    .bytes = bytes,
                                    .length = length,
                                    .fd = -1,
                                    .media_x = TEST_LABEL_X,
                                    .media_y = TEST_LABEL_Y,
                                    .media_name = "oe_shelf-label_50x25mm",
                                    .resolution_dpi = TEST_LABEL_DPI,
                                    .facts = facts};
    const enum printer_sent sent = bytes ? printer_send(printer, &job, job_id, fault) : PRINTER_NOT_SENT;
    free(bytes);
    return sent;
}

void test_printer_asked(const struct test_printer *printer, int job_id, const char *name, char *value, size_t size)
{
    char path[128], line[1024];
    const size_t length = strlen(name);
    (void)snprintf(path, sizeof path, "%s/asked-%d", printer->folder, job_id);
    FILE *const file = fopen(path, "re");
    *value = '\0';
    while (file && fgets(line, sizeof line, file)) {
        if (strncmp(line, name, length) == 0 && line[length] == '=')
            (void)snprintf(value, size, "%.*s", (int)strcspn(line + length + 1, "\n"), line + length + 1);
    }
    if (file)
        (void)fclose(file);
}

int test_printer_count(const struct test_printer *printer)
{
    char pattern[128];
    glob_t found;
    (void)snprintf(pattern, sizeof pattern, "%s/spool/*.pwg", printer->folder);
    const int count = glob(pattern, 0, NULL, &found) == 0 ? (int)found.gl_pathc : 0;
    globfree(&found);
    return count;
}

bool test_printer_settle(const struct printer *printer, int job_id, const char *name, struct printer_standing *standing)
{
    struct fault fault = {.code = FAULT_NONE};
    for (int tries = 0; tries < 300; tries++) {
        if (printer_follow(printer, job_id, name, standing, &fault) && standing->certainty != PRINTER_UNDER_WAY)
            return true;
        usleep(50 * 1000);
    }
    (void)fprintf(stderr, "job %d does not end: state %d; %s\n", job_id, (int)standing->state, fault.text);
    return false;
}

bool test_printer_await(const struct printer *printer, int job_id, enum printer_job_state wanted)
{
    enum printer_job_state state = PRINTER_JOB_GONE;
    struct printer_reasons reasons;
    struct fault fault = {.code = FAULT_NONE};
    for (int tries = 0; tries < 200; tries++) {
        if (printer_poll(printer, job_id, &state, &reasons, &fault) && state == wanted)
            return true;
        usleep(50 * 1000);
    }
    (void)fprintf(stderr, "job %d is in state %d, not %d; %s\n", job_id, (int)state, (int)wanted, fault.text);
    return false;
}
