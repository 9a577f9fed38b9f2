#include "kiosk/devices/eye/eye.h"

#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/devices/eye/eye_cage.h"
#include "kiosk/devices/eye/eye_message.h"
#include "kiosk/devices/eye/eye_worker.h"
#include "labels/picture/picture.h"
#include "tests/devices/eye_help.h"

/* Reads the symbol of figure O.2 from `file`, or fails the test. */
static void expect_123456(struct eye *eye, const struct eye_help_file *file)
{
    static struct reader_symbol symbols[READER_SYMBOLS];
    struct eye_answer answer = {0};
    struct fault fault = {0};
    if (!eye_read(eye, file->bytes, file->length, false, symbols, READER_SYMBOLS, &answer, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(answer.width, EYE_HELP_SIDE);
    assert_int_equal(answer.height, EYE_HELP_SIDE);
    assert_int_equal(answer.count, 1);
    assert_ptr_equal(answer.symbols, symbols);
    assert_int_equal(symbols[0].length, 6);
    assert_memory_equal(symbols[0].bytes, "123456", 6);
    assert_string_equal(symbols[0].symbology, "]d1");
    assert_int_equal(symbols[0].rows, EYE_HELP_MODULES);
    assert_true(answer.cpu_ns > 0);
}

static void wait_for_pictures(struct eye *eye, uint64_t pictures)
{
    for (int i = 0; eye_counts(eye).pictures < pictures; i++) {
        assert_true(i < 2000);
        eye_help_pause(5);
    }
}

static void a_drawn_symbol_is_read_from_pgm_png_and_jpeg(void **state)
{
    (void)state;
    static struct eye_help_file file;
    struct eye *eye = eye_help_open(eye_help_own_program);
    eye_help_draw_pgm(&file);
    expect_123456(eye, &file);
    eye_help_draw_png(&file);
    expect_123456(eye, &file);
    eye_help_draw_jpeg(&file);
    expect_123456(eye, &file);
    const struct eye_counts counts = eye_counts(eye);
    assert_int_equal(counts.pictures, 3);
    assert_int_equal(counts.hung + counts.died, 0);
    assert_int_equal(counts.started, 1);
    eye_destroy(eye);
}

/* What a submitted picture came to. */
struct outcome {
    atomic_int calls;
    enum fault_code code;
    size_t count;
    int order;
    atomic_int *clock; /* counts finished pictures; may be NULL */
};

static void note(void *context, const struct eye_answer *answer, const struct fault *fault)
{
    struct outcome *outcome = context;
    outcome->code = fault ? fault->code : FAULT_NONE;
    outcome->count = answer ? answer->count : 0;
    outcome->order = outcome->clock ? atomic_fetch_add(outcome->clock, 1) : 0;
    atomic_fetch_add(&outcome->calls, 1);
}

static void wait_for(struct outcome *outcome)
{
    for (int i = 0; atomic_load(&outcome->calls) == 0; i++) {
        assert_true(i < 4000);
        eye_help_pause(5);
    }
}

static void a_camera_frame_with_a_stride_is_read(void **state)
{
    (void)state;
    enum { STRIDE = EYE_HELP_SIDE + 37 };
    static uint8_t pixels[EYE_HELP_SIDE * EYE_HELP_SIDE], frame[STRIDE * EYE_HELP_SIDE];
    eye_help_draw(pixels);
    for (int y = 0; y < EYE_HELP_SIDE; y++)
        memcpy(frame + (size_t)y * STRIDE, pixels + (size_t)y * EYE_HELP_SIDE, EYE_HELP_SIDE);
    struct eye *eye = eye_help_open(eye_help_own_program);
    struct outcome outcome = {0};
    struct fault fault = {0};
    const struct grey grey = {frame, EYE_HELP_SIDE, EYE_HELP_SIDE, STRIDE},
                      narrow = {frame, EYE_HELP_SIDE, EYE_HELP_SIDE, EYE_HELP_SIDE - 1}, tall = {frame, 1, 16385, 1};
    assert_true(eye_submit_frame(eye, &grey, note, &outcome, NULL));
    wait_for(&outcome);
    assert_int_equal(outcome.code, FAULT_NONE);
    assert_int_equal(outcome.count, 1);
    assert_false(eye_submit_frame(eye, &narrow, note, &outcome, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_false(eye_submit_frame(eye, &tall, note, &outcome, &fault));
    eye_destroy(eye);
    assert_int_equal(atomic_load(&outcome.calls), 1);
}

static void what_is_no_picture_is_told_in_the_words_of_the_picture_reader(void **state)
{
    (void)state;
    static struct eye_help_file file;
    struct fault fault, expected = {0};
    struct picture picture = {0};
    struct eye *eye = eye_help_open(eye_help_own_program);
    static const char text[] = "Dear storekeeper, this is a letter.\n";
    assert_false(picture_read((const uint8_t *)text, sizeof text, &picture_default_limits, &picture, &expected));
    assert_int_equal(eye_help_read_fault(eye, text, sizeof text, &fault), FAULT_INPUT);
    assert_string_equal(fault.text, expected.text);
    eye_help_draw_png(&file);
    assert_int_equal(eye_help_read_fault(eye, file.bytes, file.length / 2, &fault), FAULT_INPUT);
    eye_help_draw_jpeg(&file);
    assert_int_equal(eye_help_read_fault(eye, file.bytes, 20, &fault), FAULT_INPUT);
    assert_int_equal(eye_help_read_fault(eye, "P5 60000 60000 255\n", 19, &fault), FAULT_INPUT);
    assert_int_equal(eye_counts(eye).died, 0);
    eye_help_draw_pgm(&file);
    expect_123456(eye, &file);
    eye_destroy(eye);
}

static void a_picture_that_is_empty_or_over_32_mib_is_refused_before_anything_is_sent(void **state)
{
    (void)state;
    enum { LONG = 40 * 1024 * 1024 };
    struct fault fault = {0};
    uint8_t *bytes = calloc(1, LONG);
    struct eye *eye = eye_help_open(eye_help_own_program);
    assert_int_equal(eye_help_read_fault(eye, bytes, LONG, &fault), FAULT_INPUT);
    assert_non_null(strstr(fault.text, "make it smaller"));
    assert_int_equal(eye_help_read_fault(eye, bytes, EYE_PICTURE_BYTES + 1, &fault), FAULT_INPUT);
    assert_int_equal(eye_help_read_fault(eye, bytes, 0, &fault), FAULT_INPUT);
    assert_int_equal(eye_counts(eye).pictures, 0);
    assert_int_equal(eye_help_read_fault(eye, bytes, EYE_PICTURE_BYTES, &fault),
                     FAULT_INPUT); /* zeros are no picture */
    assert_int_equal(eye_counts(eye).pictures, 1);
    eye_destroy(eye);
    free(bytes);
}

static void a_worker_that_hangs_is_ended_in_time_and_the_next_picture_works(void **state)
{
    (void)state;
    static struct eye_help_file file;
    struct fault fault;
    eye_help_draw_pgm(&file);
    struct eye *eye = eye_help_open(eye_help_own_program);
    expect_123456(eye, &file);
    const pid_t before = eye_pid(eye);
    eye_set_deadline(eye, 300);
    assert_int_equal(kill(before, SIGSTOP), 0);
    const int64_t start = eye_help_now();
    assert_int_equal(eye_help_read_fault(eye, file.bytes, file.length, &fault), FAULT_DEVICE);
    assert_in_range(eye_help_now() - start, 300, 5000);
    assert_string_equal(fault.text, "the picture took longer than 0.300 s to read and was put aside: photograph it "
                                    "again, closer and sharper");
    eye_set_deadline(eye, EYE_DEADLINE_MS);
    expect_123456(eye, &file);
    assert_int_not_equal(eye_pid(eye), before);
    assert_int_equal(eye_counts(eye).hung, 1);
    assert_int_equal(eye_counts(eye).died, 0);
    assert_int_equal(kill(before, 0), -1); /* reaped */
    eye_destroy(eye);
}

static void a_worker_that_dies_over_a_picture_costs_that_picture_only(void **state)
{
    (void)state;
    static const int signals[] = {SIGKILL, SIGSEGV, SIGABRT};
    static struct eye_help_file file;
    eye_help_draw_pgm(&file);
    struct eye *eye = eye_help_open(eye_help_own_program);
    uint64_t pictures = 0;
    for (size_t i = 0; i < sizeof signals / sizeof *signals; i++) {
        struct outcome outcome = {0};
        const pid_t pid = eye_pid(eye);
        assert_true(pid > 0);
        assert_int_equal(kill(pid, SIGSTOP), 0); /* so that it is busy for certain */
        assert_true(eye_submit(eye, file.bytes, file.length, false, note, &outcome, NULL));
        wait_for_pictures(eye, ++pictures);
        assert_int_equal(kill(pid, signals[i]), 0);
        if (signals[i] != SIGKILL) /* which ends a stopped one too, and it may be reaped by now */
            assert_int_equal(kill(pid, SIGCONT), 0);
        wait_for(&outcome);
        assert_int_equal(outcome.code, FAULT_DEVICE);
        expect_123456(eye, &file);
        pictures++;
        assert_int_equal(eye_counts(eye).died, i + 1);
    }
    eye_destroy(eye);
}

static void a_worker_that_dies_idle_costs_no_picture(void **state)
{
    (void)state;
    static struct eye_help_file file;
    eye_help_draw_pgm(&file);
    struct eye *eye = eye_help_open(eye_help_own_program);
    for (int i = 0; i < 5; i++) {
        expect_123456(eye, &file);
        const pid_t pid = eye_pid(eye);
        assert_int_equal(kill(pid, SIGKILL), 0);
        for (int k = 0; eye_pid(eye) == pid; k++) {
            assert_true(k < 2000);
            eye_help_pause(5);
        }
    }
    expect_123456(eye, &file);
    eye_destroy(eye);
}

static void a_full_queue_says_busy_and_all_accepted_pictures_are_answered_in_order(void **state)
{
    (void)state;
    static struct eye_help_file file;
    struct outcome outcomes[EYE_QUEUE] = {0}, late = {0};
    atomic_int clock = 0;
    struct fault fault = {0};
    eye_help_draw_pgm(&file);
    struct eye *eye = eye_help_open(eye_help_own_program);
    expect_123456(eye, &file);
    assert_int_equal(kill(eye_pid(eye), SIGSTOP), 0);
    for (int i = 0; i < EYE_QUEUE; i++) {
        outcomes[i].clock = &clock;
        assert_true(eye_submit(eye, file.bytes, file.length, false, note, &outcomes[i], NULL));
    }
    const int64_t start = eye_help_now();
    assert_false(eye_submit(eye, file.bytes, file.length, false, note, &late, &fault));
    assert_true(eye_help_now() - start < 1000);
    assert_int_equal(fault.code, FAULT_BUSY);
    assert_non_null(strstr(fault.text, "try again"));
    assert_int_equal(kill(eye_pid(eye), SIGCONT), 0);
    for (int i = 0; i < EYE_QUEUE; i++) {
        wait_for(&outcomes[i]);
        assert_int_equal(outcomes[i].code, FAULT_NONE);
        assert_int_equal(outcomes[i].count, 1);
        assert_int_equal(outcomes[i].order, i);
    }
    expect_123456(eye, &file);
    eye_destroy(eye);
    assert_int_equal(atomic_load(&late.calls), 0);
}

static void closing_answers_every_waiting_picture_once_and_leaves_no_process(void **state)
{
    (void)state;
    static struct eye_help_file file;
    struct outcome outcomes[EYE_QUEUE] = {0};
    eye_help_draw_pgm(&file);
    struct eye *eye = eye_help_open(eye_help_own_program);
    const pid_t pid = eye_pid(eye);
    assert_int_equal(kill(pid, SIGSTOP), 0);
    for (int i = 0; i < EYE_QUEUE; i++)
        assert_true(eye_submit(eye, file.bytes, file.length, false, note, &outcomes[i], NULL));
    const int64_t start = eye_help_now();
    eye_destroy(eye);
    assert_true(eye_help_now() - start < 3000);
    for (int i = 0; i < EYE_QUEUE; i++) {
        assert_int_equal(atomic_load(&outcomes[i].calls), 1);
        assert_int_equal(outcomes[i].code, FAULT_BUSY);
    }
    assert_int_equal(waitpid(-1, NULL, WNOHANG), -1);
    assert_int_equal(errno, ECHILD);
    eye_destroy(NULL);
}

static void fifty_restarts_leak_no_descriptor_and_leave_no_zombie(void **state)
{
    (void)state;
    enum { RESTARTS = 50 };
    static struct eye_help_file file;
    eye_help_draw_pgm(&file);
    const int before = eye_help_count_descriptors();
    struct eye *eye = eye_help_open(eye_help_own_program);
    expect_123456(eye, &file);
    const int open = eye_help_count_descriptors();
    for (int i = 0; i < RESTARTS; i++) {
        const pid_t pid = eye_pid(eye);
        assert_int_equal(kill(pid, SIGKILL), 0);
        for (int k = 0; eye_pid(eye) == pid; k++) {
            assert_true(k < 2000);
            eye_help_pause(1);
        }
        expect_123456(eye, &file);
        assert_int_equal(waitpid(-1, NULL, WNOHANG), 0); /* one child, alive */
    }
    assert_true(eye_counts(eye).started >= RESTARTS + 1);
    assert_int_equal(eye_help_count_descriptors(), open);
    eye_destroy(eye);
    assert_int_equal(eye_help_count_descriptors(), before);
    assert_int_equal(waitpid(-1, NULL, WNOHANG), -1);
}

/* The whole of a small file under /proc/PID, ended with NUL. */
static size_t read_proc(pid_t pid, const char *name, char *text, size_t size)
{
    char path[64];
    (void)snprintf(path, sizeof path, "/proc/%d/%s", (int)pid, name);
    FILE *file = fopen(path, "re");
    if (!file)
        fail_msg("%s cannot be opened", path);
    const size_t length = fread(text, 1, size - 1, file);
    text[length] = '\0';
    (void)fclose(file);
    return length;
}

/* Descriptors 0 to 2 and the socket; the run time of a sanitizer opens some of its own. */
static bool has_only_its_own(pid_t pid)
{
    for (int fd = 0; fd <= (eye_cage_is_lenient() ? 3 : 64); fd++) {
        char path[64];
        struct stat status;
        (void)snprintf(path, sizeof path, "/proc/%d/fd/%d", (int)pid, fd);
        if ((lstat(path, &status) == 0) != (fd <= 3))
            return false;
    }
    return true;
}

static void the_worker_inherits_nothing_and_sits_in_its_cage(void **state)
{
    (void)state;
    static struct eye_help_file file;
    char text[8192];
    const int stray = open("/dev/null", O_RDONLY); /* on purpose not close-on-exec */
    assert_true(stray >= 0);
    eye_help_draw_pgm(&file);
    struct eye *eye = eye_help_open(eye_help_own_program);
    expect_123456(eye, &file);
    const pid_t pid = eye_pid(eye);
    const struct timespec moment = {.tv_nsec = 10 * 1000 * 1000};
    for (int i = 0; i < 500 && !has_only_its_own(pid); i++) /* it lets go of the picture just after its answer */
        nanosleep(&moment, NULL);
    assert_true(has_only_its_own(pid));
    if (!eye_cage_is_lenient()) {
        assert_int_equal(read_proc(pid, "environ", text, sizeof text), 0);
        (void)read_proc(pid, "status", text, sizeof text);
        assert_non_null(strstr(text, "NoNewPrivs:\t1"));
        assert_non_null(strstr(text, "Seccomp:\t2"));
        (void)read_proc(pid, "limits", text, sizeof text);
        assert_non_null(strstr(text, "Max address space         1073741824"));
    }
    assert_int_equal(getpgid(pid), pid);
    eye_destroy(eye);
    (void)close(stray);
}

static void a_program_that_is_not_there_is_told_at_once(void **state)
{
    (void)state;
    struct eye *eye = NULL;
    struct fault fault = {0};
    const int before = eye_help_count_descriptors();
    assert_false(eye_create("/nowhere/ambershelf", &eye, &fault));
    assert_int_equal(fault.code, FAULT_DEVICE);
    assert_non_null(strstr(fault.text, "/nowhere/ambershelf"));
    assert_null(eye);
    assert_int_equal(eye_help_count_descriptors(), before);
}

static void the_worker_started_by_hand_says_what_it_is(void **state)
{
    (void)state;
    const pid_t pid = fork();
    if (pid == 0) {
        const int null = open("/dev/null", O_RDWR);
        _exit(dup2(null, 3) < 0 ? 99 : eye_worker_main(3));
    }
    int status = 0;
    assert_int_equal(waitpid(pid, &status, 0), pid);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 2);
}

int main(int count, char **words)
{
    if (count == 2 && strcmp(words[1], "eye") == 0)
        return eye_worker_main(3);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_drawn_symbol_is_read_from_pgm_png_and_jpeg),
        cmocka_unit_test(a_camera_frame_with_a_stride_is_read),
        cmocka_unit_test(what_is_no_picture_is_told_in_the_words_of_the_picture_reader),
        cmocka_unit_test(a_picture_that_is_empty_or_over_32_mib_is_refused_before_anything_is_sent),
        cmocka_unit_test(a_worker_that_hangs_is_ended_in_time_and_the_next_picture_works),
        cmocka_unit_test(a_worker_that_dies_over_a_picture_costs_that_picture_only),
        cmocka_unit_test(a_worker_that_dies_idle_costs_no_picture),
        cmocka_unit_test(a_full_queue_says_busy_and_all_accepted_pictures_are_answered_in_order),
        cmocka_unit_test(closing_answers_every_waiting_picture_once_and_leaves_no_process),
        cmocka_unit_test(fifty_restarts_leak_no_descriptor_and_leave_no_zombie),
        cmocka_unit_test(the_worker_inherits_nothing_and_sits_in_its_cage),
        cmocka_unit_test(a_program_that_is_not_there_is_told_at_once),
        cmocka_unit_test(the_worker_started_by_hand_says_what_it_is),
    };
    return cmocka_run_group_tests_name("devices/eye", tests, NULL, NULL);
}
