#include "kiosk/devices/printer.h"

#include <netinet/in.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/devices/printer_wire.h"
#include "tests/devices/test_printer.h"
#include "tests/devices/test_process.h"

/* Something listens at the printer's address that is no printer, or a broken one. Every answer is a sentence, within a
 * bounded time, and says rightly whether a label may have come out. */

static const struct printer_facts facts = {.accepts_raster = true, .accepts_jobs = true};

enum habit {
    SAYS,           /* `text`, then hangs up */
    DRIPS,          /* a status line, then a byte of a header every 0.3 s, for ever */
    DRIPS_BODY,     /* a good header, then a byte of the body every 0.3 s */
    HEADS_FOR_EVER, /* header lines without end, as fast as they go */
    FLOODS          /* a body of a gigabyte */
};

static void say(int client, const char *text)
{
    if (write(client, text, strlen(text)) < 0)
        _exit(0);
}

static void behave(int client, enum habit habit, const char *text)
{
    static const char good[] = "HTTP/1.1 200 OK\r\nContent-Type: application/ipp\r\nContent-Length: 1000000000\r\n\r\n";
    if (habit != SAYS)
        say(client, habit == DRIPS_BODY || habit == FLOODS ? good : "HTTP/1.1 200 OK\r\nX-");
    switch (habit) {
    case SAYS:
        say(client, text);
        usleep(300 * 1000);
        break;
    case DRIPS:
    case DRIPS_BODY:
        for (;; usleep(300 * 1000))
            say(client, "a");
    case HEADS_FOR_EVER:
        for (;;)
            say(client, "more: and more\r\nX-");
    case FLOODS:
        for (;;)
            say(client, "0123456789012345678901234567890123456789012345678901234567890123456789");
    }
}

static pid_t stranger_start(int port, enum habit habit, const char *text)
{
    const struct sockaddr_in address = {
        .sin_family = AF_INET, .sin_port = htons((uint16_t)port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    const int one = 1, fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &one, sizeof one);
    assert_int_equal(bind(fd, (const struct sockaddr *)&address, sizeof address), 0);
    assert_int_equal(listen(fd, 4), 0);
    const pid_t pid = fork();
    if (pid == 0) {
        char bytes[4096];
        signal(SIGPIPE, SIG_DFL);
        const int client = accept(fd, NULL, NULL);
        if (read(client, bytes, sizeof bytes) > 0)
            behave(client, habit, text);
        _exit(0);
    }
    close(fd);
    return pid;
}

static enum printer_sent send_to(enum habit habit, const char *text, struct fault *fault)
{
    char uri[64];
    int job_id = 0;
    const int port = test_process_free_port();
    const pid_t pid = stranger_start(port, habit, text);
    (void)snprintf(uri, sizeof uri, "ipp://127.0.0.1:%d/ipp/print", port);
    struct printer *const printer = printer_open(uri, fault);
    const enum printer_sent sent = test_label_send(printer, &facts, "V0000001-1", 9, &job_id, fault);
    printer_close(printer);
    test_process_wait(pid, 3000);
    return sent;
}

static void tells_refused_busy_and_unknown_apart_by_what_the_other_side_says(void **state)
{
    static const struct {
        const char *answer;
        enum printer_sent sent;
        enum fault_code code;
        const char *words;
    } cases[] = {
        /* RFC 9110 15.4, 15.5: redirected and 4xx, the request was not carried out; 503 try later */
        {"HTTP/1.1 404 Not Found\r\nContent-Length: 0\r\n\r\n", PRINTER_NOT_SENT, FAULT_REFUSED, "check its address"},
        {"HTTP/1.1 401 Unauthorized\r\nContent-Length: 0\r\n\r\n", PRINTER_NOT_SENT, FAULT_REFUSED,
         "without a password"},
        {"HTTP/1.1 403 Forbidden\r\nContent-Length: 0\r\n\r\n", PRINTER_NOT_SENT, FAULT_REFUSED, "without a password"},
        {"HTTP/1.1 426 Upgrade Required\r\nContent-Length: 0\r\n\r\n", PRINTER_NOT_SENT, FAULT_REFUSED, "ipps://"},
        {"HTTP/1.1 301 Moved\r\nLocation: http://127.0.0.1:1/\r\nContent-Length: 0\r\n\r\n", PRINTER_NOT_SENT,
         FAULT_REFUSED, "another address"},
        {"HTTP/1.1 307 Elsewhere\r\nLocation: /\r\nContent-Length: 0\r\n\r\n", PRINTER_NOT_SENT, FAULT_REFUSED,
         "another address"},
        {"HTTP/1.1 308 Elsewhere\r\nLocation: /\r\nContent-Length: 0\r\n\r\n", PRINTER_NOT_SENT, FAULT_REFUSED,
         "another address"},
        {"HTTP/1.1 303 See Other\r\nLocation: /\r\nContent-Length: 0\r\n\r\n", PRINTER_UNKNOWN, FAULT_DEVICE,
         "may come out"},
        {"HTTP/1.1 503 Service Unavailable\r\nContent-Length: 0\r\n\r\n", PRINTER_BUSY, FAULT_BUSY, "busy"},
        {"HTTP/1.1 500 Internal Server Error\r\nContent-Length: 0\r\n\r\n", PRINTER_UNKNOWN, FAULT_DEVICE,
         "may come out"},
        {"HTTP/1.1 200 OK\r\nContent-Length: 5\r\n\r\nhello", PRINTER_UNKNOWN, FAULT_DEVICE, "may come out"},
        {"HTTP/1.1 200 OK\r\nContent-Length: 0\r\n\r\n", PRINTER_UNKNOWN, FAULT_DEVICE, "may come out"},
        {"SSH-2.0-nonsense\r\n", PRINTER_UNKNOWN, FAULT_DEVICE, "may come out"},
        {"", PRINTER_UNKNOWN, FAULT_DEVICE, "may come out"}, /* hangs up without a word */
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault = {.code = FAULT_NONE};
        const enum printer_sent sent = send_to(SAYS, cases[i].answer, &fault);
        if (sent != cases[i].sent || fault.code != cases[i].code || !strstr(fault.text, cases[i].words))
            fail_msg("'%.30s': %d, %s", cases[i].answer, (int)sent, fault.text);
    }
}

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/* In a child, so that all slow strangers are waited for at once; exit status 0: as it should be. */
static pid_t ask_slow_one(enum habit habit)
{
    const pid_t pid = fork();
    if (pid == 0) {
        struct fault fault = {.code = FAULT_NONE};
        const double begin = seconds_now();
        const enum printer_sent sent = send_to(habit, "", &fault);
        const double took = seconds_now() - begin, limit = PRINTER_WIRE_TOTAL_MS / 1000.0;
        const bool good = sent == PRINTER_UNKNOWN && strstr(fault.text, "may come out") && took < limit + 4.0;
        if (!good)
            (void)fprintf(stderr, "habit %d: outcome %d after %.1f s, %s\n", (int)habit, (int)sent, took, fault.text);
        _exit(good ? 0 : 1);
    }
    return pid;
}

static void an_answer_without_end_is_left_within_the_total_limit(void **state)
{
    static const enum habit habits[] = {DRIPS, DRIPS_BODY, HEADS_FOR_EVER, FLOODS};
    pid_t pids[sizeof habits / sizeof *habits];
    (void)state;
    for (size_t i = 0; i < sizeof habits / sizeof *habits; i++)
        pids[i] = ask_slow_one(habits[i]);
    for (size_t i = 0; i < sizeof habits / sizeof *habits; i++)
        assert_int_equal(test_process_wait(pids[i], 30000), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tells_refused_busy_and_unknown_apart_by_what_the_other_side_says),
        cmocka_unit_test(an_answer_without_end_is_left_within_the_total_limit),
    };
    return cmocka_run_group_tests_name("devices/printer_stranger", tests, NULL, NULL);
}
