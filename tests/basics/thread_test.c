#include "kiosk/basics/thread.h"

#include <pthread.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

struct seen {
    char name[THREAD_NAME_SIZE];
    bool term_blocked, int_blocked;
};

static void look(void *context)
{
    struct seen *seen = context;
    sigset_t mask;
    (void)pthread_getname_np(pthread_self(), seen->name, sizeof seen->name);
    (void)pthread_sigmask(SIG_SETMASK, NULL, &mask);
    seen->term_blocked = sigismember(&mask, SIGTERM) == 1;
    seen->int_blocked = sigismember(&mask, SIGINT) == 1;
}

static void a_thread_has_its_name_and_no_signals_while_main_keeps_them(void **state)
{
    (void)state;
    struct seen seen = {.name = ""};
    struct thread *thread = NULL;
    sigset_t mask;
    assert_true(thread_start("writer", look, &seen, &thread, NULL));
    thread_join(thread);
    assert_string_equal(seen.name, "writer");
    assert_true(seen.term_blocked);
    assert_true(seen.int_blocked);
    (void)pthread_sigmask(SIG_SETMASK, NULL, &mask);
    assert_int_equal(sigismember(&mask, SIGTERM), 0);
}

static void a_long_name_is_cut_to_what_linux_keeps(void **state)
{
    (void)state;
    struct seen seen = {.name = ""};
    struct thread *thread = NULL;
    assert_true(thread_start("label printer at the counter", look, &seen, &thread, NULL));
    thread_join(thread);
    assert_string_equal(seen.name, "label printer a"); /* pthread_setname_np(3): 16 bytes with the NUL */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_thread_has_its_name_and_no_signals_while_main_keeps_them),
        cmocka_unit_test(a_long_name_is_cut_to_what_linux_keeps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
