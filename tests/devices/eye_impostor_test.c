#include "kiosk/devices/eye/eye.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/devices/eye/eye_channel.h"
#include "kiosk/devices/eye/eye_message.h"
#include "tests/devices/eye_help.h"

/* Workers that misbehave: this program, run as `PROGRAM eye` under the name of one of them (a link to it). What a
 * worker that a hostile picture took over may do is ours to imagine: no published source. */

enum { KIOSK = 3 };

static struct eye_request hear_request(void)
{
    struct eye_request request = {0};
    size_t length = 0;
    int memory = -1;
    if (eye_channel_receive(KIOSK, true, &request, sizeof request, &length, &memory) != EYE_PASSED)
        _exit(0);
    return request;
}

static void say(const void *packet, size_t length)
{
    (void)eye_channel_send(KIOSK, true, packet, length, -1);
}

static void end_answer(uint32_t number, size_t count, int descriptor)
{
    const struct reader_result result = {.count = count};
    struct eye_done done;
    eye_done_write(number, &result, 10, 10, NULL, &done);
    (void)eye_channel_send(KIOSK, true, &done, sizeof done, descriptor);
}

static void talk_junk(void)
{
    uint8_t junk[100];
    memset(junk, 0xA5, sizeof junk);
    (void)hear_request();
    say(junk, sizeof junk);
}

static void talk_too_long(void)
{
    static const uint8_t packet[EYE_LONGEST + 1];
    (void)hear_request();
    say(packet, sizeof packet);
}

static void talk_nothing(void)
{
    (void)hear_request();
    (void)send(KIOSK, "", 0, MSG_NOSIGNAL);
}

static void answer_another(void)
{
    end_answer(hear_request().header.request + 1, 0, -1);
}

static void miscount(void)
{
    end_answer(hear_request().header.request, 3, -1);
}

static void pass_a_descriptor(void)
{
    end_answer(hear_request().header.request, 0, KIOSK);
}

static void never_end(void)
{
    struct reader_symbol symbol = {.rows = 10, .columns = 10, .symbology = "]d1", .eci = -1};
    uint8_t packet[EYE_LONGEST];
    const uint32_t number = hear_request().header.request;
    for (uint32_t i = 0; i <= READER_SYMBOLS; i++)
        say(packet, eye_symbol_write(&symbol, number, i, packet));
}

static void speak_unasked(void)
{
    end_answer(1, 0, -1);
}

static void end_at_once(void)
{
    _exit(3);
}

static const struct impostor {
    const char *name;
    void (*misbehave)(void);
} impostors[] = {
    {"talk-junk", talk_junk},           {"talk-too-long", talk_too_long}, {"talk-nothing", talk_nothing},
    {"answer-another", answer_another}, {"miscount", miscount},           {"pass-a-descriptor", pass_a_descriptor},
    {"never-end", never_end},           {"end-at-once", end_at_once},
};

/* Speaks before it is asked, so that what comes of it depends on who is first: only that nothing breaks is sure. */
static const struct impostor hasty = {"speak-unasked", speak_unasked};

static int worker(const char *program)
{
    const char *slash = strrchr(program, '/'), *name = slash ? slash + 1 : program;
    for (size_t i = 0; i <= sizeof impostors / sizeof *impostors; i++) {
        const struct impostor *impostor = i < sizeof impostors / sizeof *impostors ? &impostors[i] : &hasty;
        if (strcmp(name, impostor->name) == 0) {
            impostor->misbehave();
            for (;;)
                (void)pause(); /* does not end by itself: the kiosk has to see to that */
        }
    }
    return 1;
}

/* An eye whose worker is the impostor of that name. */
static struct eye *open_impostor(const char *name, char folder[32], char path[64])
{
    char program[4096] = {0};
    (void)snprintf(folder, 32, "/tmp/eye-test-XXXXXX");
    assert_non_null(mkdtemp(folder));
    assert_true(readlink(eye_help_own_program, program, sizeof program - 1) > 0);
    (void)snprintf(path, 64, "%s/%s", folder, name);
    assert_int_equal(symlink(program, path), 0);
    return eye_help_open(path);
}

static void nonsense_from_a_worker_is_a_fault_of_the_device_and_ends_it(void **state)
{
    (void)state;
    char folder[32], path[64];
    for (size_t i = 0; i < sizeof impostors / sizeof *impostors; i++) {
        const int before = eye_help_count_descriptors();
        struct eye *eye = open_impostor(impostors[i].name, folder, path);
        struct fault fault;
        for (int k = 0; k < 2; k++)
            if (eye_help_read_fault(eye, "P2 1 1 1 0", 10, &fault) != FAULT_DEVICE)
                fail_msg("%s: %s", impostors[i].name, fault.text);
        assert_true(eye_counts(eye).died >= 2);
        assert_int_equal(eye_counts(eye).hung, 0);
        eye_destroy(eye);
        assert_int_equal(eye_help_count_descriptors(), before);
        assert_int_equal(waitpid(-1, NULL, WNOHANG), -1);
        assert_int_equal(unlink(path) | rmdir(folder), 0);
    }
}

static void a_worker_that_speaks_unasked_is_ended(void **state)
{
    (void)state;
    char folder[32], path[64];
    struct eye *eye = open_impostor(hasty.name, folder, path);
    for (int k = 0; eye_counts(eye).died == 0; k++) {
        assert_true(k < 2000);
        eye_help_pause(5);
    }
    eye_destroy(eye);
    assert_int_equal(waitpid(-1, NULL, WNOHANG), -1);
    assert_int_equal(unlink(path) | rmdir(folder), 0);
}

static void a_worker_that_keeps_dying_is_restarted_ever_more_slowly(void **state)
{
    (void)state;
    char folder[32], path[64];
    struct fault fault;
    struct eye *eye = open_impostor("end-at-once", folder, path);
    const int64_t start = eye_help_now();
    uint64_t most = 0;
    while (eye_help_now() - start < 1500) {
        (void)eye_help_read_fault(eye, "P2 1 1 1 0", 10, &fault);
        most++;
    }
    /* pauses 0, 50, 100, 200, 400, 800 ms: about 7 starts; without pauses there would be hundreds */
    assert_in_range(eye_counts(eye).started, 3, 12);
    assert_true(most >= 2);
    const int64_t close_start = eye_help_now();
    eye_destroy(eye);
    assert_true(eye_help_now() - close_start < 1500);
    assert_int_equal(unlink(path) | rmdir(folder), 0);
}

int main(int count, char **words)
{
    if (count == 2 && strcmp(words[1], "eye") == 0)
        return worker(words[0]);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nonsense_from_a_worker_is_a_fault_of_the_device_and_ends_it),
        cmocka_unit_test(a_worker_that_speaks_unasked_is_ended),
        cmocka_unit_test(a_worker_that_keeps_dying_is_restarted_ever_more_slowly),
    };
    return cmocka_run_group_tests_name("devices/eye_impostor", tests, NULL, NULL);
}
