#include "kiosk/devices/eye/eye_channel.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cmocka.h>

static int make_ends(void **state)
{
    static int ends[2];
    *state = ends;
    return socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends);
}

static int close_ends(void **state)
{
    const int *ends = *state;
    return close(ends[0]) | close(ends[1]);
}

static void bytes_go_through_sealed_memory_unchanged(void **state)
{
    const int *ends = *state;
    int memory = -1, arrived = -1;
    char word[8] = {0};
    size_t length = 0;
    const uint8_t *at = NULL;
    assert_true(eye_memory_seal((const uint8_t *)"abc-def-", 3, 4, 2, &memory, NULL));
    assert_int_equal(eye_channel_send(ends[0], false, "hello", 5, memory), EYE_PASSED);
    assert_int_equal(close(memory), 0);
    assert_int_equal(eye_channel_receive(ends[1], false, word, sizeof word, &length, &arrived), EYE_PASSED);
    assert_int_equal(length, 5);
    assert_string_equal(word, "hello");
    assert_true(fcntl(arrived, F_GETFD) & FD_CLOEXEC);
    assert_true(eye_memory_map(arrived, 6, &at, NULL));
    assert_memory_equal(at, "abcdef", 6); /* the gap of the stride is gone */
    assert_int_equal(munmap((void *)at, 6), 0);
    assert_int_equal(close(arrived), 0);
}

static void sealed_memory_can_be_neither_written_nor_cut(void **state)
{
    (void)state;
    int memory = -1;
    assert_true(eye_memory_seal((const uint8_t *)"abc", 3, 3, 1, &memory, NULL));
    assert_int_equal(pwrite(memory, "x", 1, 0), -1);
    assert_int_equal(ftruncate(memory, 0), -1);
    assert_ptr_equal(mmap(NULL, 3, PROT_READ | PROT_WRITE, MAP_SHARED, memory, 0), MAP_FAILED);
    assert_int_equal(close(memory), 0);
}

static void memory_that_could_change_under_our_hands_is_not_mapped(void **state)
{
    (void)state;
    struct fault fault = {0};
    const uint8_t *at = NULL;
    const int memory = memfd_create("test", MFD_CLOEXEC | MFD_ALLOW_SEALING);
    assert_int_equal(write(memory, "abc", 3), 3);
    assert_false(eye_memory_map(memory, 3, &at, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_int_equal(fcntl(memory, F_ADD_SEALS, F_SEAL_SHRINK | F_SEAL_GROW | F_SEAL_WRITE), 0);
    assert_false(eye_memory_map(memory, 3, &at, &fault)); /* F_SEAL_SEAL is missing */
    assert_int_equal(fcntl(memory, F_ADD_SEALS, F_SEAL_SEAL), 0);
    assert_false(eye_memory_map(memory, 4, &at, &fault));
    assert_non_null(strstr(fault.text, "3 bytes, not 4"));
    assert_null(at);
    assert_int_equal(close(memory), 0);
    assert_false(eye_memory_map(STDIN_FILENO, 3, &at, &fault)); /* no memory at all */
}

static void a_packet_longer_than_the_buffer_is_refused(void **state)
{
    const int *ends = *state;
    char word[4];
    size_t length = 99;
    assert_int_equal(eye_channel_send(ends[0], false, "hello", 5, -1), EYE_PASSED);
    assert_int_equal(eye_channel_receive(ends[1], false, word, sizeof word, &length, NULL), EYE_REFUSED);
    assert_int_equal(length, 99);
}

static void send_descriptors(int socket_fd, size_t count)
{
    union {
        struct cmsghdr header;
        char bytes[CMSG_SPACE(4 * sizeof(int))];
    } control;
    memset(&control, 0, sizeof control);
    char byte = 'x';
    struct iovec part = {&byte, 1};
    struct msghdr message = {.msg_iov = &part,
                             .msg_iovlen = 1,
                             .msg_control = control.bytes,
                             .msg_controllen = CMSG_SPACE(count * sizeof(int))};
    struct cmsghdr *header = CMSG_FIRSTHDR(&message);
    header->cmsg_level = SOL_SOCKET;
    header->cmsg_type = SCM_RIGHTS;
    header->cmsg_len = CMSG_LEN(count * sizeof(int));
    const int fds[4] = {socket_fd, socket_fd, socket_fd, socket_fd};
    memcpy(CMSG_DATA(header), fds, count * sizeof(int));
    assert_int_equal(sendmsg(socket_fd, &message, 0), 1);
}

static void descriptors_that_nobody_asked_for_are_refused_and_none_stays_open(void **state)
{
    const int *ends = *state;
    const int next = dup(0); /* the lowest free number: whatever leaks, takes it */
    assert_int_equal(close(next), 0);
    for (size_t count = 1; count <= 4; count++) {
        char byte = 0;
        size_t length = 0;
        int arrived = -1;
        send_descriptors(ends[0], count);
        assert_int_equal(eye_channel_receive(ends[1], false, &byte, 1, &length, NULL), EYE_REFUSED);
        if (count > 1) {
            send_descriptors(ends[0], count);
            assert_int_equal(eye_channel_receive(ends[1], false, &byte, 1, &length, &arrived), EYE_REFUSED);
            assert_int_equal(arrived, -1);
        }
    }
    const int after = dup(0);
    assert_int_equal(after, next);
    assert_int_equal(close(after), 0);
}

static void an_empty_socket_says_not_now_and_a_closed_one_gone(void **state)
{
    const int *ends = *state;
    int pair[2];
    char byte = 0;
    size_t length = 0;
    assert_int_equal(eye_channel_receive(ends[1], false, &byte, 1, &length, NULL), EYE_NOT_NOW);
    assert_int_equal(socketpair(AF_UNIX, SOCK_SEQPACKET, 0, pair), 0);
    assert_int_equal(close(pair[0]), 0);
    assert_int_equal(eye_channel_receive(pair[1], false, &byte, 1, &length, NULL), EYE_GONE);
    assert_int_equal(eye_channel_send(pair[1], false, "x", 1, -1), EYE_GONE); /* and no SIGPIPE */
    assert_int_equal(close(pair[1]), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(bytes_go_through_sealed_memory_unchanged, make_ends, close_ends),
        cmocka_unit_test(sealed_memory_can_be_neither_written_nor_cut),
        cmocka_unit_test(memory_that_could_change_under_our_hands_is_not_mapped),
        cmocka_unit_test_setup_teardown(a_packet_longer_than_the_buffer_is_refused, make_ends, close_ends),
        cmocka_unit_test_setup_teardown(descriptors_that_nobody_asked_for_are_refused_and_none_stays_open, make_ends,
                                        close_ends),
        cmocka_unit_test_setup_teardown(an_empty_socket_says_not_now_and_a_closed_one_gone, make_ends, close_ends),
    };
    return cmocka_run_group_tests_name("devices/eye_channel", tests, NULL, NULL);
}
